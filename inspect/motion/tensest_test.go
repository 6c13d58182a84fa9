package motion

import (
	"math"
	"slices"
	"testing"
)

// Of moments nearer to each other than a twelfth of the clip the tensest is looked at: in a clip of 12 s, 0.9
// s after the tensest nothing, 1.1 s after it again.
func TestTensestMoments(t *testing.T) {
	got := tensest([]ranked{{1, 6.1}, {2, 5.9}, {3, 5}, {.5, 3.95}, {.1, 3.9}}, 12)
	if !slices.Equal(got, []float64{5, 6.1, 3.95}) {
		t.Errorf("%v", got)
	}
}

// A clip that begins within three hundredths of the height over the floor begins on it, by both its lowest point and its
// ankles, the less of the two; what begins higher, or where they disagree, does not.
func TestStartsOn(t *testing.T) {
	for _, row := range [][3]float64{{.05, .055, .05}, {.055, .05, .05}, {.058, .07, .058}, {.062, .07, 0}, {-.05, -.03, -.03}, {.05, -.05, 0}} {
		if got := startOff(row[0], row[1], 2); math.Abs(got-row[2]) > 1e-12 {
			t.Errorf("lowest %g, ankles %g over where they rest: %g, want %g", row[0], row[1], got, row[2])
		}
	}
}
