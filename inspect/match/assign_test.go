package match

import (
	"math"
	"math/rand/v2"
	"testing"
)

// best tries every assignment.
func best(gain []float64, rows, cols, row int, used []bool) float64 {
	if row == rows {
		return 0
	}
	top := best(gain, rows, cols, row+1, used)
	for j := range cols {
		if !used[j] && gain[row*cols+j] > 0 {
			used[j] = true
			top = max(top, gain[row*cols+j]+best(gain, rows, cols, row+1, used))
			used[j] = false
		}
	}
	return top
}

// Against trying every way.
func TestAssignIsBest(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 400 {
		rows, cols := r.IntN(6), r.IntN(6)
		gain := make([]float64, rows*cols)
		for i := range gain {
			gain[i] = math.Round(20*r.Float64() - 8)
		}
		of := assign(gain, rows, cols)
		seen := map[int]bool{}
		for i, j := range of {
			if j < 0 {
				continue
			}
			if seen[j] || gain[i*cols+j] <= 0 {
				t.Fatalf("column %d twice, or gain %v, in %v", j, gain[i*cols+j], of)
			}
			seen[j] = true
		}
		if got, want := total(gain, cols, of), best(gain, rows, cols, 0, make([]bool, cols)); got != want {
			t.Fatalf("%d×%d %v: sum %v, want %v", rows, cols, gain, got, want)
		}
	}
}

// Two pairs that cross give way as a whole to the best that do not.
func TestConsistent(t *testing.T) {
	// Rows 0 above 1, columns 0 above 1. Crossed gains 10 + 10, straight 9 + 9.
	gain := []float64{9, 10, 10, 9}
	of := consistent(gain, 2, 2, func(of []int) []int {
		if of[0] == 1 && of[1] == 0 {
			return []int{0, 1}
		}
		return nil
	})
	if of[0] != 0 || of[1] != 1 {
		t.Errorf("assignment %v", of)
	}
}
