package binding

import (
	"context"
	"math/rand"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// scattered hangs every vertex of the sample on eight joints drawn at random from as
// many as asked: everything is a stray, a seam cannot be smooth, all are cut.
func scattered(vertices, joints int) *rig.Rig {
	r := checktest.Built(lamplighter.Options{Vertices: vertices})
	k := &r.Skins[0]
	for len(k.Joints) < joints {
		n := rig.Node(len(r.Nodes))
		up := k.Joints[len(k.Joints)-1]
		d := rig.NodeData{Parent: up, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{0, .001, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		d.Matrix = d.TRS.Affine()
		r.Nodes = append(r.Nodes, d)
		r.Nodes[up].Children = append(r.Nodes[up].Children, n)
		k.Joints, k.Bind = append(k.Joints, n), append(k.Bind, rig.Identity)
	}
	r.SetOrder()
	world := r.RestWorld()
	for j, n := range k.Joints {
		k.Bind[j], _ = world[n].Inverse()
	}
	m := &r.Meshes[0]
	n := m.Vertices()
	draw := rand.New(rand.NewSource(1))
	m.K, m.Joints, m.Weights = 8, make([]uint16, 8*n), make([]float32, 8*n)
	for i := range m.Joints {
		m.Joints[i], m.Weights[i] = uint16(draw.Intn(joints)), .125
	}
	return r
}

// The worst case: an answer, no figure that is none, and in bounded time.
func TestScattered(t *testing.T) {
	rounds.Dear(t)
	checktest.Judge(t, &Station, scattered(6000, 500), nil)
}

func BenchmarkScattered(b *testing.B) {
	r := scattered(100_000, 500)
	e := exam.New(r)
	e.Mirror()
	for b.Loop() {
		if _, err := Measure(context.Background(), e); err != nil {
			b.Fatal(err)
		}
	}
}
