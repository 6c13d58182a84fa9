package binding

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Surfaces of one mesh and skin lie in one place to the bit. Each vertex without a
// partner looks for the surface opposite: among the triangles of one, not of all, and
// what it finds is the same.
func TestSurfacesInOnePlace(t *testing.T) {
	measure := func(copies int) (*Facts, *against) {
		r := checktest.Built(lamplighter.Options{Vertices: 2000})
		for range copies - 1 {
			n := r.Nodes[r.Surfaces[0].Node]
			n.Parent, n.Children = rig.None, nil
			r.Nodes = append(r.Nodes, n)
			s := r.Surfaces[0]
			s.Node = rig.Node(len(r.Nodes) - 1)
			r.Surfaces = append(r.Surfaces, s)
			r.Scenes[0].Roots = append(r.Scenes[0].Roots, s.Node)
		}
		r.SetOrder()
		e := exam.New(r)
		f, err := Measure(context.Background(), e)
		if err != nil {
			t.Fatal(err)
		}
		s := &sides{work: math.MaxInt, e: e, mirror: e.Mirror(), skinned: make([]bool, len(r.Surfaces))}
		for i := range s.skinned {
			s.skinned[i] = r.Surfaces[i].Skin >= 0
		}
		s.findFacing()
		return f, s.gather(func(int) bool { return true })
	}
	one, a := measure(1)
	ten, b := measure(10)
	if len(a.owner) != len(b.owner) || len(b.corner) != 3*len(b.owner) {
		t.Errorf("%d triangles to search with one surface, %d with ten in the same place", len(a.owner), len(b.owner))
	}
	if d := one.MirrorMismatch.Share - ten.MirrorMismatch.Share; d > 1e-12 || d < -1e-12 {
		t.Errorf("%v of one differ, %v of ten", one.MirrorMismatch.Share, ten.MirrorMismatch.Share)
	}
}
