package motion

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
)

// corpus is a folder of real models with answers from outside (numpy, straight from
// the accessors); it is not part of the project, and what needs it is skipped
// without it.
const corpus = "../../../shared/corpus"

func corpusModels(t testing.TB) []string {
	paths, _ := filepath.Glob(corpus + "/models/*.gl*")
	if len(paths) == 0 {
		t.Skip("no folder of real models beside the repository: nothing is compared with outside answers here")
	}
	return paths
}

func open(t testing.TB, path string) *rig.Rig {
	t.Helper()
	r, err := gltfio.ReadFS(os.DirFS(filepath.Dir(path)), filepath.Base(path), gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

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
	for _, path := range corpusModels(t) {
		name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
		t.Run(name, func(t *testing.T) {
			raw, err := os.ReadFile(corpus + "/oracle/" + name + ".json")
			if err != nil {
				t.Skip(err)
			}
			var o outside
			if err := json.Unmarshal(raw, &o); err != nil {
				t.Fatal(err)
			}
			f, err := Measure(context.Background(), exam.New(open(t, path)))
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
