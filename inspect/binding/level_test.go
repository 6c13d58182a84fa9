package binding

import (
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// level lists what lies as near as the partner does, but for rounding: a figure with a
// diagonal of 10 m, so that its hundred-thousandth is a tenth of a millimetre. A vertex 5 µm
// farther than the partner is as near, one 50 µm farther too, one 0.2 mm farther is not.
func TestLevelPlaces(t *testing.T) {
	places := func(copies int) []float32 {
		p := []float32{1, 0, 0, -1, 0, 0}
		for range copies {
			p = append(p, -1.00005, 0, 0)
		}
		return append(p, -1.0002, 0, 0)
	}
	for copies, want := range map[int]int{0: 1, 1: 2, 5: 6, 14: 15, 40: 16} {
		p := places(copies)
		r := &rig.Rig{Shown: 0, Scenes: []rig.Scene{{Roots: []rig.Node{0}}},
			Nodes:  []rig.NodeData{{Parent: rig.None, Mesh: 0, Skin: rig.None, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}, Matrix: rig.Identity}},
			Meshes: []rig.MeshData{{Positions: []float32{0, 0, 0, 10, 0, 0, 10, .001, 0}, Triangles: []uint32{0, 1, 2}, Primitives: []rig.PrimitiveData{{Count: 3, TriCount: 1, Mode: 4}}}},
		}
		r.Surfaces = []rig.Surface{{Node: 0, Mesh: 0, Skin: rig.None}}
		r.SetOrder()
		e := exam.New(r)
		if d := e.Diagonal(); d < 9.99 || d > 10.01 {
			t.Fatalf("a diagonal of %g", d)
		}
		m := &exam.Mirror{Places: p}
		m.Distance = make([]float32, len(p)/3)
		m.Plane = geom.Plane{Normal: space.Vec{1, 0, 0}}
		s := &sides{e: e, mirror: m}
		if got := len(s.level(0)); got != want {
			t.Errorf("%d copies: %d places as near as the partner, want %d", copies, got, want)
		}
	}
}
