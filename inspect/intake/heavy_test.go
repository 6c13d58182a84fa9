package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// crowd gives the post so many joints, each with a vertex of its own.
func crowd(joints int) func() *rig.Rig {
	return func() *rig.Rig {
		r := post(true)
		m, s := &r.Meshes[0], &r.Skins[0]
		for j := 2; j < joints; j++ {
			n := rig.Node(len(r.Nodes))
			r.Nodes = append(r.Nodes, rig.NodeData{Parent: postRoot, TRS: unitTRS, Matrix: rig.Identity, Mesh: rig.None, Skin: rig.None})
			r.Nodes[postRoot].Children = append(r.Nodes[postRoot].Children, n)
			s.Joints, s.Bind = append(s.Joints, n), append(s.Bind, rig.Identity)
			m.Positions = append(m.Positions, 0, 1, 0)
			m.Primitives[0].Count++
			m.Joints, m.Weights = append(m.Joints, uint16(j), 0, 0, 0), append(m.Weights, 1, 0, 0, 0)
		}
		r.SetOrder()
		return r
	}
}

func TestHeavy(t *testing.T) {
	// The post's eight vertices once a primitive: an array that several share counts
	// each time.
	vertices := func(n int) func(*rig.Rig) {
		return func(r *rig.Rig) {
			for m := &r.Meshes[0]; len(m.Primitives)*8 < n; {
				m.Primitives = append(m.Primitives, m.Primitives[0])
			}
		}
	}
	shape := []rig.Node{postShape}
	checktest.Run(t, heavy, Measure, []checktest.Row{
		{Name: "clean", Rig: skinnedPost},
		{Name: "clean figure", Rig: sample(nil)},
		{Name: "vertices at the limit", Rig: skinnedPost, Plant: vertices(100_000)},
		{Name: "over it", Rig: skinnedPost, Plant: vertices(100_008), Want: []checktest.Want{{Grade: check.Note, Name: "vertices", Value: 100_008, Nodes: shape}}},
		{Name: "many, at the limit", Rig: plainPost, Plant: vertices(300_000), Want: []checktest.Want{{Grade: check.Note, Value: 300_000}}},
		{Name: "many, over it", Rig: plainPost, Plant: vertices(300_008), Want: []checktest.Want{{Grade: check.Flaw, Value: 300_008}}},
		{Name: "joints at the limit", Rig: crowd(128)},
		{Name: "joints over it", Rig: crowd(129), Want: []checktest.Want{{Grade: check.Note, Name: "joints with influence", Value: 129, Nodes: shape,
			Subject: `surface "post"; passes the ceilings 24, 48, 75, 110, 128`}}},
		{Name: "joints, many, at the limit", Rig: crowd(255), Want: []checktest.Want{{Grade: check.Note, Value: 255}}},
		{Name: "joints, many, over it", Rig: crowd(256), Want: []checktest.Want{{Grade: check.Flaw, Value: 256}}},
		{Name: "joints without influence", Rig: crowd(300), Plant: func(r *rig.Rig) { clear(r.Meshes[0].Weights[4*20:]) }},
		{Name: "limit set", Rig: skinnedPost, Limits: map[string]float64{"vertices": 7}, Want: []checktest.Want{{Grade: check.Note, Value: 8}}},
		{Name: "empty file", Rig: nothing, Skip: "no surface in this file"},
	})
}
