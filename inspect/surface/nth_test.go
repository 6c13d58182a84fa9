package surface

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestNth(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for _, n := range []int{1, 2, 3, 10, 1000} {
		for _, values := range []int{1, 3, 1 << 30} { // all alike, few, all different
			list := make([]float32, n)
			for i := range list {
				list[i] = float32(rnd.IntN(values))
			}
			sorted := slices.Sorted(slices.Values(list))
			for _, k := range []int{0, n / 100, n / 2, n - 1} {
				if got := nth(slices.Clone(list), k); got != sorted[k] {
					t.Errorf("%d of %d values: place %d has %g, want %g", n, values, k, got, sorted[k])
				}
			}
		}
	}
}
