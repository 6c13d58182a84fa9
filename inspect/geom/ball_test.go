package geom

import (
	"math"
	"testing"
)

func TestBall(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for _, row := range []struct {
		name   string
		points []float32
		centre [3]float64
		radius float64
		ok     bool
	}{
		{"none", nil, [3]float64{}, 0, false},
		{"one", []float32{1, 2, 3}, [3]float64{1, 2, 3}, 0, true},
		{"two", []float32{0, 0, 0, 0, 6, 8}, [3]float64{0, 3, 4}, 5, true},
		{"not finite", []float32{nan, nan, nan, 2, 2, 2, inf, inf, inf}, [3]float64{2, 2, 2}, 0, true},
	} {
		centre, radius, ok := Ball(row.points)
		if centre != row.centre || radius != row.radius || ok != row.ok {
			t.Errorf("%s: %v, %g, %v", row.name, centre, radius, ok)
		}
	}
}
