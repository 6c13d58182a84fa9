package space

import (
	"math"
	"math/rand/v2"
	"testing"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.17g, want %.17g", what, got, want)
	}
}

func nearVec(t *testing.T, what string, got, want Vec, within float64) {
	t.Helper()
	if !(got.Sub(want).Len() <= within) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

func TestUnit(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, row := range []struct {
		v, want Vec
		ok      bool
	}{
		{Vec{3, 0, 4}, Vec{0.6, 0, 0.8}, true},
		{Vec{-1e-300, 0, 0}, Vec{}, false}, // its square is nothing
		{Vec{0, 1e-150, 0}, Vec{0, 1, 0}, true},
		{Vec{}, Vec{}, false},
		{Vec{nan, 0, 1}, Vec{}, false},
		{Vec{inf, 0, 1}, Vec{}, false},
	} {
		got, ok := Unit(row.v)
		if ok != row.ok {
			t.Errorf("Unit(%v): %v, want %v", row.v, ok, row.ok)
		}
		if ok {
			nearVec(t, "Unit", got, row.want, 1e-15)
		}
		nearVec(t, "Direction", Direction(row.v), row.want, 1e-15)
	}
	if v, ok := Unit(Vec{0, math.Copysign(0, -1), 0}); ok || v != (Vec{}) {
		t.Error("what has no direction is answered as it is")
	}
}

func TestFinite(t *testing.T) {
	for i := range 3 {
		for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			v := Vec{1, -2, 1e300}
			if !Finite(v) {
				t.Fatal("finite numbers")
			}
			if v[i] = bad; Finite(v) {
				t.Errorf("%v is finite", v)
			}
		}
	}
}

func TestAt(t *testing.T) {
	if got := At([]float32{0, 1, 2, 3, 4, 5.5}, 1); got != (Vec{3, 4, 5.5}) {
		t.Error(got)
	}
	if got := At([]float64{0, 1, 2, 3, 4, 0.1}, 1); got != (Vec{3, 4, 0.1}) {
		t.Error(got)
	}
}

// The least length that e keeps after Level is √(1 − 0.9²) = 0.44: no digit is lost,
// also on both sides of where the other axis is taken.
func TestSquare(t *testing.T) {
	for _, n := range []Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {-1, 0, 0}, {0.899, math.Sqrt(1 - 0.899*0.899), 0}, {0.901, 0, -math.Sqrt(1 - 0.901*0.901)}, {1e-9, -1, 0}} {
		s := Square(n)
		near(t, "length", s.Len(), 1, 1e-15)
		near(t, "right angle", s.Dot(n), 0, 1e-15)
	}
	nearVec(t, "the level part", Level(Vec{1, 2, 3}, Vec{0, 1, 0}), Vec{1, 0, 3}, 0)
}

func TestAngle(t *testing.T) {
	for _, a := range []float64{0, 1e-12, 1e-5, 1, math.Pi / 2, 3, math.Pi - 1e-9, math.Pi} {
		near(t, "angle", Angle(Vec{7, 0, 0}, Vec{2 * math.Cos(a), 2 * math.Sin(a), 0}), a, 1e-15*max(1, a))
	}
	// The arc cosine answers 0 here.
	if got := Angle(Vec{1, 0, 0}, Vec{1, 1e-12, 0}); math.Abs(got-1e-12) > 1e-24 {
		t.Error(got)
	}
	if Angle(Vec{}, Vec{1, 0, 0}) != 0 {
		t.Error("no direction, no angle")
	}
}

// A right triangle of 3, 4, 5: the height over its longest side is 12/5.
func TestToSegment(t *testing.T) {
	a, b := Vec{0, 0, 1}, Vec{5, 0, 1}
	for _, row := range []struct {
		p           Vec
		share, away float64
	}{
		{Vec{9.0 / 5, 12.0 / 5, 1}, 9.0 / 25, 12.0 / 5},
		{Vec{-3, 4, 1}, 0, 5},
		{Vec{8, -4, 1}, 1, 5},
		{Vec{5, 0, 3}, 1, 2},
		{Vec{2, 0, 1}, 2.0 / 5, 0},
	} {
		near(t, "share", Along(row.p, a, b), row.share, 1e-15)
		near(t, "distance", ToSegment(row.p, a, b), row.away, 1e-15)
		near(t, "distance, other way round", ToSegment(row.p, b, a), row.away, 1e-15)
	}
	near(t, "a line without length", ToSegment(Vec{3, 4, 0}, Vec{}, Vec{}), 5, 0)
	near(t, "share of a line without length", Along(Vec{3, 4, 0}, Vec{}, Vec{}), 0, 0)
}

// Lengths from the least that a float32 holds to the largest, whose squares are none.
func TestDirection32(t *testing.T) {
	for _, l := range []float32{math.SmallestNonzeroFloat32 * 1000, 1e-30, 1, 1e30, math.MaxFloat32 / 2} {
		got := Direction32(Vec32{0.6 * l, 0, -0.8 * l})
		nearVec(t, "direction", Double(got), Vec{0.6, 0, -0.8}, 1e-3)
		if l >= 1e-30 {
			nearVec(t, "direction", Double(got), Vec{0.6, 0, -0.8}, 1e-7)
		}
	}
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for _, v := range []Vec32{{}, {nan, 0, 1}, {inf, 0, 1}} {
		if Direction32(v) != (Vec32{}) {
			t.Errorf("%v has no direction", v)
		}
	}
	for i := range 3 {
		for _, bad := range []float32{nan, inf, -inf} {
			v := Vec32{1, -2, math.MaxFloat32}
			if !Finite32(v) {
				t.Fatal("finite numbers")
			}
			if v[i] = bad; Finite32(v) {
				t.Errorf("%v is finite", v)
			}
		}
	}
	if At32([]float32{0, 1, 2, 3, 4, 5}, 1) != (Vec32{3, 4, 5}) || Single(Vec{0.1, 2, 3}) != (Vec32{0.1, 2, 3}) {
		t.Error("a stored vector")
	}
}

// TestToSegmentInPlainNumbers: the distance from a line is that which the library's vectors
// give, to the last bit, beside the line, behind either end and of a line without length.
func TestToSegmentInPlainNumbers(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	v := func() Vec { return Vec{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()} }
	for i := range 1000 {
		p, a, b := v(), v(), v()
		if i%10 == 0 {
			b = a
		}
		if i%7 == 0 {
			p = p.Mul(100)
		}
		if got, want := ToSegment(p, a, b), p.Sub(a.Add(b.Sub(a).Mul(Along(p, a, b)))).Len(); got != want {
			t.Fatalf("%v from %v to %v: %v, want %v", p, a, b, got, want)
		}
	}
}
