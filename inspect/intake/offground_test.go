package intake

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// The post is 2 m high: 2 % are 40 mm, 100 heights 200 m.
func TestOffGround(t *testing.T) {
	checktest.Run(t, offGround, Measure, []checktest.Row{
		{Name: "clean", Rig: skinnedPost},
		{Name: "clean figure", Rig: sample(nil)},
		{Name: "just under", Rig: skinnedPost, Plant: moved(postTop, 0, .039, 0)},
		{Name: "just over", Rig: skinnedPost, Plant: moved(postTop, 0, .041, 0),
			Want: []checktest.Want{{Grade: check.Note, Name: "lowest point", Value: .0205, Tolerance: 1e-6, Vertices: []rig.Vertex{0}}}},
		{Name: "sunk", Rig: plainPost, Plant: moved(postTop, 0, -1, 0),
			Want: []checktest.Want{{Grade: check.Note, Value: -.5, Tolerance: 1e-6, Subject: "lowest point 1\u00a0m below the ground"}}},
		{Name: "beside, just under", Rig: skinnedPost, Plant: moved(postTop, .027, 0, .027)},
		{Name: "beside, just over", Rig: skinnedPost, Plant: moved(postTop, .029, 0, .029),
			Want: []checktest.Want{{Grade: check.Note, Name: "middle", Value: math.Sqrt2 * .029 / 2, Tolerance: 1e-6, Point: &space.Vec{.029, 0, .029}, Near: 1e-6}}},
		{Name: "far, just under", Rig: skinnedPost, Plant: moved(postTop, 199, 0, 0), Want: []checktest.Want{{Grade: check.Note, Value: 99.5, Tolerance: 1e-3}}},
		{Name: "far, just over", Rig: skinnedPost, Plant: moved(postTop, 201, 0, 0),
			Want: []checktest.Want{{Grade: check.Flaw, Value: 100.5, Tolerance: 1e-3, More: map[string]float64{"distance": 201}}}},
		// A vertex whose weights sum to ½ lies half the way to the origin: no height of the post.
		{Name: "far, one sum short", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			moved(postTop, 5000, 0, 0)(r)
			for k := range 4 {
				r.Meshes[0].Weights[k] /= 2
			}
		}, Want: []checktest.Want{{Grade: check.Flaw, Value: 2500, Tolerance: 1}}},
		{Name: "flat", Rig: plainPost, Plant: scaled(postTop, 1, 0, 1), Skip: "what there is lies flat and has no height to measure by"},
		{Name: "no vertex", Rig: hollow, Skip: "no surface in this file"},
		{Name: "empty file", Rig: nothing, Skip: "no surface in this file"},
	})
}

// What is held in a hand moves the box, not the figure.
func TestOffGroundIgnoresWhatIsHeld(t *testing.T) {
	r := model(t, "Knight.glb")
	for _, f := range checktest.Silent(t, &Station, r, check.Note) {
		if f.ID == "intake/off-ground" {
			t.Errorf("%s %v", f.Subject, f.Measures)
		}
	}
}
