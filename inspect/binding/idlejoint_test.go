package binding

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// hang adds a node under a parent, in the skin when it is a joint, with a surface
// without skin when it has a mesh.
func hang(name string, parent rig.Node, joint, mesh bool) func(*rig.Rig) {
	return func(r *rig.Rig) {
		n := rig.Node(len(r.Nodes))
		d := rig.NodeData{Name: name, Parent: parent, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{0, .1, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		d.Matrix = d.TRS.Affine()
		if parent >= 0 {
			r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
		}
		if mesh {
			d.Mesh = rig.Mesh(len(r.Meshes))
			r.Meshes = append(r.Meshes, rig.MeshData{Positions: []float32{0, 0, 0, .1, 0, 0, 0, .1, 0}, Triangles: []uint32{0, 1, 2}, Primitives: []rig.PrimitiveData{{Count: 3, TriCount: 1, Material: rig.None, Array: 7}}})
			r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: d.Mesh, Skin: rig.None})
		}
		r.Nodes = append(r.Nodes, d)
		if joint {
			r.Skins[0].Joints = append(r.Skins[0].Joints, n)
			r.Skins[0].Bind = append(r.Skins[0].Bind, rig.Identity)
		}
		r.SetOrder()
	}
}

func TestIdleJoint(t *testing.T) {
	found := func(nodes ...rig.Node) []checktest.Want {
		return []checktest.Want{{Grade: check.Note, Name: "joints", Value: float64(len(nodes)), Joints: nodes}}
	}
	// In the ladder: 0 root, 1 mid (both with influence), 2 end, 3 the surface; what
	// is hung on becomes 4, 5, …
	checktest.Run(t, idleJoint, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "an end", Rig: ladder},
		{Name: "a second end", Rig: ladder, Plant: hang("tip", 1, true, false)},
		{Name: "an end past a plain node", Rig: ladder, Plant: both(hang("offset", 1, false, false), hang("tip", 4, true, false))},
		{Name: "an end of an end", Rig: ladder, Plant: hang("tip", 2, true, false), Want: found(2, 4)},
		{Name: "a handle beside the skeleton", Rig: ladder, Plant: hang("knee handle", rig.None, true, false), Want: []checktest.Want{{
			Grade: check.Note, Name: "joints", Value: 1, Joints: []rig.Node{4}, Subject: `"knee handle"`, More: map[string]float64{"ends, not counted": 1}}}},
		{Name: "two handles, one without a name", Rig: ladder, Plant: both(hang("a", rig.None, true, false), hang("", 4, true, false)), Want: []checktest.Want{{
			Grade: check.Note, Name: "joints", Value: 2, Joints: []rig.Node{4, 5}, Subject: `"a" and node 5`}}},
		{Name: "forgotten weights", Rig: ladder, Plant: func(r *rig.Rig) { // everything on the root alone
			for v := range 22 {
				weigh(v, 1)(r)
			}
		}, Want: found(1, 2)},
		{Name: "carries a lantern", Rig: ladder, Plant: both(hang("socket", rig.None, true, false), hang("lantern", 4, false, true))},
		{Name: "is a lantern", Rig: ladder, Plant: hang("lantern", rig.None, true, true)},
		{Name: "above what carries", Rig: ladder, Plant: both(hang("arm", rig.None, true, false), hang("socket", 4, true, false), hang("lantern", 5, false, true))},
		{Name: "structural", Rig: ladder, Plant: func(r *rig.Rig) {
			for v := range 22 {
				weigh(v, 0, 1)(r)
			}
		}},
		{Name: "idle in one skin, at work in another", Rig: ladder, Plant: func(r *rig.Rig) {
			r.Skins = append(r.Skins, rig.SkinData{Joints: []rig.Node{1}, Bind: []rig.Affine{rig.Identity}, Skeleton: rig.None})
		}},
		{Name: "limit moved", Rig: ladder, Plant: hang("knee handle", rig.None, true, false), Limits: map[string]float64{"joints": 1}},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
}

func TestClasses(t *testing.T) {
	r := ladder()
	both(hang("socket", 1, true, false), hang("lantern", 4, false, true), hang("handle", rig.None, true, false))(r)
	for v := range 22 {
		weigh(v, 0, 1)(r)
	}
	for i, want := range []string{ClassStructural, "", ClassEnd, ClassCarries, ClassHelper} {
		if j := measured(t, r).Skins[0].Joints[i]; j.Class != want {
			t.Errorf("%s is %q, want %q", j.Name, j.Class, want)
		}
	}
	// What carries a part carries it, even with influence below.
	r = ladder()
	both(hang("buckle", 0, false, true))(r)
	for v := range 22 {
		weigh(v, 0, 1)(r)
	}
	if j := measured(t, r).Skins[0].Joints[0]; j.Class != ClassCarries {
		t.Errorf("%s is %q, want %q", j.Name, j.Class, ClassCarries)
	}
}
