package space

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
)

const degree = math.Pi / 180

// same compares two rotations: q and −q are one.
func same(t *testing.T, what string, got, want Quat, within float64) {
	t.Helper()
	if d := got.Sub(want).Len(); d <= within {
		return
	}
	if d := got.Add(want).Len(); !(d <= within) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

func anyAxis(draw *rand.Rand) Vec {
	return Vec{draw.NormFloat64(), draw.NormFloat64(), draw.NormFloat64()}.Normalize()
}

// A product turns by its right factor first. Worked by hand: a quarter turn about y
// takes z to x, one about z then takes x to y.
func TestOrder(t *testing.T) {
	y, z := About(Vec{0, 1, 0}, math.Pi/2), About(Vec{0, 0, 1}, math.Pi/2)
	nearVec(t, "z turned about y, then about z", Mul(z, y).Rotate(Vec{0, 0, 1}), Vec{0, 1, 0}, 1e-15)
	draw := rand.New(rand.NewPCG(11, 12))
	for range 100 {
		a, b := About(anyAxis(draw), 6*draw.Float64()), About(anyAxis(draw), 6*draw.Float64())
		same(t, "as the library's product", Mul(a, b), a.Mul(b), 1e-15)
	}
	stored := [4]float64{0.1, 0.2, 0.3, 0.9}
	if q := FromXYZW(stored); q.W != 0.9 || XYZW(q) != stored {
		t.Error("glTF stores x y z w")
	}
	if Still().Rotate(Vec{1, 2, 3}) != (Vec{1, 2, 3}) {
		t.Error("Still turns")
	}
}

// Shoemake 1985, Animating Rotation with Quaternion Curves: the ends are met, half way
// is the sum of the two made unit, and the turn grows evenly. About one axis the
// answer is a turn about it by the share of the angle.
func TestSlerp(t *testing.T) {
	draw := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		axis, from, angle := anyAxis(draw), About(anyAxis(draw), draw.Float64()*6), draw.Float64()*3.1
		to := from.Mul(About(axis, angle))
		same(t, "start", Slerp(from, to, 0), from, 1e-15)
		same(t, "end", Slerp(from, to, 1), to, 1e-15)
		sum := from.Add(to)
		if from.Dot(to) < 0 {
			sum = from.Sub(to)
		}
		same(t, "half way", Slerp(from, to, 0.5), sum.Normalize(), 1e-14)
		for _, share := range []float64{0.1, 0.25, 0.9} {
			got := Slerp(from, to, share)
			same(t, "even", got, from.Mul(About(axis, share*angle)), 1e-13)
			same(t, "q and −q are one", Slerp(from, to.Scale(-1), share), got, 1e-15)
			if angle > 0.1 {
				same(t, "as the library", got, mgl64.QuatSlerp(from, to, share), 1e-9)
			}
		}
	}
	// Where the library goes straight: 1° at a tenth is a tenth of a degree.
	near(t, "a tenth of 1°", Turned(Slerp(Still(), About(Vec{1, 0, 0}, degree), 0.1)), 0.1*degree, 1e-15)
	// Just beyond half a turn the other way round is shorter.
	near(t, "the shorter way", Turned(Slerp(Still(), About(Vec{0, 1, 0}, 190*degree), 0.5)), 85*degree, 1e-14)
	// Nearer than the arc cosine can tell, the length stays 1.
	close := About(Vec{0, 0, 1}, 1e-8)
	near(t, "length", Slerp(Still(), close, 0.5).Len(), 1, 1e-15)
	near(t, "half of 1e-8", Turned(Slerp(Still(), close, 0.5)), 0.5e-8, 1e-22)
}

func TestTurnedAndApart(t *testing.T) {
	for _, a := range []float64{0, 1e-12, 0.5, math.Pi / 2, math.Pi - 1e-7, math.Pi} {
		q := About(Vec{0.6, 0, 0.8}, a)
		near(t, "turned", Turned(q), a, 1e-15*max(1, a))
		near(t, "either sign", Turned(q.Scale(-1)), a, 1e-15*max(1, a))
		near(t, "any length", Turned(q.Scale(7)), a, 1e-15*max(1, a))
		base := About(Vec{0, 1, 0}, 2)
		near(t, "apart", Apart(base, base.Mul(q)), a, 1e-15*max(1, 4*a))
		near(t, "apart, exchanged", Apart(base.Mul(q), base), a, 1e-15*max(1, 4*a))
	}
	near(t, "200° is 160° the other way", Turned(About(Vec{1, 0, 0}, 200*degree)), 160*degree, 1e-14)
}

func TestUnitQuat(t *testing.T) {
	q, ok := UnitQuat(Quat{W: 2, V: Vec{2, -2, 2}})
	if !ok {
		t.Fatal("it has a direction")
	}
	same(t, "unit", q, Quat{W: 0.5, V: Vec{0.5, -0.5, 0.5}}, 0)
	if q.W < 0 {
		t.Error("the sign is kept")
	}
	for _, bad := range []Quat{{}, {W: math.NaN()}, {V: Vec{math.Inf(1), 0, 0}}} {
		if q, ok := UnitQuat(bad); ok {
			t.Errorf("%v has no direction, got %v", bad, q)
		}
	}
}

func TestBetween(t *testing.T) {
	draw := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		a, b := anyAxis(draw).Mul(3), anyAxis(draw).Mul(0.2)
		q := Between(a, b)
		nearVec(t, "a goes to b", q.Rotate(a).Mul(1.0/3), b.Mul(5), 1e-13)
		near(t, "by no more than need be", Turned(q), Angle(a, b), 1e-13)
		same(t, "as the library", q, mgl64.QuatBetweenVectors(a.Mul(1.0/3), b.Mul(5)), 1e-9)
	}
	for _, a := range []Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, -1}, {0.6, 0.8, 0}} {
		q := Between(a, a.Mul(-2))
		nearVec(t, "opposed", q.Rotate(a), a.Mul(-1), 1e-15)
		near(t, "half a turn", Turned(q), math.Pi, 1e-15)
		same(t, "no turn", Between(a, a), Still(), 1e-15)
	}
	for _, off := range []float64{1e-5, 1e-3, 1 * degree} { // nearly opposed is not opposed
		a, b := Vec{1, 0, 0}, Vec{-math.Cos(off), math.Sin(off), 0}
		q := Between(a, b)
		nearVec(t, "nearly opposed", q.Rotate(a), b, 1e-10)
		near(t, "nearly half a turn", Turned(q), math.Pi-off, 1e-10)
		near(t, "its axis", math.Abs(q.V.Normalize()[2]), 1, 1e-15)
	}
	same(t, "no direction", Between(Vec{}, Vec{1, 0, 0}), Still(), 0)
	same(t, "no direction", Between(Vec{1, 0, 0}, Vec{math.NaN(), 0, 0}), Still(), 0)
}

// q = (cos θ/2, v̂ sin θ/2); its logarithm, doubled, is v̂ θ.
func TestLog(t *testing.T) {
	axis := Vec{2.0 / 3, -1.0 / 3, 2.0 / 3}
	for _, a := range []float64{0, 1e-13, 1e-6, 1, math.Pi - 1e-6} {
		q := About(axis, a)
		nearVec(t, "log", Log(q), axis.Mul(a), 1e-15*max(1, 10*a))
		nearVec(t, "log of −q", Log(q.Scale(-1)), axis.Mul(a), 1e-15*max(1, 10*a))
	}
	nearVec(t, "270° are −90°", Log(About(axis, 270*degree)), axis.Mul(-90*degree), 1e-14)
}

func TestSwingTwist(t *testing.T) {
	y := Vec{0, 1, 0}
	for _, swing := range []float64{0, 30, 90, 179} {
		for _, twist := range []float64{-170, -20, 0, 75, 180} {
			for _, sign := range []float64{1, -1} {
				q := About(Vec{0.8, 0, -0.6}, swing*degree).Mul(About(y, twist*degree)).Scale(sign)
				s, a, ok := SwingTwist(q, y)
				if !ok {
					t.Fatalf("swing %g°, twist %g°", swing, twist)
				}
				near(t, "swing", Turned(s), swing*degree, 1e-13)
				near(t, "the swing's axis is level", s.V.Dot(y), 0, 1e-14)
				// Half a turn has two names.
				near(t, "twist", math.Remainder(a-twist*degree, 2*math.Pi), 0, 1e-12)
				same(t, "together", s.Mul(About(y, a)), q, 1e-14)
			}
		}
	}
	q := About(Vec{1, 0, 0}, math.Pi)
	if s, a, ok := SwingTwist(Quat{V: q.V}, y); ok || a != 0 || Turned(s) != math.Pi {
		t.Error("turned over: no twist", s, a, ok)
	}
}

func TestFrame(t *testing.T) {
	// x to the right angle of 30° about z, y leaning: only its square part counts.
	c, s := math.Cos(30*degree), math.Sin(30*degree)
	q, ok := Frame(Vec{2 * c, 2 * s, 0}, Vec{5*c - s, 5*s + c, 0})
	if !ok {
		t.Fatal("they span a plane")
	}
	same(t, "30° about z", q, About(Vec{0, 0, 1}, 30*degree), 1e-15)
	for _, bad := range [][2]Vec{{{}, {0, 1, 0}}, {{1, 0, 0}, {-3, 0, 0}}, {{1, 0, 0}, {}}, {{math.NaN(), 0, 0}, {0, 1, 0}}} {
		if _, ok := Frame(bad[0], bad[1]); ok {
			t.Errorf("%v span no plane", bad)
		}
	}
	draw := rand.New(rand.NewPCG(5, 6))
	for range 100 {
		want := About(anyAxis(draw), draw.Float64()*6)
		got, _ := Frame(want.Rotate(Vec{3, 0, 0}), want.Rotate(Vec{-1, 0.5, 0}))
		same(t, "any frame", got, want, 1e-12)
	}
}
