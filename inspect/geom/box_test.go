package geom

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

func TestBox(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	b := BoxOf([]float32{1, 2, 3, -1, nan, 5, 0, 4, inf})
	if b.Min != [3]float64{-1, 2, 3} || b.Max != [3]float64{1, 4, 5} {
		t.Errorf("%v", b)
	}
	if b.Diagonal() != math.Sqrt(12) || b.Volume() != 8 || b.Center() != [3]float64{0, 3, 4} {
		t.Errorf("diagonal %v volume %v centre %v", b.Diagonal(), b.Volume(), b.Center())
	}
	o := Box{space.Vec{0, 0, 0}, space.Vec{9, 3, 4}}
	if got := b.Overlap(o); got != (Box{space.Vec{0, 2, 3}, space.Vec{1, 3, 4}}) {
		t.Errorf("overlap %v", got)
	}
	if got := b.Union(o); got != (Box{space.Vec{-1, 0, 0}, space.Vec{9, 4, 5}}) {
		t.Errorf("union %v", got)
	}
	e := BoxOf(nil)
	if !e.IsEmpty() || e.Diagonal() != 0 || e.Volume() != 0 || e.Center() != [3]float64{} || b.Union(e) != b || !b.Overlap(e).IsEmpty() {
		t.Errorf("empty %v", e)
	}
	e.Add(space.Vec{1, 2, 3})
	if e.IsEmpty() || e.Min != e.Max || e.Diagonal() != 0 {
		t.Errorf("one point %v", e)
	}
}
