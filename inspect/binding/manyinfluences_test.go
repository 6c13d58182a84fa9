package binding

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// crowd widens the mesh to three sets and spreads vertex v evenly over n slots.
func crowd(v, n int) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		if m.K < 12 {
			joints, weights := make([]uint16, 12*m.Vertices()), make([]float32, 12*m.Vertices())
			for i := range m.Vertices() {
				copy(joints[12*i:], m.Joints[m.K*i:m.K*(i+1)])
				copy(weights[12*i:], m.Weights[m.K*i:m.K*(i+1)])
			}
			m.K, m.Joints, m.Weights = 12, joints, weights
			for len(r.Skins[0].Joints) < 12 {
				r.Skins[0].Joints = append(r.Skins[0].Joints, 2)
				r.Skins[0].Bind = append(r.Skins[0].Bind, r.Skins[0].Bind[2])
			}
		}
		for k := range 12 {
			m.Joints[12*v+k], m.Weights[12*v+k] = uint16(k), 0
			if k < n {
				m.Weights[12*v+k] = 1 / float32(n)
			}
		}
	}
}

func TestManyInfluences(t *testing.T) {
	checktest.Run(t, manyInfluences, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "four", Rig: ladder, Plant: crowd(3, 4)},
		{Name: "five", Rig: ladder, Plant: crowd(3, 5), Want: []checktest.Want{{
			Grade: check.Note, Name: "most on one vertex", Value: 5, Vertices: []rig.Vertex{3}, More: map[string]float64{"crowded": 1}}}},
		{Name: "five and eight", Rig: ladder, Plant: both(crowd(3, 5), crowd(8, 8)), Want: []checktest.Want{{
			Grade: check.Note, Name: "most on one vertex", Value: 8, Vertices: []rig.Vertex{3, 8}}}},
		{Name: "nine among fives", Rig: ladder, Plant: both(crowd(3, 5), crowd(8, 9)), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "most on one vertex", Value: 9, Vertices: []rig.Vertex{8}, More: map[string]float64{"crowded": 1}}}},
		{Name: "limit moved down", Rig: ladder, Limits: map[string]float64{"usual": 1}, Want: []checktest.Want{{
			Grade: check.Note, Name: "most on one vertex", Value: 2, Vertices: []rig.Vertex{8, 9, 10, 11, 12, 13}}}},
		{Name: "a vertex no triangle uses", Rig: ladder, Plant: both(loose, crowd(22, 9))},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
}
