package binding

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

func TestCrossBody(t *testing.T) {
	plant := func(share float32) func(*rig.Rig) {
		return func(r *rig.Rig) { lamplighter.CrossOver(12, share)(r) }
	}
	thigh := lamplighter.Node("upperLeg_L")
	nameless := func(r *rig.Rig) {
		for i := range r.Nodes {
			r.Nodes[i].Name = ""
		}
	}
	checktest.Run(t, crossBody, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "clean, joints without names", Rig: clean, Plant: nameless},
		{Name: "ladder: no sides", Rig: ladder},
		{Name: "right shin on the left thigh", Rig: clean, Plant: plant(.2), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "vertices", Value: 12, Joints: []rig.Node{thigh}, Tolerance: 1e-9,
			More: map[string]float64{"largest weight": 409. / 2048}}}},
		{Name: "the same without names", Rig: clean, Plant: both(plant(.2), nameless), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "vertices", Value: 12, Joints: []rig.Node{thigh}}}},
		{Name: "102/2048: under 0.05", Rig: clean, Plant: plant(.05)},
		{Name: "103/2048: over", Rig: clean, Plant: plant(.0504), Want: []checktest.Want{{Grade: check.Flaw, Value: 12}}},
		{Name: "nearer to the plane than the limit", Rig: clean, Plant: plant(.2), Limits: map[string]float64{"beyond": .1}},
		{Name: "weight allowed", Rig: clean, Plant: plant(.2), Limits: map[string]float64{"weight": .2}},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
		{Name: "no plane", Rig: ladder, Plant: func(r *rig.Rig) { clear(r.Meshes[0].Positions) }, Skip: "no mirror plane was found"},
	})
	r := clean()
	plant(.2)(r)
	equal(t, "cross_body_vertices", measured(t, r).CrossBody, 12)
}
