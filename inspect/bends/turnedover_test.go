package bends

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// swapped hangs single places on the outside of the tube, well beyond the joint, on the
// first joint: when the second turns they stay.
func swapped(vertices ...int) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for _, v := range vertices {
			copy(r.Meshes[0].Weights[4*v:], []float32{1, 0, 0, 0})
		}
	}
}

func TestTurnedOver(t *testing.T) {
	rows := func(at ...int) (list []int) { // two lines of the tube, 16 places a ring
		for _, ring := range at {
			list = append(list, 16*ring, 16*ring+5, 16*ring+10)
		}
		return list
	}
	bone := mgl64.Vec3{1, 0, 0}
	of := func(vertices []int, part float64) float64 {
		r := tubeOf(hinge)()
		swapped(vertices...)(r)
		return turnedLongWay(t, r, 1, bone, part)
	}
	mixed := clean()
	lamplighter.Mixed(3)(mixed)
	elbow := lamplighter.Node("lowerArm_L")
	forearm := mixed.RestWorld()[lamplighter.Node("hand_L")].Origin().Sub(mixed.RestWorld()[elbow].Origin())
	many := rows(26, 28, 30, 32, 34)
	checktest.Run(t, turnedOver, Measure, []checktest.Row{
		{Name: "an even ramp, no figure", Rig: tubeOf(ramp(1))},
		{Name: "a hinge within one edge: it folds inside the bend", Rig: tubeOf(hinge)},
		{Name: "one place that stays", Rig: tubeOf(hinge), Plant: swapped(16 * 30)}, // fewer than 8 triangles
		{Name: "the same, any number counts", Rig: tubeOf(hinge), Plant: swapped(16 * 30), Limits: map[string]float64{"least": 1, "half": 0.5},
			Want: []checktest.Want{{Grade: check.Note, Value: of([]int{16 * 30}, 1), Tolerance: 1e-9}}},
		{Name: "fifteen places", Rig: tubeOf(hinge), Plant: swapped(many...), Want: []checktest.Want{{Grade: check.Flaw, Value: of(many, .5), Tolerance: 1e-9, Joints: []rig.Node{1}}}},
		{Name: "limit moved", Rig: tubeOf(hinge), Plant: swapped(many...), Limits: map[string]float64{"half": 0.5, "end": 0.5}},
		{Name: "clean figure: the coat alone", Rig: clean, Limits: map[string]float64{"end": 0.05}},
		{Name: "elbow mixed", Rig: clean, Plant: func(r *rig.Rig) { lamplighter.Mixed(3)(r) }, Limits: map[string]float64{"end": 0.5},
			Want: []checktest.Want{{Grade: check.Flaw, Value: turnedLongWay(t, mixed, elbow, forearm, .5), Tolerance: 1e-9, Joints: []rig.Node{elbow}}}},
	})
}
