package geom

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Every place of lists of all sizes, with and without equal values, against sorting.
func TestRanked(t *testing.T) {
	draw := rand.New(rand.NewPCG(3, 4))
	for n := 1; n < 200; n += 7 {
		for _, kinds := range []int{1, 2, n, 10 * n} {
			list := make([]float32, n)
			for i := range list {
				list[i] = float32(draw.IntN(kinds))
			}
			sorted := slices.Sorted(slices.Values(list))
			for k := range list {
				stirred := slices.Clone(list)
				if got := Ranked(stirred, k); got != sorted[k] {
					t.Fatalf("%d of %v: %g, want %g", k, list, got, sorted[k])
				}
				// What is left is the same list, in another order.
				if slices.Sort(stirred); !slices.Equal(stirred, sorted) {
					t.Fatalf("%d of %v: values were lost", k, list)
				}
			}
		}
	}
	for _, list := range [][]float64{{1, 2, 3, 4, 5, 6, 7, 8, 9}, {9, 8, 7, 6, 5, 4, 3, 2, 1}} {
		if got := Ranked(list, 4); got != 5 {
			t.Errorf("the middle is %g", got)
		}
	}
}

// What is no number has no rank, but stops nothing.
func TestRankedOfNaN(t *testing.T) {
	draw := rand.New(rand.NewPCG(5, 6))
	for n := 1; n < 60; n++ {
		list := make([]float64, n)
		for i := range list {
			if list[i] = draw.Float64(); draw.IntN(3) == 0 {
				list[i] = math.NaN()
			}
		}
		Ranked(list, draw.IntN(n))
	}
}
