package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

func BenchmarkWeld(b *testing.B) {
	p, tri := icosphere(6)
	apart := make([]float32, 0, 3*len(tri))
	for _, v := range tri {
		apart = append(apart, p[3*v:3*v+3]...)
	}
	b.ReportAllocs()
	for b.Loop() {
		Weld(apart, nil)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(tri)), "ns/vertex")
}

// crowd is n points in one thousandth of the box, one point at its far end.
func crowd(n int) []float32 {
	r := rand.New(rand.NewPCG(7, 8))
	p := make([]float32, 3*n)
	for i := range p {
		p[i] = float32(r.NormFloat64() * 1e-3)
	}
	p[0] = 1
	return p
}

func BenchmarkTree(b *testing.B) {
	for _, row := range []struct {
		name   string
		points []float32
	}{{"figure 100k", blob(50_000)}, {"crowd 100k", crowd(100_000)}} {
		b.Run(row.name+" build", func(b *testing.B) {
			for b.Loop() {
				NewTree(row.points)
			}
		})
		tree := NewTree(row.points)
		b.Run(row.name+" nearest of each image", func(b *testing.B) {
			p := row.points
			for b.Loop() {
				for i := 0; i < len(p); i += 3 {
					tree.Nearest(-p[i], p[i+1], p[i+2], float32(math.Inf(1)))
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(p)/3), "ns/point")
		})
	}
}

func BenchmarkFindMirror(b *testing.B) {
	for _, n := range []int{3_600, 100_000} {
		p := turned(blob(n/2), space.Vec{0, 0, 1}, 12, 1, space.Vec{})
		b.Run(fmt.Sprint("leaning ", n), func(b *testing.B) {
			for b.Loop() {
				FindMirror(Shape{Points: p})
			}
		})
		r := rand.New(rand.NewPCG(9, 9))
		q := make([]float32, 3*n)
		for i := range q {
			q[i] = float32(r.NormFloat64())
		}
		b.Run(fmt.Sprint("noise ", n), func(b *testing.B) {
			for b.Loop() {
				FindMirror(Shape{Points: q})
			}
		})
	}
	p := crowd(2_000_000)
	b.Run("crowd 2000000", func(b *testing.B) {
		for b.Loop() {
			FindMirror(Shape{Points: p})
		}
	})
}
