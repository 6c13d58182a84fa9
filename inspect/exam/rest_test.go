package exam

import (
	"context"
	"errors"
	"slices"
	"testing"

	"rigloupe/inspect/rig"
)

// two is a figure of two surfaces of one mesh: a triangle on a node that stands at
// x = 10 and outside the shown scene, and one bound to a joint at y = 2.
func two() *rig.Rig {
	at := func(x, y float64) rig.Affine {
		a := rig.Identity
		a[3], a[7] = x, y
		return a
	}
	node := func(a rig.Affine, mesh rig.Mesh, skin rig.Skin) rig.NodeData {
		return rig.NodeData{Parent: rig.None, Matrix: a, Mesh: mesh, Skin: skin}
	}
	r := &rig.Rig{
		Nodes:  []rig.NodeData{node(at(10, 0), 0, rig.None), node(at(0, 2), rig.None, rig.None), node(at(5, 5), 0, 0)},
		Scenes: []rig.Scene{{}, {Roots: []rig.Node{1, 2}}},
		Shown:  1,
		Meshes: []rig.MeshData{{
			Positions: []float32{0, 0, 0, 1, 0, 0, 0, 1, 0}, Triangles: []uint32{0, 1, 2}, K: 4,
			Joints: make([]uint16, 12), Weights: []float32{1, 0, 0, 0, 1, 0, 0, 0, .5, 0, 0, 0},
			Primitives: []rig.PrimitiveData{{Count: 3, TriCount: 1, Sets: 1, Material: rig.None}},
		}},
		Surfaces: []rig.Surface{{Node: 0, Mesh: 0, Skin: rig.None}, {Node: 2, Mesh: 0, Skin: 0}},
		Skins:    []rig.SkinData{{Joints: []rig.Node{1}, Bind: []rig.Affine{rig.Identity}}},
	}
	r.SetOrder()
	return r
}

func TestRest(t *testing.T) {
	e := New(two())
	if got, want := e.RestPositions(0), []float32{10, 0, 0, 11, 0, 0, 10, 1, 0}; !slices.Equal(got, want) {
		t.Errorf("follows its node: %v, want %v", got, want)
	}
	// The node of a skinned surface does not count (glTF 2.0, Skins), and weights are
	// taken as stored: half a weight is half the way from the world's origin.
	if got, want := e.RestPositions(1), []float32{0, 2, 0, 1, 2, 0, 0, 1.5, 0}; !slices.Equal(got, want) {
		t.Errorf("follows its joint: %v, want %v", got, want)
	}
	if a, b := e.RestPositions(1), e.RestPositions(1); &a[0] != &b[0] {
		t.Error("worked out twice")
	}
	if got := e.Shown(); !slices.Equal(got, []int{1}) {
		t.Errorf("shown %v", got)
	}
	if b := e.Box(); b.Min != [3]float64{0, 1.5, 0} || b.Max != [3]float64{1, 2, 0} || e.Height() != 1 { // its shape: half a weight makes nobody half as high
		t.Errorf("box %v, height %v", b, e.Height())
	}
	e.Rig.Scenes[1].Roots = nil
	if got := New(e.Rig).Shown(); !slices.Equal(got, []int{0, 1}) {
		t.Errorf("a scene that shows nothing: %v", got)
	}
}

func TestNothing(t *testing.T) {
	e := New(&rig.Rig{Shown: rig.None})
	if !e.Box().IsEmpty() || e.Diagonal() != 0 || e.Height() != 0 || len(e.Shown()) != 0 {
		t.Errorf("box %v diagonal %v shown %v", e.Box(), e.Diagonal(), e.Shown())
	}
}

func TestTick(t *testing.T) {
	e := New(two())
	said := ""
	e.Station = "intake"
	e.Progress = func(s string, done, total int) { said = s }
	ctx, stop := context.WithCancel(context.Background())
	if err := e.Tick(ctx, 1, 2); err != nil || said != "intake" {
		t.Errorf("%v %q", err, said)
	}
	stop()
	if err := e.Tick(ctx, 2, 2); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}
