package solve

import (
	"errors"
	"math"
	"testing"
)

// A star of 40 places: with its middle last L has one number a spoke, with its middle first
// all pairs of spokes, 741 (Tinney, Walker 1967: least degree first).
func TestStarStaysSparse(t *testing.T) {
	const n = 40
	diagonal, values := make([]float64, n), make([]float64, n-1)
	var ends []uint32
	for i := range diagonal {
		diagonal[i] = n
		if i > 0 {
			ends = append(ends, 0, uint32(i))
			values[i-1] = -1
		}
	}
	f, err := Factor(New(diagonal, ends, values), nil)
	if err != nil {
		t.Fatal(err)
	}
	if f.Entries() != n-1 {
		t.Errorf("%d numbers, want %d", f.Entries(), n-1)
	}
}

// An endless diagonal has no factors, wherever it stands.
func TestEndlessDiagonal(t *testing.T) {
	for place := range 3 {
		diagonal := []float64{2, 2, 2}
		diagonal[place] = math.Inf(1)
		_, err := Factor(New(diagonal, []uint32{0, 1, 1, 2}, []float64{-1, -1}), nil)
		var not *NotPositive
		if !errors.As(err, &not) || not.Place != place {
			t.Errorf("at place %d: %v", place, err)
		}
	}
}
