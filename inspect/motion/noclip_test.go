package motion

import (
	"context"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// nod is one node turned by one clip.
func nod() *rig.Rig {
	r := &rig.Rig{Nodes: []rig.NodeData{{Name: "head", Parent: rig.None, Mesh: rig.None, Skin: rig.None, Matrix: rig.Identity}}, Shown: rig.None}
	r.SetOrder()
	r.Clips = []rig.ClipData{{Name: "nod", Start: 0.25, Seconds: 1.5, Channels: []rig.Channel{
		{Node: 0, Path: rig.Rotation, Times: []float32{0.25, 1.5}, Values: []float32{0, 0, 0, 1, 0, 0, 0, 1}, Width: 4},
		{Node: 0, Path: rig.Translation, Times: []float32{0.25}, Values: []float32{0, 0, 0}, Width: 3},
		{Node: rig.None, Path: rig.Scale, Times: []float32{0.25}, Values: []float32{1, 1, 1}, Width: 3},
	}}}
	return r
}

func TestNoClip(t *testing.T) {
	checktest.Run(t, noClip, Measure, []checktest.Row{
		{Name: "one clip", Rig: nod},
		{Name: "none", Rig: nod, Plant: func(r *rig.Rig) { r.Clips = nil },
			Want: []checktest.Want{{Grade: check.Note, Name: "clips", Value: 0}}},
		{Name: "nothing at all", Rig: func() *rig.Rig { return &rig.Rig{Shown: rig.None} },
			Want: []checktest.Want{{Grade: check.Note, Name: "clips", Value: 0}}},
		{Name: "two asked for", Rig: nod, Limits: map[string]float64{"clips": 2},
			Want: []checktest.Want{{Grade: check.Note, Name: "clips", Value: 1}}},
	})
}

func TestClips(t *testing.T) {
	f, err := Measure(context.Background(), exam.New(nod()))
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Clips) != 1 {
		t.Fatalf("%d clips", len(f.Clips))
	}
	c := &f.Clips[0]
	if c.Name != "nod" || c.Seconds != 1.5 || c.Start != 0.25 || c.Channels != 3 || c.Nodes != 1 || c.Moving != 0 {
		t.Errorf("clip %+v", *c)
	}
}

func TestMeasureStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Measure(ctx, exam.New(nod())); err == nil {
		t.Error("goes on after it was cancelled")
	}
}
