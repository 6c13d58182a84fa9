package bends

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// tube lies along x from −half to half, open or capped, bound to a chain: node 0 at
// −half, node 1 at the origin, node 2 (an end) at half. weight says how much of a
// place the second joint has, 0 … 1, by its x and its angle about the axis.
func tube(half, radius float64, rings, sides int, capped bool, weight func(x, angle float64) float64) *rig.Rig {
	node := func(name string, parent rig.Node, x float64, children ...rig.Node) rig.NodeData {
		n := rig.NodeData{Name: name, Parent: parent, Children: children, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{x, 0, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		n.Matrix = n.TRS.Affine()
		return n
	}
	r := &rig.Rig{
		Nodes: []rig.NodeData{node("first", rig.None, -half, 1), node("second", 0, half, 2), node("end", 1, half), node("tube", rig.None, 0)},
		Shown: rig.None,
	}
	r.Nodes[3].Mesh, r.Nodes[3].Skin = 0, 0
	r.SetOrder()
	m := rig.MeshData{K: 4}
	put := func(x, y, z, w float64) {
		m.Positions = append(m.Positions, float32(x), float32(y), float32(z))
		m.Joints = append(m.Joints, 0, 1, 0, 0)
		m.Weights = append(m.Weights, float32(1-w), float32(w), 0, 0)
	}
	for i := range rings + 1 {
		x := half * (2*float64(i)/float64(rings) - 1)
		for s := range sides {
			a := 2 * math.Pi * float64(s) / float64(sides)
			put(x, radius*math.Cos(a), radius*math.Sin(a), weight(x, a))
		}
	}
	at := func(i, s int) uint32 { return uint32(i*sides + s%sides) }
	for i := range rings {
		for s := range sides {
			m.Triangles = append(m.Triangles, at(i, s), at(i, s+1), at(i+1, s), at(i, s+1), at(i+1, s+1), at(i+1, s))
		}
	}
	if capped {
		first := uint32((rings + 1) * sides)
		put(-half, 0, 0, weight(-half, 0))
		put(half, 0, 0, weight(half, 0))
		for s := range sides {
			m.Triangles = append(m.Triangles, first, at(0, s+1), at(0, s), first+1, at(rings, s), at(rings, s+1))
		}
	}
	n := len(m.Positions) / 3
	m.Primitives = []rig.PrimitiveData{{Count: n, TriCount: len(m.Triangles) / 3, Material: rig.None, Sets: 1, JointSets: 1, WeightSets: 1, JointType: 5121, WeightType: 5126, PositionType: 5126}}
	r.Meshes = []rig.MeshData{m}
	r.Surfaces = []rig.Surface{{Node: 3, Mesh: 0, Skin: 0}}
	world := r.RestWorld()
	skin := rig.SkinData{Name: "tube", Joints: []rig.Node{0, 1, 2}, Skeleton: rig.None, HasBind: true}
	for j := range 3 {
		inv, _ := world[j].Inverse()
		skin.Bind = append(skin.Bind, inv)
	}
	r.Skins = []rig.SkinData{skin}
	return r
}

// ramp goes from 0 to 1 between −half and half.
func ramp(half float64) func(x, angle float64) float64 {
	return func(x, _ float64) float64 {
		// In steps of a billionth, or rounding would leave dust where the ramp ends.
		return math.Round(1e9*max(0, min(1, (x+half)/(2*half)))) / 1e9
	}
}

func even(w float64) func(x, angle float64) float64 { return func(_, _ float64) float64 { return w } }

func measured(t testing.TB, r *rig.Rig) *Facts {
	t.Helper()
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// bent measures one turn of a joint about an axis, at any angle.
func bent(t testing.TB, f *Facts, joint rig.Node, axis [3]float64, degrees float64) *Move {
	t.Helper()
	for _, turn := range f.Turns {
		if turn.Joint == joint {
			turn.Dir = axis
			g := *f
			g.Turns = []Turn{turn}
			field, ok := g.Field(joint, turn.Axis, degrees, 0)
			if !ok {
				t.Fatal("no such turn")
			}
			return &field.Move
		}
	}
	t.Fatalf("joint %d does not turn", joint)
	return nil
}

func near(t *testing.T, what string, got, want, slack float64) {
	t.Helper()
	if d := math.Abs(got - want); !(d <= slack) {
		t.Errorf("%s: %.7g, want %.7g (off by %.2g, allowed %.2g)", what, got, want, d, slack)
	}
}
