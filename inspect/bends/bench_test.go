package bends

import (
	"context"
	"fmt"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// many is the sample with helper joints, one below each of the first joints, that hold a
// share of every other vertex of it: sixty joints in all.
func many(vertices int) *rig.Rig {
	r := checktest.Built(lamplighter.Options{Vertices: vertices})
	k, m := &r.Skins[0], &r.Meshes[0]
	had := len(k.Joints)
	for len(k.Joints) < 60 {
		above := k.Joints[len(k.Joints)-had]
		n := rig.Node(len(r.Nodes))
		d := rig.NodeData{Name: fmt.Sprintf("helper %d", n), Parent: above, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{0, .05, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		d.Matrix = d.TRS.Affine()
		r.Nodes = append(r.Nodes, d)
		r.Nodes[above].Children = append(r.Nodes[above].Children, n)
		k.Joints, k.Bind = append(k.Joints, n), append(k.Bind, rig.Identity)
	}
	r.SetOrder()
	world := r.RestWorld()
	for j, n := range k.Joints {
		k.Bind[j], _ = world[n].Inverse()
	}
	for v := 0; v < m.Vertices(); v += 2 {
		w, j := m.Weights[m.K*v:m.K*v+m.K], m.Joints[m.K*v:m.K*v+m.K]
		best := 0
		for i := range w {
			if w[i] > w[best] {
				best = i
			}
		}
		if helper := had + int(j[best]); helper < len(k.Joints) {
			for i := range w {
				if w[i] == 0 {
					w[best], w[i], j[i] = w[best]*.75, w[best]*.25, uint16(helper)
					break
				}
			}
		}
	}
	return r
}

// The whole bend set. vertices/op counts those that moves work out again, so that
// ns/vertex is the slope.
func BenchmarkMeasure(b *testing.B) {
	for _, vertices := range []int{10_000, 30_000, 100_000} {
		for _, row := range []struct {
			name string
			rig  func(int) *rig.Rig
		}{{"34 joints", func(n int) *rig.Rig { return checktest.Built(lamplighter.Options{Vertices: n}) }}, {"60 joints", many}} {
			b.Run(fmt.Sprintf("%d vertices, %s", vertices, row.name), func(b *testing.B) {
				r := row.rig(vertices)
				var f *Facts
				for b.Loop() {
					var err error
					if f, err = Measure(context.Background(), exam.New(r)); err != nil {
						b.Fatal(err)
					}
				}
				moved := 0
				for i := range f.Moves {
					moved += f.Moves[i].zoneAt.count
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(moved), "ns/vertex")
				b.ReportMetric(float64(len(f.Moves)), "moves")
			})
		}
	}
}
