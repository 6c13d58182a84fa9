package lesson

import (
	"testing"

	"rigloupe/inspect/bends"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// strewn is a surface of lone vertices about two joints at the origin, the second below the
// first; each row is a place and the weight that the second has of it.
func strewn(rows ...[4]float32) *rig.Rig {
	still := rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
	node := func(name string, parent rig.Node, skin rig.Skin) rig.NodeData {
		return rig.NodeData{Name: name, Parent: parent, Mesh: rig.None, Skin: skin, TRS: still, Matrix: rig.Identity}
	}
	m := rig.MeshData{K: 2}
	for v, r := range rows {
		m.Positions = append(m.Positions, r[:3]...)
		m.Joints, m.Weights = append(m.Joints, 0, 1), append(m.Weights, 1-r[3], r[3])
		m.Triangles = append(m.Triangles, uint32(v), uint32(v), uint32(v))
	}
	m.Primitives = []rig.PrimitiveData{{Count: len(rows), TriCount: len(rows), Material: rig.None, Sets: 1}}
	g := &rig.Rig{
		Nodes: []rig.NodeData{node("root", rig.None, rig.None), node("turned", 0, rig.None), node("shape", rig.None, 0)}, Meshes: []rig.MeshData{m},
		Skins: []rig.SkinData{{Joints: []rig.Node{0, 1}, Bind: []rig.Affine{rig.Identity, rig.Identity}}}, Surfaces: []rig.Surface{{Node: 2}}, Shown: rig.None,
	}
	g.Nodes[0].Children, g.Nodes[2].Mesh = []rig.Node{1}, 0
	g.SetOrder()
	return g
}

// Of vertices that go half and half as near as two digits tell (0.50), the nearest to the
// joint is followed, unless it lies too near to the axis, about which nothing moves: nearer
// than four fifths of its distance (3-4-5: a place at (.8, .6) of its distance just counts).
func TestVertexFollowed(t *testing.T) {
	far, near := [4]float32{1, 0, 0, .5}, [4]float32{.5, 0, 0, .496}
	for _, row := range []struct {
		name string
		also [4]float32
		want rig.Vertex
	}{
		{"as shared, and nearer", near, 1},
		{"0.49 is not 0.50", [4]float32{.5, 0, 0, .494}, 0},
		{"nearer, and steep enough", [4]float32{.41, 0, .3, .5}, 1},
		{"nearer, along the axis", [4]float32{.39, 0, .3, .5}, 0},
	} {
		v := &view{e: exam.New(strewn(far, row.also)), joint: 1, on: -1, turn: &bends.Turn{Dir: [3]float64{0, 0, 1}}}
		if !v.find("shared") || v.vertex != row.want {
			t.Errorf("%s: vertex %d of surface %d is followed", row.name, v.vertex, v.on)
		}
	}
}

// A number off a whole one by less than places tell at a metre is that one: a step of
// float32 there is 2⁻²³, 1.2e-7 (IEEE 754), and eight of them are a sum of eight terms.
func TestDustIsSweptOff(t *testing.T) {
	for _, row := range [][2]float64{{1 - 0x1p-21, 1}, {1 - 0x1p-19, 1 - 0x1p-19}, {0x1p-21, 0}} {
		n := (&view{}).number(&measure{name: "x", unit: say.Share, of: func(*view) (float64, string) { return row[0], "" }})
		if n.Value == nil || *n.Value != row[1] {
			t.Errorf("%g is told as %v", row[0], *n.Value)
		}
	}
}
