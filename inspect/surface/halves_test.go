package surface

import "testing"

// What lies within a ten-thousandth of the size of the plane belongs to no half: 0.2 mm of a figure of 2 m
// (common practice, no source).
func TestHalfAt(t *testing.T) {
	for off, want := range map[float64]int{.00019: -1, -.00019: -1, .00021: 0, -.00021: 1, 0: -1} {
		if got := halfAt(off, 2); got != want {
			t.Errorf("%g m off the plane: half %d, want %d", off, got, want)
		}
	}
}
