package follow

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

// rod is a single link of a length as a tree.
func rod(length float64) *tree {
	c := &Chains{Links: []Link{{Above: -1, Length: length, Below: length, Along: 1, down: 1}}}
	return c.trees(Dials{Sag: Free, Settle: 1, Gravity: 1})[0]
}

// let steps a link of a rod in a field that makes ω² of small swings.
func let(t *tree, l []link, w2, seconds float64, each func(at float64)) {
	field := []space.XYZ{{Y: -w2 * t.mass[0]}}
	n := int(math.Round(seconds * Rate * 2))
	for k := range n {
		t.step(l, field, 1.0/Rate/2)
		if each != nil {
			each(float64(k+1) / Rate / 2)
		}
	}
}

// W70 (worked numbers; closed form of the damped oscillator, standard mechanics): ω = 10,
// x₀ = 1, v₀ = 0, as small swings of a rod.
func TestW70(t *testing.T) {
	for _, row := range []struct {
		zeta float64
		want map[float64]float64
	}{
		{1, map[float64]float64{.1: 0.735758882, .2: 0.406005850, .5: 0.040427682}},
		{.2, map[float64]float64{.1: 0.594966233, .2: -0.127484445, .5: -0.005544452}},
		{2, map[float64]float64{.1: 0.822263424, .2: 0.630360022, .5: 0.282171174}},
	} {
		for at, want := range row.want {
			tr := rod(.3)
			tr.drag = 2 * row.zeta * 10
			const small = 1e-3
			l := []link{{u: space.XYZ{X: math.Sin(small), Y: -math.Cos(small)}}}
			let(tr, l, 100, at, nil)
			if got := math.Asin(l[0].u.X) / small; math.Abs(got-want) > 1e-4 {
				t.Errorf("damping %g, t = %g: %.6f, want %.6f", row.zeta, at, got, want)
			}
			if row.zeta == 1 && at == .1 && math.Abs(l[0].v.X/small+3.678794412) > 1e-3 {
				t.Errorf("speed at .1: %.5f, want −3.67879", l[0].v.X/small)
			}
		}
	}
}

// The period of a pendulum let go at an angle, ÷ that of small swings: 2K(sin θ/2)/π (complete
// elliptic integral, any handbook): 1.0174 at 30°, 1.1803 at 90°, 1.3729 at 120°. It rises as
// high after a minute.
func TestPendulumPeriod(t *testing.T) {
	for degrees, want := range map[float64]float64{1: 1.00002, 30: 1.01741, 90: 1.18034, 120: 1.37288} {
		a := degrees * math.Pi / 180
		l := []link{{u: space.XYZ{X: math.Sin(a), Y: -math.Cos(a)}}}
		tr := rod(.3)
		tr.drag = 0
		var crossed []float64
		last, highest := l[0].u.X, -1.0
		let(tr, l, 25, 60, func(at float64) {
			if x := l[0].u.X; last > 0 != (x > 0) {
				crossed = append(crossed, at-x/(x-last)/Rate/2)
			}
			if at > 55 {
				highest = max(highest, l[0].u.Y)
			}
			last = l[0].u.X
		})
		n := len(crossed) - 1
		got := 2 * (crossed[n] - crossed[0]) / float64(n) / (2 * math.Pi / 5)
		if math.Abs(got-want) > 1e-3*want {
			t.Errorf("%g°: period %.5f of small swings, want %.5f", degrees, got, want)
		}
		if top := -math.Cos(a); math.Abs(highest-top) > .01 {
			t.Errorf("%g°: after a minute it rises to %.4f, let go at %.4f", degrees, highest, top)
		}
		if math.Abs(l[0].u.Len()-1) > 1e-12 {
			t.Errorf("length %g", l[0].u.Len())
		}
	}
}

// A conical pendulum: at angle θ it goes round at ω² = g/(l·cos θ) (any handbook) and keeps
// its height.
func TestConicalPendulum(t *testing.T) {
	const a, w2 = .6, 25.0
	l := []link{{u: space.XYZ{X: math.Sin(a), Y: -math.Cos(a)}, v: space.XYZ{Z: math.Sin(a) * math.Sqrt(w2/math.Cos(a))}}}
	tr := rod(.3)
	tr.drag = 0
	let(tr, l, w2, 10*2*math.Pi/math.Sqrt(w2/math.Cos(a)), func(at float64) {
		if math.Abs(l[0].u.Y+math.Cos(a)) > 2e-3 {
			t.Fatalf("at %.3f s: height %.4f, want %.4f", at, l[0].u.Y, -math.Cos(a))
		}
	})
	// The steps end within half of one from ten whole rounds.
	if round := math.Atan2(l[0].u.Z, l[0].u.X); math.Abs(round) > .05 {
		t.Errorf("after ten rounds it is %.3f rad off", round)
	}
}

// Two rods of equal length and weight on one another swing, a little, at ω² = 3·(1 ∓ 2/√7)·g/l,
// the lower rod (2√7 − 1)/3 times as wide as the upper one in the slow mode (any handbook of
// mechanics: the double physical pendulum).
func TestDoublePendulum(t *testing.T) {
	c := &Chains{Links: []Link{{Above: -1, Length: .25, Below: .5, Along: .5, down: 1}, {Above: 0, Length: .25, Below: .25, Along: 1, down: 1}}}
	d := Dials{Sag: Free, Settle: 1, Gravity: 1}
	tr := c.trees(d)[0]
	if got := tr.slowest(c, d) * tr.slowest(c, d) / (StandardGravity / .25); math.Abs(got-.7322133) > 1e-6 {
		t.Errorf("ω² is %.6f g/l, want 0.732213", got)
	}
	tr.drag = 0
	const a = .01
	tip := a * (2*math.Sqrt(7) - 1) / 3 // of the slow mode
	u := func(x float64) space.XYZ { return space.XYZ{X: math.Sin(x), Y: -math.Cos(x)} }
	l := []link{{u: u(a)}, {u: u(tip)}}
	var field []space.XYZ
	for k := range 2 {
		field = append(field, tr.field(k, 1, u(0), u(0), space.XYZ{}, nil))
	}
	w := math.Sqrt(.7322133 * StandardGravity / .25)
	for k := range Rate * 2 * 10 {
		tr.step(l, field, 1.0/Rate/2)
		want := math.Cos(w * float64(k+1) / Rate / 2)
		for i, size := range []float64{a, tip} {
			if got := math.Asin(l[i].u.X) / size; math.Abs(got-want) > 4e-3 {
				t.Fatalf("step %d, link %d: %.5f, want %.5f", k, i+1, got, want)
			}
		}
	}
}

// What swings wildly keeps what it holds: a chain of five let go level and left to itself for
// ten seconds ends with its energy, within a hundredth of what it could fall by.
func TestEnergyStays(t *testing.T) {
	const n, long = 5, .1
	c := &Chains{}
	for i := range n {
		c.Links = append(c.Links, Link{Above: i - 1, Length: long, Below: long * float64(n-i), Along: 1, down: 1})
	}
	tr := c.trees(Dials{Sag: Free, Settle: 1, Gravity: 1})[0]
	tr.drag = 0
	l := make([]link, n)
	var field []space.XYZ
	for i := range l {
		l[i].u, _ = space.XYZ{X: 1, Z: .1 * float64(i)}.Unit()
		field = append(field, tr.field(i, 1, space.XYZ{}, space.XYZ{}, space.XYZ{}, nil))
	}
	energy := func() (e float64) {
		for i := range l {
			e -= field[i].Dot(l[i].u)
			for j := range l {
				e += tr.mass[i*n+j] * l[i].v.Dot(l[j].v) / 2
			}
		}
		return e
	}
	scale := 0.0
	for i := range l {
		scale += field[i].Len()
	}
	was := energy()
	worst := 0.0
	for range Rate * 2 * 10 {
		tr.step(l, field, 1.0/Rate/2)
		worst = max(worst, math.Abs(energy()-was)/scale)
	}
	if worst > .05 {
		t.Errorf("%.3g of what it could fall by is lost or won", worst)
	}
	t.Logf("%.3g", worst)
}

// The solver against a product that is known.
func TestSolve(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 9))
	for _, n := range []int{1, 2, 7, 30} {
		root, x := make([]float64, n*n), make([]float64, n)
		for i := range root {
			root[i] = rnd.NormFloat64()
		}
		for i := range x {
			x[i] = rnd.NormFloat64()
		}
		a, b := make([]float64, n*n), make([]float64, n)
		for i := range n {
			for j := range n {
				for k := range n {
					a[i*n+j] += root[i*n+k] * root[j*n+k]
				}
			}
			a[i*n+i] += .1
		}
		for i := range n {
			for j := range n {
				b[i] += a[i*n+j] * x[j]
			}
		}
		if !solve(a, b) {
			t.Fatal("not positive")
		}
		for i := range x {
			if math.Abs(b[i]-x[i]) > 1e-7 {
				t.Errorf("%d: %g, want %g", n, b[i], x[i])
			}
		}
	}
	if solve([]float64{1, 2, 2, 1}, []float64{1, 1}) {
		t.Error("a matrix that is not positive was solved")
	}
}

// A swing is down to 5 % after the seconds set, or as soon as it can be, and is said so.
func TestSettles(t *testing.T) {
	for _, settle := range []float64{.3, 1.5, 4} {
		c := &Chains{Links: []Link{{Above: -1, Length: .6, Below: .6, Along: 1, down: 1}}}
		d := Dials{Sag: Free, Settle: settle, Gravity: 1}
		tr := c.trees(d)[0]
		l := []link{{u: space.XYZ{X: .02, Y: -math.Sqrt(1 - .0004)}}}
		field := []space.XYZ{tr.field(0, 1, l[0].u, l[0].u, space.XYZ{}, nil)}
		last := 0.0
		for k := range 2 * Rate * 20 {
			tr.step(l, field, 1.0/Rate/2)
			if math.Abs(l[0].u.X) > .05*.02 {
				last = float64(k+1) / Rate / 2
			}
		}
		// Within one half swing of the envelope.
		half, says := math.Pi/math.Sqrt(StandardGravity/.4), c.Settles(d)
		if last > says*1.02+.01 || last < says-half {
			t.Errorf("set %g s: it settles after %.2f s, said %.2f s", settle, last, says)
		}
		if says < settle-1e-9 || settle >= 1.5 && says != settle {
			t.Errorf("set %g s, said %g s", settle, says)
		}
	}
}

// A root that turns faster than 4000° a second is cut (the limit of motion/jump): at 240 steps a second by more than 16.7°.
func TestCutTurns(t *testing.T) {
	for degrees, want := range map[float64]bool{16.5: false, 16.8: true} {
		if got := isCutTurn(degrees*math.Pi/180, 1./240); got != want {
			t.Errorf("%g° in a step: cut %v", degrees, got)
		}
	}
}
