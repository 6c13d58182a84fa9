package binding

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// five hangs the left vertex of row 5 on five slots: so much on the end joint, in the
// slot given, the rest on root and mid twice each, even.
func five(slot int, end float32) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		n := m.Vertices()
		joints, weights := make([]uint16, 8*n), make([]float32, 8*n)
		for v := range n {
			copy(joints[8*v:], m.Joints[4*v:4*v+4])
			copy(weights[8*v:], m.Weights[4*v:4*v+4])
		}
		m.K, m.Joints, m.Weights = 8, joints, weights
		for k, j := 0, 0; k < 5; k++ {
			i := 80 + k
			if k == slot {
				joints[i], weights[i] = 2, end
				continue
			}
			joints[i], weights[i] = uint16(j%2), (1-end)/4
			j++
		}
	}
}

func TestCutToFour(t *testing.T) {
	swing := 2 * math.Sin(math.Pi/8) * math.Hypot(.1, .5)
	crowd := func(r *rig.Rig) { lamplighter.Crowd(30, 6)(r) }
	checktest.Run(t, cutToFour, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "ladder", Rig: ladder},
		{Name: "six evenly", Rig: clean, Plant: crowd, Want: []checktest.Want{{
			Grade: check.Flaw, Name: "shift", Value: .0265, Tolerance: .001,
			More: map[string]float64{"weight lost by the strongest four": 1. / 3}}}},
		{Name: "six evenly, allowed", Rig: clean, Plant: crowd, Limits: map[string]float64{"shift": .03}, Want: []checktest.Want{{
			Grade: check.Note, Name: "vertices", Value: 30}}},
		// The end joint at y = 1 turns by 45° about z: what it holds of the vertex goes
		// 2 sin 22.5° · √(0.1² + 0.5²) m.
		{Name: "five, the least last", Rig: ladder, Plant: five(4, .0132), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "shift", Value: .0132 * swing / math.Hypot(.2, 1), Tolerance: 1e-6, Vertices: []rig.Vertex{10}, Joints: []rig.Node{2},
			More: map[string]float64{"shift in metres": .0132 * swing, "weight lost by the strongest four": .0132, "weight lost by the first four": .0132}}}},
		{Name: "just under", Rig: ladder, Plant: five(4, .0130), Want: []checktest.Want{{
			Grade: check.Note, Name: "vertices", Value: 1, Vertices: []rig.Vertex{10}}}},
		{Name: "five, the greatest last", Rig: ladder, Plant: five(4, .6), Want: []checktest.Want{
			{Grade: check.Flaw, Name: "shift", Value: (.6/.9 - .6) * swing / math.Hypot(.2, 1), Tolerance: 1e-6},
			{Grade: check.Note, Name: "strong weights outside the first set", Value: 1, Vertices: []rig.Vertex{10}}}},
		{Name: "five, the greatest first", Rig: ladder, Plant: five(0, .6), Limits: map[string]float64{"shift": 1}, Want: []checktest.Want{
			{Grade: check.Note, Name: "vertices", Value: 1}}},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
}
