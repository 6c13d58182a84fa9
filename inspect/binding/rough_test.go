package binding

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// The left vertex of row 1 stands out by x: the jump to a neighbour is x·(1 + s), s
// what it counts in that neighbour's mean. Neighbour 0 has two edges, of 0.1 m
// (here) and 0.2 m: s = ⅔. Neighbour 1 has 0.2 m, √0.05 m (here) and 0.1 m: s = 0.2297.
func TestRough(t *testing.T) {
	checktest.Run(t, rough, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "an even ramp", Rig: ladder},
		{Name: "a speck", Rig: ladder, Plant: weigh(2, 0, 1), Want: []checktest.Want{{
			Grade: check.Note, Name: "edges", Value: 4, Tolerance: 1e-5, Vertices: []rig.Vertex{2, 0, 1, 3, 4},
			More: map[string]float64{"largest jump": 1 + 2./3}}}},
		{Name: "a fifth", Rig: ladder, Plant: weigh(2, .8, .2)},
		{Name: "a little more", Rig: ladder, Plant: weigh(2, .78, .22), Want: []checktest.Want{{
			Grade: check.Note, Name: "edges", Value: 1, Tolerance: 1e-5, Vertices: []rig.Vertex{0, 2},
			More: map[string]float64{"largest jump": .22 * (1 + 2./3)}}}},
		{Name: "limit moved", Rig: ladder, Plant: weigh(2, .78, .22), Limits: map[string]float64{"jump": .4}},
		{Name: "a hard edge between stiff halves is meant", Rig: ladder, Plant: func(r *rig.Rig) {
			for v := range 22 {
				w := float32(0)
				if v >= 10 {
					w = 1
				}
				weigh(v, 1-w, w)(r)
			}
		}},
		{Name: "a stiff part", Rig: ladder, Plant: shell(3, 1)},
		{Name: "all in one place", Rig: ladder, Plant: func(r *rig.Rig) { clear(r.Meshes[0].Positions) }},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
	r := ladder()
	weigh(2, 0, 1)(r)
	f := measured(t, r)
	if got := float64(f.Roughness[0][1]); math.Abs(got-1.22971) > 1e-4 {
		t.Errorf("roughness of 1: %g, want 1.22971", got)
	}
	if f.RoughEdges != 4 {
		t.Errorf("%d rough edges, want 4", f.RoughEdges)
	}
}
