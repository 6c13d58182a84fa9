package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

// Clusters and pairs against every pair tried, on clouds of all kinds.
func TestNearAgainstAllPairs(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for round := range 60 {
		n := 1 + r.IntN(300)
		p := make([]float32, 3*n)
		for i := range p {
			switch round % 4 {
			case 0:
				p[i] = float32(r.NormFloat64())
			case 1: // a lattice: many equal distances, many places double
				p[i] = float32(r.IntN(6)) / 8
			case 2: // crowds far apart
				p[i] = float32(r.IntN(3)) + float32(r.NormFloat64()*1e-3)
			case 3: // a line
				p[i] = float32(i/3) / 64
			}
		}
		if round%5 == 0 {
			p[0] = float32(math.NaN())
		}
		near := NewNear(p, nil)
		u := NewUnion(n)
		for _, d := range []float64{0.0005, 0.002, 1.0 / 64, 0.1, 0.125, 0.5, 2} {
			count := 0
			for i := range n {
				for j := i + 1; j < n; j++ {
					v := space.At(p, i).Sub(space.At(p, j))
					if v.Dot(v) <= d*d {
						count++
						u.Join(uint32(i), uint32(j))
					}
				}
			}
			for _, most := range []int{0, 10, 1 << 30} {
				seen := 0
				got, all := near.Pairs(d, most, 1<<30, func(a, b uint32) { seen++ })
				if got != count || !all || seen != min(most, count) {
					t.Fatalf("round %d, distance %g: %d pairs (%d seen, all %v), want %d", round, d, got, seen, all, count)
				}
			}
			want := u.Flatten()
			for i, g := range near.Clusters(d) {
				if g != want[i] {
					t.Fatalf("round %d, distance %g: place %d in %d, want %d", round, d, i, g, want[i])
				}
			}
		}
	}
}

// A ray from inside a sphere leaves it once, also through corners and edges.
func TestRays(t *testing.T) {
	p, tri := icosphere(3)
	rays := NewRays(p, tri)
	parity := func(q space.Vec) (odd bool, sum int) {
		work := 1 << 20
		rays.Cross(q, &work, func(_ uint32, way int) { odd, sum = !odd, sum+way })
		return odd, sum
	}
	r := rand.New(rand.NewPCG(3, 4))
	for i := range 4000 {
		q := space.Vec{r.Float64()*3 - 1.5, r.Float64()*3 - 1.5, r.Float64()*3 - 1.5}
		if i%2 == 0 { // aimed at a corner
			v := space.At(p, i%(len(p)/3))
			q = space.Vec{v[0] - 0.3 - r.Float64(), v[1], v[2]}
		}
		l := q.Len()
		if l > 0.99 && l < 1.01 {
			continue
		}
		if odd, sum := parity(q); odd != (l < 1) || (sum == 1) != odd {
			t.Fatalf("%v at %g from the middle: odd %v, sum %d", q, l, odd, sum)
		}
	}
}

func BenchmarkClusters(b *testing.B) {
	for _, n := range []int{5, 6, 7} {
		p, _ := lump(n)
		b.Run(fmt.Sprint(len(p)/3), func(b *testing.B) {
			for b.Loop() {
				near := NewNear(p, nil)
				for _, d := range []float64{1e-6, 3e-6, 1e-5, 3e-5, 1e-4, 2e-4, 5e-4, 1e-3, 2e-3, 5e-3, 1e-2} {
					near.Clusters(2 * d)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(p)/3), "ns/place")
		})
	}
}

func BenchmarkEdges(b *testing.B) {
	for _, n := range []int{5, 7} {
		p, tri := icosphere(n)
		b.Run(fmt.Sprint(len(p)/3), func(b *testing.B) {
			for b.Loop() {
				FindShells(p, tri, FindEdges(tri, len(p)/3, nil), nil)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(tri)/3), "ns/triangle")
		})
	}
}
