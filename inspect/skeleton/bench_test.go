package skeleton

import (
	"fmt"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// A long flat skin: what looks at pairs must not look at all of them.
func BenchmarkManyJoints(b *testing.B) {
	for _, n := range []int{1000, 4000, 16000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			r := checktest.Built(lamplighter.Options{})
			add(r, n)
			for b.Loop() {
				measured(b, r)
			}
		})
	}
}

// add hangs n joints on the hips at once.
func add(r *rig.Rig, n int) {
	for i := range n {
		t := rig.TRS{T: [3]float64{float64(i) * 1e-3, 0, 0.1}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
		k := rig.Node(len(r.Nodes))
		r.Nodes = append(r.Nodes, rig.NodeData{Name: fmt.Sprintf("k%d", i), Parent: 0, TRS: t, Matrix: t.Affine(), Mesh: rig.None, Skin: rig.None})
		r.Nodes[0].Children = append(r.Nodes[0].Children, k)
		r.Skins[0].Joints, r.Skins[0].Bind = append(r.Skins[0].Joints, k), append(r.Skins[0].Bind, rig.Identity)
	}
	r.SetOrder()
}

func BenchmarkMeasure(b *testing.B) {
	for _, n := range []int{10_000, 100_000, 1_000_000} {
		r := checktest.Built(lamplighter.Options{Vertices: n})
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				measured(b, r)
			}
		})
	}
}

// Many skins that share their joints: each is held against the first holders alone.
func BenchmarkManySkins(b *testing.B) {
	for _, n := range []int{50, 200, 800} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			r := checktest.Built(lamplighter.Options{Vertices: 2000})
			for range n {
				r.Skins = append(r.Skins, r.Skins[0])
			}
			for b.Loop() {
				measured(b, r)
			}
		})
	}
}
