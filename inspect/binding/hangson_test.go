package binding

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// plate adds a triangle without a skin at a place beside the ladder's foot, and a
// clip in which the root goes some metres along x; the plate's node with it when own.
func plate(z, travel float32, parent rig.Node, own bool) func(*rig.Rig) {
	return func(r *rig.Rig) {
		n := rig.Node(len(r.Nodes))
		d := rig.NodeData{Name: "plate", Parent: parent, Mesh: 1, Skin: rig.None, TRS: rig.TRS{T: [3]float64{0, 0, float64(z)}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		d.Matrix = d.TRS.Affine()
		r.Nodes = append(r.Nodes, d)
		if parent >= 0 {
			r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
		}
		r.SetOrder()
		r.Meshes = append(r.Meshes, rig.MeshData{Positions: []float32{0, 0, 0, .1, 0, 0, 0, .1, 0}, Triangles: []uint32{0, 1, 2}, Primitives: []rig.PrimitiveData{{Count: 3, TriCount: 1, Material: rig.None}}})
		r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: 1, Skin: rig.None})
		moved := rig.Node(0)
		ch := []rig.Channel{{Node: moved, Path: rig.Translation, Times: []float32{0, 1}, Values: []float32{0, 0, 0, travel, 0, 0}, Width: 3}}
		if own {
			ch = append(ch, rig.Channel{Node: n, Path: rig.Translation, Times: []float32{0, 1}, Values: []float32{0, 0, z, travel, 0, z}, Width: 3})
		}
		r.Clips = []rig.ClipData{{Name: "walk", Channels: ch, Seconds: 1}}
	}
}

func TestHangsOn(t *testing.T) {
	badge := func(hung bool) func(*rig.Rig) {
		return func(r *rig.Rig) { lamplighter.Badge(hung)(r) }
	}
	badgeNode := rig.Node(len(lamp.Nodes))
	none := rig.Node(rig.None)
	// The ladder is 1 m high; the plate stands apart by z.
	checktest.Run(t, hangsOn, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "badge on the chest", Rig: clean, Plant: badge(true), Want: []checktest.Want{{
			Grade: check.Note, Name: "surfaces", Value: 1, Nodes: []rig.Node{badgeNode}, Joints: []rig.Node{lamplighter.Node("chest")}, Subject: `surface "badge"`}}},
		{Name: "badge on nothing", Rig: clean, Plant: badge(false), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "rests on the skin, off by", Value: .0014, Tolerance: .001, Nodes: []rig.Node{badgeNode}, Joints: []rig.Node{lamplighter.Node("chest")}}}},
		{Name: "beside it, the root travels", Rig: ladder, Plant: plate(.3, .06, none, false), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "the root travels", Value: .06, Tolerance: 1e-6, Nodes: []rig.Node{4}, Joints: []rig.Node{0},
			More: map[string]float64{"surfaces": 1}}}},
		{Name: "hardly", Rig: ladder, Plant: plate(.3, .04, none, false)},
		{Name: "it goes along", Rig: ladder, Plant: plate(.3, .06, none, true)},
		{Name: "under a joint", Rig: ladder, Plant: plate(.3, .06, 0, false), Want: []checktest.Want{{
			Grade: check.Note, Name: "surfaces", Value: 1, Joints: []rig.Node{0}}}},
		{Name: "0.9 % of the diagonal away", Rig: ladder, Plant: plate(.0092, 0, none, false), Want: []checktest.Want{{
			Grade: check.Flaw, Name: "rests on the skin, off by", Value: .0092, Tolerance: 1e-3}}},
		{Name: "1.2 % of the diagonal away", Rig: ladder, Plant: plate(.0125, 0, none, false)},
		{Name: "far, and nothing travels", Rig: ladder, Plant: plate(.3, 0, none, false)},
		{Name: "a floor", Rig: ladder, Plant: both(plate(0, .06, none, false), func(r *rig.Rig) {
			r.Meshes[1].Positions = []float32{-2, 0, -2, 2, 0, -2, 0, 0, 2}
		})},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
}
