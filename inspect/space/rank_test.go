package space

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

// The worked examples of the nearest-rank method in the encyclopaedias' article on
// percentiles (values from memory), and the four lengths modulo 4 for the median.
func TestPercentile(t *testing.T) {
	five, ten := []float64{35, 20, 15, 50, 40}, []float64{3, 6, 7, 8, 8, 10, 13, 15, 16, 20}
	for _, row := range []struct {
		list    []float64
		percent float64
		want    float64
	}{
		{five, 0, 15}, {five, 5, 15}, {five, 20, 15}, {five, 21, 20}, {five, 30, 20}, {five, 40, 20}, {five, 50, 35}, {five, 100, 50},
		{ten, 25, 7}, {ten, 50, 8}, {ten, 75, 15}, {ten, 100, 20},
		{[]float64{4}, 1, 4}, {[]float64{4}, 99, 4},
	} {
		if got := Percentile(slices.Clone(row.list), row.percent); got != row.want {
			t.Errorf("%g per cent of %v: %g, want %g", row.percent, row.list, got, row.want)
		}
	}
	// By its definition: at least so many are no larger, and of no smaller value.
	draw := rand.New(rand.NewPCG(7, 8))
	for n := 1; n < 250; n++ {
		list := make([]float32, n)
		for i := range list {
			list[i] = float32(draw.IntN(n))
		}
		for _, percent := range []float64{1, 5, 50, 90, 95, 99, 99.5} {
			got := Percentile(slices.Clone(list), percent)
			upTo, below := 0, 0
			for _, v := range list {
				if v <= got {
					upTo++
				}
				if v < got {
					below++
				}
			}
			if float64(100*upTo) < percent*float64(n) || float64(100*below) >= percent*float64(n) {
				t.Fatalf("%g per cent of %v: %g", percent, list, got)
			}
		}
	}
	if !math.IsNaN(Percentile([]float64{}, 50)) || !math.IsNaN(Median([]float64{})) {
		t.Error("nothing has no percentile")
	}
}

func TestMedian(t *testing.T) {
	for _, row := range []struct {
		list []float64
		want float64
	}{
		{[]float64{7}, 7}, {[]float64{9, 4}, 6.5}, {[]float64{5, 1, 3}, 3}, {[]float64{1, 100, 2, 4}, 3},
		{[]float64{2, 2, 2, 8, 8, 8}, 5}, {[]float64{6, 5, 4, 3, 2, 1, 0}, 3},
	} {
		if got := Median(slices.Clone(row.list)); got != row.want {
			t.Errorf("%v: %g, want %g", row.list, got, row.want)
		}
	}
	draw := rand.New(rand.NewPCG(9, 10))
	for n := 1; n < 100; n++ {
		list := make([]float64, n)
		for i := range list {
			list[i] = float64(draw.IntN(2 * n))
		}
		s := slices.Sorted(slices.Values(list))
		if got, want := Median(list), (s[(n-1)/2]+s[n/2])/2; got != want {
			t.Fatalf("%v: %g, want %g", s, got, want)
		}
	}
}

// TestHalve: the same sets as by sorting, for orders that spoil a fixed pivot too.
func TestHalve(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 9))
	orders := map[string]func(i, n int) uint32{
		"random": func(int, int) uint32 { return random.Uint32() }, "rising": func(i, _ int) uint32 { return uint32(i) },
		"falling": func(i, n int) uint32 { return uint32(n - i) }, "equal": func(int, int) uint32 { return 3 },
		"organ pipes": func(i, n int) uint32 { return uint32(min(i, n-i)) },
	}
	for name, order := range orders {
		for _, n := range []int{0, 1, 2, 3, 10, 1000} {
			for _, k := range []int{0, 1, n / 3, n / 2, n - 1, n} {
				if k < 0 || k > n {
					continue
				}
				list := make([]uint32, n)
				for i := range list {
					list[i] = order(i, n)
				}
				want := slices.Sorted(slices.Values(list))
				Halve(list, k, func(a, b uint32) bool { return a < b })
				slices.Sort(list[:k])
				slices.Sort(list[k:])
				if !slices.Equal(list, want) {
					t.Errorf("%s, %d of %d: %v, want %v", name, k, n, list, want)
				}
			}
		}
	}
}
