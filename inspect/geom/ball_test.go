package geom

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

func TestBall(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for _, row := range []struct {
		name   string
		points []float32
		centre space.Vec
		radius float64
		ok     bool
	}{
		{"none", nil, space.Vec{}, 0, false},
		{"one", []float32{1, 2, 3}, space.Vec{1, 2, 3}, 0, true},
		{"two", []float32{0, 0, 0, 0, 6, 8}, space.Vec{0, 3, 4}, 5, true},
		{"not finite", []float32{nan, nan, nan, 2, 2, 2, inf, inf, inf}, space.Vec{2, 2, 2}, 0, true},
	} {
		centre, radius, ok := Ball(row.points)
		if centre != row.centre || radius != row.radius || ok != row.ok {
			t.Errorf("%s: %v, %g, %v", row.name, centre, radius, ok)
		}
	}
}
