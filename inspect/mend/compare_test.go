package mend

import (
	"math"

	"rigloupe/inspect/rig"
)

// Gap is the largest distance of two figures over some moments, and where.
type Gap struct {
	Max     float64 // metres
	Mean    float64 // over all vertices and moments
	Surface int
	Vertex  rig.Vertex
	Moment  Moment
}

// Compare poses two figures with the same surfaces and vertices and measures how far each
// vertex of b is from f of that of a; f nil: of a itself. Moments are named in a; clips
// must have the same places.
func Compare(a, b *rig.Rig, moments []Moment, f func(p [3]float64) [3]float64) (g Gap) {
	pa, pb := NewPosed(a), NewPosed(b)
	sum, n := 0.0, 0
	for _, m := range moments {
		m.Set(pa.Pose)
		m.Set(pb.Pose)
		for s := range a.Surfaces {
			x, y := pa.Positions(s), pb.Positions(s)
			if len(x) != len(y) {
				continue
			}
			for v := range len(x) / 3 {
				p := [3]float64{float64(x[3*v]), float64(x[3*v+1]), float64(x[3*v+2])}
				if f != nil {
					p = f(p)
				}
				d := 0.0
				for k := range 3 {
					e := float64(y[3*v+k]) - p[k]
					d += e * e
				}
				d = math.Sqrt(d)
				sum, n = sum+d, n+1
				if d > g.Max || math.IsNaN(d) {
					g.Max, g.Surface, g.Vertex, g.Moment = d, s, rig.Vertex(v), m
				}
			}
		}
	}
	if n > 0 {
		g.Mean = sum / float64(n)
	}
	return g
}
