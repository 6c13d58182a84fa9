package binding

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// The ladder has 28 weights. A vertex of row 0 with a second weight of 0.005 makes
// one more, and that one faint.
func TestFaint(t *testing.T) {
	drops := func(n int, w float32) func(*rig.Rig) {
		return func(r *rig.Rig) {
			for v := range n {
				weigh(v, 1-w, w)(r)
			}
		}
	}
	checktest.Run(t, faint, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "1 of 29", Rig: ladder, Plant: drops(1, .005)},
		{Name: "2 of 30", Rig: ladder, Plant: drops(2, .005), Want: []checktest.Want{{
			Grade: check.Note, Name: "share", Value: 2. / 30, Tolerance: 1e-12, Subject: "2 of 30 weights", Vertices: []rig.Vertex{0, 1}}}},
		{Name: "just below 0.01", Rig: ladder, Plant: drops(2, .00999), Want: []checktest.Want{{
			Grade: check.Note, Name: "share", Value: 2. / 30, Tolerance: 1e-12}}},
		{Name: "just above 0.01", Rig: ladder, Plant: drops(4, .01001)},
		{Name: "limit moved", Rig: ladder, Plant: drops(2, .005), Limits: map[string]float64{"share": .1}},
		{Name: "no weight at all", Rig: ladder, Plant: func(r *rig.Rig) { clear(r.Meshes[0].Weights) }},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
}
