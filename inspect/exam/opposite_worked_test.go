package exam

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// Left is at a right angle to where one faces (glTF 2.0, 3.4: +Y up, a model faces +Z, its left is
// +X). A normal 29° off that way is still the left or the right side, one 61° off points rather ahead: no side is told.
func TestLeftOf(t *testing.T) {
	for turn, want := range map[float64]float64{0: 1, 29: 1, 61: 0, 90: 0, 151: -1, 180: -1} {
		s, c := math.Sincos(turn * math.Pi / 180)
		got := leftOf(space.Vec{0, 0, 1}, space.Vec{c, 0, s})
		if sign := math.Copysign(1, got); got == 0 && want != 0 || got != 0 && sign != want {
			t.Errorf("a normal %g° off the left: %g, want the sign of %g", turn, got, want)
		}
	}
}
