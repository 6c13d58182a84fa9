package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// bound moves the joints at rest away from where they were bound: the true box goes
// x metres to the side, the player's stays.
func bound(x float64) func(*rig.Rig) { return moved(postRoot, x, 0, 0) }

// slide is a clip that carries the root x metres to the side and back.
func slide(x float32) func(*rig.Rig) {
	return func(r *rig.Rig) {
		r.Clips = append(r.Clips, rig.ClipData{Name: "slide", Seconds: 2, Channels: []rig.Channel{{Node: postRoot, Path: rig.Translation, Width: 3,
			Times: []float32{0, 1, 2}, Values: []float32{0, 0, 0, x, 0, 0, 0, 0, 0}}}})
	}
}

func TestBoundsOff(t *testing.T) {
	shape := []rig.Node{postShape}
	clip := rig.Clip(1)
	packed := func(r *rig.Rig) { r.Meshes[0].Primitives[0].PositionType = shortType }
	both := func(a, b func(*rig.Rig)) func(*rig.Rig) { return func(r *rig.Rig) { a(r); b(r) } }
	checktest.Run(t, boundsOff, Measure, []checktest.Row{
		{Name: "clean", Rig: skinnedPost},
		{Name: "clean mesh, placed", Rig: plainPost, Plant: both(moved(postTop, 3, 0, 0), scaled(postShape, 2, 1, 1))},
		{Name: "just under", Rig: skinnedPost, Plant: bound(.249)},
		{Name: "just over", Rig: skinnedPost, Plant: bound(.251), Want: []checktest.Want{{Grade: check.Flaw, Name: "outside", Value: .251, Tolerance: 1e-5, Nodes: shape}}},
		{Name: "apart", Rig: skinnedPost, Plant: bound(3), Want: []checktest.Want{{Grade: check.Flaw, Value: 1, Nodes: shape}}},
		{Name: "not yet too large", Rig: skinnedPost, Plant: scaled(postShape, 1.99, 1.99, 1.99)},
		{Name: "too large", Rig: skinnedPost, Plant: scaled(postShape, 2.01, 2.01, 2.01), Want: []checktest.Want{{Grade: check.Flaw, Name: "size against the true box", Value: 2.01, Tolerance: 1e-5}}},
		{Name: "packed, just under", Rig: skinnedPost, Plant: both(packed, bound(.249))},
		{Name: "packed: by design", Rig: skinnedPost, Plant: both(packed, bound(.251)), Want: []checktest.Want{{Grade: check.Note, Name: "outside", Value: .251, Tolerance: 1e-5, Nodes: shape}}},
		{Name: "packed, too large", Rig: skinnedPost, Plant: both(packed, scaled(postShape, 2.01, 2.01, 2.01)), Want: []checktest.Want{{Grade: check.Note, Name: "size against the true box", Value: 2.01, Tolerance: 1e-5}}},
		{Name: "declared, just under", Rig: plainPost, Plant: func(r *rig.Rig) { r.Meshes[0].Primitives[0].Max[1] = 2.000024 }},
		{Name: "declared, just over", Rig: plainPost, Plant: func(r *rig.Rig) { r.Meshes[0].Primitives[0].Max[1] = 2.000026 },
			Want: []checktest.Want{{Grade: check.Flaw, Value: 1.06e-5, Tolerance: 1e-7}}}, // 2.6e-5/√6
		{Name: "declared wrong", Rig: plainPost, Plant: func(r *rig.Rig) { r.Meshes[0].Primitives[0].Max[1] = 1.5 },
			Want: []checktest.Want{{Grade: check.Flaw, Name: "declared against stored", Value: .20412414523193154, Tolerance: 1e-9, Nodes: shape, More: map[string]float64{"difference": .5}}}}, // .5/√6
		{Name: "not declared", Rig: plainPost, Plant: func(r *rig.Rig) {
			r.Meshes[0].Primitives[0].HasBounds = false
			r.Meshes[0].Primitives[0].Max[1] = 1
		}},
		// The box over the clip is 1 + x wide, the player's 1: x/(1+x) lies outside.
		{Name: "clip, just under", Rig: skinnedPost, Plant: slide(.33)},
		{Name: "clip, just over", Rig: skinnedPost, Plant: both(slide(.1), slide(.34)), Want: []checktest.Want{{Grade: check.Note, Name: "outside, over all clips", Value: .34 / 1.34, Tolerance: 1e-5,
			Nodes: shape, Clip: &clip, More: map[string]float64{"safe box, least x": -.5, "safe box, greatest x": .84, "safe box, greatest y": 2}}}},
		{Name: "clip, and rest already off", Rig: skinnedPost, Plant: both(bound(.5), slide(9)), Want: []checktest.Want{{Grade: check.Flaw, Value: .5, Tolerance: 1e-5}}},
		{Name: "clip without a key", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			r.Clips = []rig.ClipData{{Channels: []rig.Channel{{Node: postRoot, Path: rig.Translation, Width: 3}}}}
		}},
		{Name: "no vertex", Rig: hollow},
		{Name: "empty file", Rig: nothing, Skip: "no surface in this file"},
	})
}
