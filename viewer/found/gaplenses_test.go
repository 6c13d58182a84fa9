package found

import (
	"context"
	"math"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A ball in a box of side 2, worked by hand: its nearest places are a tenth off the sides, its
// middle 1 deep; with the ball shifted out by half, what is out has a gap, what is in is under.
func TestGaps(t *testing.T) {
	if _, err := Field(examined(t, ""), "gap", Params{}); err == nil || !strings.Contains(err.Error(), "there is one surface") {
		t.Error(err)
	}
	box := rig.MeshData{Name: "box", Primitives: []rig.PrimitiveData{{Material: rig.None}}}
	for i := range 8 {
		for c := range 3 {
			box.Positions = append(box.Positions, float32(2*(i>>c&1)-1))
		}
	}
	for _, q := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		box.Triangles = append(box.Triangles, q[0], q[1], q[2], q[0], q[2], q[3])
	}
	small := rig.MeshData{Name: "small", Primitives: []rig.PrimitiveData{{Material: rig.None}}, Triangles: box.Triangles}
	for _, x := range box.Positions {
		small.Positions = append(small.Positions, 0.9*x)
	}
	for v := range small.Vertices() { // to the left half out of it
		small.Positions[3*v] += 1
	}
	node := func(m rig.Mesh) rig.NodeData {
		return rig.NodeData{Name: []string{"box", "small"}[m], Parent: rig.None, Mesh: m, Skin: rig.None, TRS: rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}, Matrix: rig.Identity}
	}
	r := &rig.Rig{Nodes: []rig.NodeData{node(0), node(1)}, Order: []rig.Node{0, 1}, Scenes: []rig.Scene{{Roots: []rig.Node{0, 1}}}, Meshes: []rig.MeshData{box, small},
		Surfaces: []rig.Surface{{Node: 0, Mesh: 0, Skin: rig.None}, {Node: 1, Mesh: 1, Skin: rig.None}}}
	for i := range r.Meshes {
		r.Meshes[i].Primitives[0].Count, r.Meshes[i].Primitives[0].TriCount = 8, 12
		r.Meshes[i].Remeasure()
	}
	res, err := inspect.Examine(context.Background(), r, inspect.Options{Only: []string{"intake"}})
	if err != nil {
		t.Fatal(err)
	}
	gap, err := Field(res, "gap", Params{})
	if err != nil {
		t.Fatal(err)
	}
	inside, _ := Field(res, "inside", Params{})
	for v := range 8 {
		// Corners at x = 0.1 lie 0.1 under the sides; those at x = 1.9 are 0.9 off.
		want, in := -.1, 1.
		if space.At(small.Positions, v)[0] > 1 {
			want, in = .9, 0
		}
		if math.Abs(float64(gap.Values[1][v])-want) > 1e-6 || math.Abs(float64(inside.Values[1][v])-in) > .02 {
			t.Errorf("vertex %d: gap %v, inside %v; want %v, %v", v, gap.Values[1][v], inside.Values[1][v], want, in)
		}
	}
	if want := "Gap. Under what they lie on: 4 vertices of 16, 0.1\u00a0m at most, of surface \"small\"."; gap.Caption != want {
		t.Errorf("%q", gap.Caption)
	}
}
