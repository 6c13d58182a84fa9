package bind

import (
	"fmt"
	"testing"

	"rigloupe/inspect/lamplighter"
)

// BenchmarkBind is the whole of it: shells, Laplacian, proposal, sight, factors, weights.
// The sample's skeleton, or that with each bone cut in two.
func BenchmarkBind(b *testing.B) {
	for _, row := range []struct{ vertices, cut int }{{10000, 1}, {30000, 2}, {100000, 2}} {
		r := lamplighter.Build(lamplighter.Options{Vertices: row.vertices})
		world := r.RestWorld()
		number := map[int]int{}
		var j Joints
		for _, n := range r.Skins[0].Joints {
			at, parent := world[n].Origin(), -1
			if p, is := number[int(r.Nodes[n].Parent)]; is {
				parent = p
			}
			for k := row.cut - 1; k > 0 && parent >= 0; k-- {
				mid := j.At[parent].Add(at.Sub(j.At[parent]).Mul(1 / float64(k+1)))
				j.At, j.Parent = append(j.At, mid), append(j.Parent, parent)
				parent = len(j.At) - 1
			}
			number[int(n)] = len(j.At)
			j.At, j.Parent = append(j.At, at), append(j.Parent, parent)
		}
		m := &r.Meshes[0]
		b.Run(fmt.Sprintf("%d×%d", len(m.Positions)/3, len(j.At)), func(b *testing.B) {
			for b.Loop() {
				f := New(m.Positions, m.Triangles, j, nil)
				if _, err := f.Bind(Options{Narrow: Usual, Parts: f.Propose()}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
