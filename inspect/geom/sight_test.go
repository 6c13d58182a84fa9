package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

// What the tree answers is what every triangle by itself answers, and a way through a unit
// square is cut where arithmetic says.
func TestPass(t *testing.T) {
	s := NewTriangles([]float32{0, 0, 1, 1, 0, 1, 1, 1, 1, 0, 1, 1}, []uint32{0, 1, 2, 0, 2, 3})
	for _, row := range []struct {
		a, b  space.Vec
		share float64 // −1: passes none
	}{
		{space.Vec{.75, .25, 0}, space.Vec{.75, .25, 4}, .25},
		{space.Vec{.75, .25, 4}, space.Vec{.75, .25, 0}, .75},
		{space.Vec{.75, .25, 0}, space.Vec{.75, .25, .99}, -1},
		{space.Vec{1.5, .25, 0}, space.Vec{1.5, .25, 4}, -1},
		{space.Vec{-1, .5, 1}, space.Vec{2, .5, 1}, -1}, // in its plane
	} {
		got := -1.0
		s.Pass(row.a, row.b, func(_ int, share float64) bool { got = share; return true })
		if math.Abs(got-row.share) > 1e-12 {
			t.Errorf("%v to %v: %v, want %v", row.a, row.b, got, row.share)
		}
	}
	r := rand.New(rand.NewPCG(1, 1))
	points := make([]float32, 3*300)
	for i := range points {
		points[i] = float32(r.NormFloat64())
	}
	triangles := make([]uint32, 3*500)
	for i := range triangles {
		triangles[i] = uint32(r.IntN(300))
	}
	s = NewTriangles(points, triangles)
	for range 200 {
		a, b := space.Vec{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}, space.Vec{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		if r.IntN(3) == 0 {
			b[1] = a[1]
		}
		want := 0
		for i := 0; i < len(triangles); i += 3 {
			if _, ok := passes(a, b.Sub(a), space.At(points, triangles[i]), space.At(points, triangles[i+1]), space.At(points, triangles[i+2])); ok {
				want++
			}
		}
		got := 0
		s.Pass(a, b, func(int, float64) bool { got++; return true })
		if got != want {
			t.Fatalf("%d of %d triangles", got, want)
		}
	}
}
