package part

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

func cloud(rnd *rand.Rand, n int) (out []space.Vec, ones []float64) {
	for range n {
		out, ones = append(out, space.Vec{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()}), append(ones, 1)
	}
	return out, ones
}

// Points that were turned, scaled and shifted are laid back to rounding; half a turn and more
// too.
func TestLay(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, row := range []struct {
		degrees, factor float64
		n               int
	}{{0, 1, 3}, {30, 2, 3}, {90, .01, 5}, {179.9, 100, 5}, {180, 1, 20}, {270, .3, 20}} {
		from, ones := cloud(rnd, row.n)
		q := space.About(space.Direction(space.Vec{1, -2, .5}), row.degrees*math.Pi/180)
		shift := space.Vec{3, -1, 40}
		var to []space.Vec
		for _, p := range from {
			to = append(to, q.Rotate(p).Mul(row.factor).Add(shift))
		}
		l, ok := Lay(from, to, ones)
		if !ok || math.Abs(l.Factor-row.factor) > 1e-9*row.factor || space.Apart(l.Turn, q) > 1e-6 || l.Shift.Sub(shift).Len() > 1e-6*row.factor+1e-9 {
			t.Errorf("%v: %+v, %v", row, l, ok)
		}
	}
}

// The least squares are the least: any other turn, factor or shift near by is worse. Points
// count by their weight.
func TestLayLeast(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	from, weight := cloud(rnd, 12)
	to, _ := cloud(rnd, 12)
	for i := range to {
		weight[i] = rnd.Float64()
		to[i] = from[i].Mul(1.7).Add(to[i].Mul(.4))
	}
	l, ok := Lay(from, to, weight)
	if !ok {
		t.Fatal("not laid")
	}
	cost := func(l Laid) (s float64) {
		for i := range from {
			d := l.Point(from[i]).Sub(to[i])
			s += weight[i] * d.Dot(d)
		}
		return s
	}
	least := cost(l)
	for range 500 {
		o := l
		axis, _ := cloud(rnd, 2)
		o.Turn = space.Mul(space.About(space.Direction(axis[0]), .02*rnd.NormFloat64()), o.Turn)
		o.Factor *= 1 + .02*rnd.NormFloat64()
		o.Shift = o.Shift.Add(axis[1].Mul(.02))
		if c := cost(o); c < least-1e-12 {
			t.Fatalf("%v is less than %v", c, least)
		}
	}
}

// Points on a line, or fewer than three, do not say how a figure is turned; those a hundredth
// off it do not either, a tenth does.
func TestLayRefuses(t *testing.T) {
	line := func(off float64) []space.Vec { return []space.Vec{{0, 0, 0}, {1, 0, 0}, {2, off, 0}, {3, 0, 0}} }
	ones := []float64{1, 1, 1, 1}
	for off, want := range map[float64]bool{0: false, .003: false, .1: true} {
		if _, ok := Lay(line(off), line(off), ones); ok != want {
			t.Errorf("off by %v: %v", off, ok)
		}
	}
	for n := range 3 {
		if _, ok := Lay(line(1)[:n], line(1)[:n], ones[:n]); ok {
			t.Errorf("%d points are laid", n)
		}
	}
}

// An arm of two bones that hangs is laid on one that is held level and is half as long again
// in its second bone: each joint on its partner, what lies half way along a bone half way, its
// thickness by the factor of the whole. A hand without a joint below goes on as the arm does,
// not drawn out.
func TestLimbs(t *testing.T) {
	joints := []Joint{
		{From: space.Vec{0, 0, 0}, To: space.Vec{5, 5, 5}, Below: []int{1}, Above: -1},
		{From: space.Vec{0, -1, 0}, To: space.Vec{7, 5, 5}, Below: []int{2}, Above: 0},
		{From: space.Vec{0, -2, 0}, To: space.Vec{10, 5, 5}, Above: 1},
	}
	limbs := (&Laid{Turn: space.Still(), Factor: 2}).Limbs(joints)
	for _, row := range []struct {
		limb     int
		at, want space.Vec
	}{
		{0, space.Vec{0, -.5, 0}, space.Vec{6, 5, 5}},
		{0, space.Vec{0, -.5, .1}, space.Vec{6, 5, 5.2}},
		{1, space.Vec{0, -1.5, 0}, space.Vec{8.5, 5, 5}},
		{1, space.Vec{.1, -1.5, 0}, space.Vec{8.5, 5.2, 5}},
		{2, space.Vec{0, -2.5, .1}, space.Vec{11, 5, 5.2}},
	} {
		if got := limbs[row.limb].Point(row.at); got.Sub(row.want).Len() > 1e-9 {
			t.Errorf("limb %d: %v → %v, want %v", row.limb, row.at, got, row.want)
		}
	}
	// Ten times as long is another build: drawn out to twice at most.
	joints[1].To = space.Vec{25, 5, 5}
	if got := (&Laid{Turn: space.Still(), Factor: 2}).Limbs(joints)[0].Point(space.Vec{0, -1, 0}); got.Sub(space.Vec{9, 5, 5}).Len() > 1e-9 {
		t.Errorf("drawn out to %v", got)
	}
}
