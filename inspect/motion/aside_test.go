package motion

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A key on the great circle between two is not aside of it, wherever it stands and however
// the signs are; one turned out of its plane by 0.02° is, by 0.005° is not (the tolerance
// is 0.01°).
func TestAside(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	turn := func() space.Quat {
		q, _ := space.UnitQuat(space.FromXYZW([4]float64{random.NormFloat64(), random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}))
		return q
	}
	for i := range 2000 {
		p := turn()
		axis := space.Direction(space.Vec{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()})
		angle := math.Pow(10, -4*random.Float64()) * 3
		q := space.About(axis, angle).Mul(p)
		u := space.Slerp(p, q, random.Float64())
		if i%2 == 1 {
			q = q.Scale(-1)
		}
		if aside(&p, &q, &u) {
			t.Fatalf("a key on the way of %g is aside", angle)
		}
		// About an axis square to that of the way: out of its plane.
		across := space.Square(axis)
		for off, want := range map[float64]bool{.005: false, .02: true} {
			v := space.About(across, off*math.Pi/180).Mul(u)
			if got := aside(&p, &q, &v); got != want && angle > 3e-4 {
				t.Fatalf("%g° out of a way of %g: aside %v", off, angle, got)
			}
		}
	}
}

// Keys on a way that turns evenly are spare but for the ends; a bend in it keeps its key,
// and a key that has no direction keeps itself and its neighbours.
func TestSpareKeys(t *testing.T) {
	f := newFigure(exam.New(waving().r))
	channel := func(angle func(k int) float64) *rig.Channel {
		c := &rig.Channel{Path: rig.Rotation, Width: 4}
		for k := range 21 {
			s, w := math.Sincos(angle(k) * math.Pi / 360)
			c.Times = append(c.Times, float32(k)/30)
			c.Values = append(c.Values, float32(s), 0, 0, float32(w))
		}
		return c
	}
	even := channel(func(k int) float64 { return 3 * float64(k) })
	if got := f.spareKeys(even); got != 19 {
		t.Errorf("an even turn: %d spare, want 19", got)
	}
	bent := channel(func(k int) float64 { return 3 * math.Abs(float64(k-10)) })
	if got := f.spareKeys(bent); got != 18 {
		t.Errorf("there and back: %d spare, want 18", got)
	}
	curved := channel(func(k int) float64 { return .1 * float64(k*k) })
	if got := f.spareKeys(curved); got != 0 {
		t.Errorf("ever faster: %d spare, want none", got)
	}
	clear(even.Values[40:44])
	if got := f.spareKeys(even); got != 16 {
		t.Errorf("a key without a direction: %d spare, want 16", got)
	}
}
