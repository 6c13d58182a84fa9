package binding

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestBadIndex(t *testing.T) {
	point := func(v int, joint uint16) func(*rig.Rig) {
		return func(r *rig.Rig) { r.Meshes[0].Joints[4*v] = joint }
	}
	found := func(value float64, v ...rig.Vertex) []checktest.Want {
		return []checktest.Want{{Grade: check.Stop, Name: "vertices", Value: value, Vertices: v}}
	}
	checktest.Run(t, badIndex, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "the last joint", Rig: ladder, Plant: point(0, 2)},
		{Name: "one past the last", Rig: ladder, Plant: point(0, 3), Want: found(1, 0)},
		{Name: "far past", Rig: ladder, Plant: both(point(0, 65535), point(7, 99)), Want: found(2, 0, 7)},
		{Name: "past, without weight", Rig: ladder, Plant: point(20, 3)},
		{Name: "negative", Rig: ladder, Plant: weigh(9, 1.2, -.2), Want: found(1, 9)},
		{Name: "not a number", Rig: ladder, Plant: weigh(9, float32(math.NaN())), Want: found(1, 9)},
		// As the reader hands it over: 0 in its place, and the vertex named.
		{Name: "not a number in the file", Rig: ladder, Plant: both(weigh(9, 0, .5), func(r *rig.Rig) { r.Meshes[0].NonFinite = []rig.Vertex{9} }), Want: found(1, 9)},
		{Name: "infinite", Rig: ladder, Plant: weigh(9, float32(math.Inf(1))), Want: found(1, 9)},
		{Name: "both ways in one vertex", Rig: ladder, Plant: both(weigh(9, 1.2, -.2), point(9, 5)), Want: []checktest.Want{{
			Grade: check.Stop, Name: "vertices", Value: 1, More: map[string]float64{"joint not in the skin": 1, "negative or no number": 1}}}},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
}

// A weight that is no number is told once: what the others sum to says nothing.
func TestNoNumberIsToldOnce(t *testing.T) {
	for _, rest := range []float32{0, .5} {
		r := ladder()
		weigh(9, 0, rest)(r)
		r.Meshes[0].NonFinite = []rig.Vertex{9}
		k := &measured(t, r).Skins[0]
		if k.BadWeight != 1 || k.SumOff != 0 || k.Unbound != 0 {
			t.Errorf("rest of %g: %d bad, %d off, %d unbound", rest, k.BadWeight, k.SumOff, k.Unbound)
		}
	}
}
