package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

// In a heap of large triangles each place lies near all of them: a search ends when its work
// is done, and on a surface it never comes near that.
func TestClosestWithinItsWork(t *testing.T) {
	p, tri := crossing(20_000)
	heap := NewTriangles(p, tri)
	rnd := rand.New(rand.NewPCG(1, 9))
	spent := func(s *Triangles, n, work int) (left, found int) {
		for range n {
			if _, ok := s.ClosestWithin(space.Vec{rnd.Float64(), rnd.Float64(), rnd.Float64()}, math.Inf(1), &work); ok {
				found++
			}
		}
		return work, found
	}
	left, all := spent(heap, 200, math.MaxInt)
	if cost := math.MaxInt - left; all != 200 || cost < 200*1000 {
		t.Fatalf("%d found, %d looked at: no heap", all, cost)
	}
	if left, found := spent(heap, 10_000, 1_000_000); left >= 0 || left < -20_000 || found == 10_000 {
		t.Errorf("%d left of a million, %d of 10,000 found", left, found)
	}
	// A floor of 20,000 triangles: what 400 a place allow is four times what a place takes.
	var points []float32
	var floor []uint32
	const n = 101
	for i := range n * n {
		points = append(points, float32(i%n)/n, 0, float32(i/n)/n)
		if i%n < n-1 && i/n < n-1 {
			k := uint32(i)
			floor = append(floor, k, k+1, k+n, k+1, k+n+1, k+n)
		}
	}
	if left, found := spent(NewTriangles(points, floor), 1000, 100*1000); left < 0 || found != 1000 {
		t.Errorf("%d left, %d of 1,000 found on a floor", left, found)
	}
}
