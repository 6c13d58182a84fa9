package even

import (
	"testing"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Pairs that growth left free are taken up again where they lie within a tenth of their reach of each other's images: chance
// puts them anywhere within it.
func TestRestore(t *testing.T) {
	for off, want := range map[float32]int32{.09: 1, .11: -1, 0: 1} {
		g := &grower{
			s: &Shape{Points: []float32{1, 0, 0, -1, off, 0}, Plane: geom.Plane{Normal: space.Vec{1, 0, 0}}, Reach: []float32{1, 1}},
			p: &Pairs{Of: []int32{-1, -1}, How: make([]How, 2)},
		}
		g.restore([]pair{{0, 1, 0}})
		if g.p.Of[0] != want {
			t.Errorf("%g of the reach off: partner %d", off, g.p.Of[0])
		}
	}
}
