package exam

import (
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/rig"
)

// A tree at random, with a triangle bound to each of its joints, has many joints that a figure
// may hang by, and so have its parts: figures are looked for in figures two deep and no deeper.
// Of 2,000 joints it did not end in four minutes.
func TestFiguresWithinFiguresEnd(t *testing.T) {
	const n = 600
	rnd := rand.New(rand.NewPCG(7, 7))
	r := &rig.Rig{Nodes: make([]rig.NodeData, n+1), Shown: rig.None}
	for i := range r.Nodes {
		d := &r.Nodes[i]
		d.Parent, d.Mesh, d.Skin = rig.None, rig.None, rig.None
		d.TRS = rig.TRS{T: [3]float64{0.01 * float64(i%7-3), 0.01, 0.01 * float64(i%5-2)}, R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}
		d.Matrix = d.TRS.Affine()
		if i > 0 && i < n {
			d.Parent = rig.Node(rnd.IntN(i))
			r.Nodes[d.Parent].Children = append(r.Nodes[d.Parent].Children, rig.Node(i))
		}
	}
	m := rig.MeshData{K: 4, Primitives: []rig.PrimitiveData{{Count: 3 * n, TriCount: n, Mode: 4, Sets: 1, Material: rig.None, Array: rig.None}}}
	s := rig.SkinData{}
	for j := range n {
		s.Joints = append(s.Joints, rig.Node(j))
		x, y, z := rnd.Float32(), rnd.Float32(), rnd.Float32()
		m.Positions = append(m.Positions, x, y, z, x+.01, y, z, x, y+.01, z)
		for k := range 3 {
			m.Joints, m.Weights = append(m.Joints, uint16(j), 0, 0, 0), append(m.Weights, 1, 0, 0, 0)
			m.Triangles = append(m.Triangles, uint32(3*j+k))
		}
	}
	for range n {
		s.Bind = append(s.Bind, rig.Identity)
	}
	r.Nodes[n].Mesh, r.Nodes[n].Skin = 0, 0
	r.Meshes, r.Skins, r.Surfaces = []rig.MeshData{m}, []rig.SkinData{s}, []rig.Surface{{Node: n, Mesh: 0, Skin: 0}}
	r.SetOrder()
	e := New(r)
	for range 3 { // as each part asks the next
		e.Roles()
		if e.inner > mostWithin && len(e.Figures()) > 0 {
			t.Fatal("figures are told deeper than two")
		}
		e = e.partly(&Figure{Joints: s.Joints, Surfaces: []int{0}, Vertices: [][]rig.Vertex{nil}})
	}
	if e.inner != 3 || e.Figures() != nil {
		t.Errorf("three deep, %d: figures are looked for", e.inner)
	}
}
