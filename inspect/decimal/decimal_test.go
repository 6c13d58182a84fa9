package decimal

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

// Against Go's strconv, which rounds as IEEE 754 asks: the same bits wherever Exact
// answers, and it answers where it may.
func TestExactIsStrconvs(t *testing.T) {
	draw := rand.New(rand.NewPCG(1, 2))
	for range 20_000 {
		digits := 1 + draw.IntN(17)
		whole := draw.Uint64N(uint64(math.Pow10(digits-1)*9)) + uint64(math.Pow10(digits-1))
		power := draw.IntN(60) - 30
		got, ok := Exact(whole, digits, power)
		if may := digits <= 15 && power >= -22 && power <= 22; ok != may {
			t.Fatalf("%de%d: answered %v", whole, power, ok)
		}
		want, err := strconv.ParseFloat(strconv.FormatUint(whole, 10)+"e"+strconv.Itoa(power), 64)
		if err == nil && ok && got != want {
			t.Fatalf("%de%d: %v, want %v", whole, power, got, want)
		}
	}
	// Sixteen digits are too many: 9007199254740993 = 2⁵³ + 1 is no float64, and a
	// power of −23 divides by a number that is none.
	if _, ok := Exact(9007199254740993, 16, 0); ok {
		t.Error("2⁵³ + 1 is no float64")
	}
	for _, power := range []int{-23, 23} {
		if _, ok := Exact(1, 1, power); ok {
			t.Errorf("10^%d is no float64", power)
		}
	}
}

func TestUpwards(t *testing.T) {
	for _, row := range []struct{ metres, want float64 }{
		{0.000038, 0.000038}, {0.0000381, 0.00004}, {0.0000999, 0.0001}, {1.01, 1.1}, {0.25, 0.25}, {0, 0}, {-1, 0}, {math.NaN(), 0},
	} {
		if got := Upwards(row.metres); got != row.want {
			t.Errorf("%g m: %g, want %g", row.metres, got, row.want)
		}
	}
	draw := rand.New(rand.NewPCG(3, 4))
	for range 1000 {
		m := math.Pow(10, -8*draw.Float64())
		if up := Upwards(m); up < m || up > 1.1*m {
			t.Fatalf("%g m goes to %g", m, up)
		}
	}
}
