package geom

import (
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/rounds"
)

// crossing is a heap of large triangles with corners anywhere in a box.
func crossing(n int) (points []float32, triangles []uint32) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for i := range 3 * n {
		points = append(points, rnd.Float32(), rnd.Float32(), rnd.Float32())
		triangles = append(triangles, uint32(i))
	}
	return points, triangles
}

// What a triangle costs goes by its size: it is told to the watch as that, and thousands
// that cross the whole grid are given up, for they are no shape.
func TestSolidWorkIsBounded(t *testing.T) {
	rounds.Dear(t)
	looks := func(n int) (count int, s *Solid) {
		p, tri := crossing(n)
		s = NewSolid(p, tri, 72, &Watch{Look: func() error { count++; return nil }})
		return count, s
	}
	few, s := looks(1000)
	if s == nil || few < 10 {
		t.Errorf("1,000 large triangles: %d looks, solid %v", few, s != nil)
	}
	many, s := looks(40_000)
	if s != nil {
		t.Error("40,000 triangles across everything are a shape")
	}
	if more, _ := looks(80_000); more != many || many > 12*few {
		t.Errorf("looks: %d for 1,000, %d for 40,000, %d for 80,000; the work does not end", few, many, more)
	}
}
