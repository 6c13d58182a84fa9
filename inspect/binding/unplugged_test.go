package binding

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// tidy is the ladder with no joint named at weight 0.
func tidy() *rig.Rig {
	r := ladder()
	m := &r.Meshes[0]
	for i, w := range m.Weights {
		if w == 0 {
			m.Joints[i] = 0
		}
	}
	return r
}

func TestUnplugged(t *testing.T) {
	checktest.Run(t, unplugged, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "ladder", Rig: tidy},
		{Name: "weights without a skin", Rig: tidy, Plant: unskinned, Want: []checktest.Want{{
			Grade: check.Flaw, Name: "surfaces without a skin", Value: 1, Nodes: []rig.Node{3}, Subject: `"strip"`}}},
		{Name: "a skin without weights", Rig: tidy, Plant: func(r *rig.Rig) {
			m := &r.Meshes[0]
			m.K, m.Joints, m.Weights = 0, nil, nil
			q := &m.Primitives[0]
			q.Sets, q.JointSets, q.WeightSets = 0, 0, 0
		}, Want: []checktest.Want{{Grade: check.Flaw, Name: "surfaces without joints", Value: 1, Nodes: []rig.Node{3}}}},
		{Name: "joints without weights", Rig: tidy, Plant: func(r *rig.Rig) { r.Meshes[0].Primitives[0].JointSets = 2 }, Want: []checktest.Want{{
			Grade: check.Flaw, Name: "surfaces with unequal sets", Value: 1, Nodes: []rig.Node{3}}}},
		{Name: "outside the scene", Rig: tidy, Plant: func(r *rig.Rig) {
			r.Scenes, r.Shown = []rig.Scene{{Roots: []rig.Node{3}}}, 0
		}, Want: []checktest.Want{{Grade: check.Stop, Name: "joints outside", Value: 3, Joints: []rig.Node{0, 1, 2}}}},
		{Name: "all inside", Rig: tidy, Plant: func(r *rig.Rig) {
			r.Scenes, r.Shown = []rig.Scene{{Roots: []rig.Node{0, 3}}}, 0
		}},
		{Name: "a joint twice in the skin", Rig: tidy, Plant: func(r *rig.Rig) {
			k := &r.Skins[0]
			k.Joints, k.Bind = append(k.Joints, 1), append(k.Bind, k.Bind[1])
		}, Want: []checktest.Want{{Grade: check.Flaw, Name: "joints named twice", Value: 1, Joints: []rig.Node{1}}}},
		{Name: "a joint twice on a vertex", Rig: tidy, Plant: func(r *rig.Rig) {
			copy(r.Meshes[0].Joints[40:], []uint16{1, 1})
		}, Want: []checktest.Want{{Grade: check.Flaw, Name: "vertices", Value: 1, Vertices: []rig.Vertex{10}}}},
		{Name: "an index at weight 0", Rig: tidy, Plant: func(r *rig.Rig) { r.Meshes[0].Joints[83] = 2 }, Want: []checktest.Want{{
			Grade: check.Note, Name: "vertices", Value: 1, Vertices: []rig.Vertex{20}}}},
		{Name: "no skin and no weights", Rig: tidy, Plant: both(unskinned, func(r *rig.Rig) {
			r.Meshes[0].K, r.Meshes[0].Primitives[0].Sets, r.Meshes[0].Primitives[0].JointSets, r.Meshes[0].Primitives[0].WeightSets = 0, 0, 0, 0
		}), Skip: "no skin in this file"},
	})
}
