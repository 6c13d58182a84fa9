package surface

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// wedge is a tetrahedron without symmetry, mirrored by k = −1.
func wedge(k float32) rig.MeshData {
	return rig.MeshData{
		Positions:  []float32{k * .2, 0, 0, k * 1, .1, 0, k * .5, 1, .1, k * .4, .3, .9, k * 9, 9, 9, k * .2, 0, 0},
		Triangles:  []uint32{0, 1, 2, 5, 2, 3, 0, 3, 1, 1, 3, 2},
		Primitives: []rig.PrimitiveData{{Count: 6, TriCount: 4, Material: rig.None, Array: 0}},
	}
}

// Two arms, each a surface of its own: opposite each other, so each has all its
// partners on the other. Vertex 4 is used by nothing, vertex 5 is vertex 0 again.
func TestFacts(t *testing.T) {
	node := func(name string, m rig.Mesh) rig.NodeData {
		return rig.NodeData{Name: name, Parent: rig.None, Mesh: m, Skin: rig.None, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}, Matrix: rig.Identity}
	}
	left, right := wedge(1), wedge(-1)
	right.Primitives[0].Array = 1
	r := &rig.Rig{
		Nodes:    []rig.NodeData{node("arm_L", 0), node("arm_R", 1)},
		Meshes:   []rig.MeshData{left, right},
		Surfaces: []rig.Surface{{Node: 0, Mesh: 0, Skin: rig.None}, {Node: 1, Mesh: 1, Skin: rig.None}},
		Shown:    rig.None,
	}
	r.SetOrder()
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	one := Counts{Vertices: 6, Welded: 5, Triangles: 4, Unused: 1}
	if f.Surfaces[0].Counts != one || f.Surfaces[1].Counts != one || f.Counts != (Counts{12, 10, 8, 2}) {
		t.Errorf("counts %+v, %+v, over all %+v", f.Surfaces[0].Counts, f.Surfaces[1].Counts, f.Counts)
	}
	if f.Mirror == nil || f.Mirror.Pairs != 4 || f.Mirror.Unmatched != 0 || f.Mirror.Normal != [3]float64{1, 0, 0} {
		t.Fatalf("mirror %+v", f.Mirror)
	}
	for i := range f.Surfaces {
		if m := f.Surfaces[i].Mirror; m == nil || m.Pairs != 4 || m.UnmatchedShare != 0 {
			t.Errorf("mirror of surface %d: %+v", i, m)
		}
		field := f.Mismatch[i]
		if len(field) != 6 || field[0] != 0 || field[5] != 0 || !math.IsNaN(float64(field[4])) {
			t.Errorf("field of surface %d: %v", i, field)
		}
	}

	// Vertex 3 of the left arm 1 mm higher: that far from its image, both ways.
	left.Positions[10] += 0.001
	if f, err = Measure(context.Background(), exam.New(r)); err != nil {
		t.Fatal(err)
	}
	for i := range f.Surfaces {
		if d := float64(f.Mismatch[i][3]); math.Abs(d-0.001) > 2e-4 {
			t.Errorf("surface %d: vertex 3 is %g m from its image, want about 0.001", i, d)
		}
	}
}
