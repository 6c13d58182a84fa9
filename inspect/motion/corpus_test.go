package motion

import (
	"context"
	"math"
	"path/filepath"
	"slices"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

type outside struct {
	Motion struct {
		Clips []struct {
			Name           string     `json:"name"`
			Seconds        float64    `json:"seconds"`
			FirstKey       float64    `json:"first_key"`
			Channels       int        `json:"channels"`
			Moving         int        `json:"moving_joints"`
			Still          []rig.Node `json:"still_joints"`
			WithoutChannel []rig.Node `json:"joints_without_channel"`
			OffUnit        float64    `json:"off_unit_rotation_keys"`
			Scaled         int        `json:"scale_channels_off_one"`
		}
	}
}

// Every figure of the outside answers, for every model.
func TestCorpus(t *testing.T) {
	for _, path := range checktest.Models(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			var o outside
			checktest.Outside(t, path, &o)
			f, err := Measure(context.Background(), exam.New(checktest.Open(t, path)))
			if err != nil {
				t.Fatal(err)
			}
			if len(f.Clips) != len(o.Motion.Clips) {
				t.Fatalf("%d clips, want %d", len(f.Clips), len(o.Motion.Clips))
			}
			near := func(what string, got, want, tolerance float64) {
				t.Helper()
				if !(math.Abs(got-want) <= tolerance) {
					t.Errorf("%s is %v, want %v", what, got, want)
				}
			}
			for i := range f.Clips {
				got, want := &f.Clips[i], &o.Motion.Clips[i]
				near(want.Name+": seconds", got.Seconds, want.Seconds, 1e-6)
				near(want.Name+": first key", got.Start, want.FirstKey, 1e-6)
				near(want.Name+": channels", float64(got.Channels), float64(want.Channels), 0)
				near(want.Name+": moving joints", float64(got.Moving), float64(want.Moving), 0)
				near(want.Name+": off unit", got.OffUnit, want.OffUnit, 1e-9)
				near(want.Name+": scaled", float64(len(got.Scaled)), float64(want.Scaled), 0)
				same(t, want.Name+": still", got.Still, want.Still)
				same(t, want.Name+": without channel", got.Unkeyed, want.WithoutChannel)
			}
		})
	}
}

func same(t *testing.T, what string, got, want []rig.Node) {
	t.Helper()
	got, want = slices.Clone(got), slices.Clone(want)
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("%s: nodes %v, want %v", what, got, want)
	}
}
