package follow

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// W71 (worked numbers of the reference step): tail at (0,−1,0), length 1, rest axis +X,
// stiffness 1, drag .4, 60 a second.
func TestW71(t *testing.T) {
	j := rig.SpringJoint{Stiffness: 1, Drag: .4}
	tail := space.XYZ{Y: -1}
	before := tail
	for k, want := range []space.XYZ{{X: 0.016664, Y: -0.999861}, {X: 0.043299, Y: -0.999062}, {X: 0.075835, Y: -0.997120}} {
		next := springStep(tail, before, space.XYZ{}, space.XYZ{X: 1}, 1, &j, 1.0/60)
		before, tail = tail, next
		if next.Sub(want).Len() > 1e-6 {
			t.Errorf("step %d: %.6f, want %.6f", k+1, next, want)
		}
	}
}

// playedBySprings are the ends of a chain that the reference step moves 60 times a second.
func playedBySprings(c *Chains, d Dials) (ends []space.Vec) {
	c.PlaySprings(0, rig.None, c.Springs(d, 1), func(tails []space.XYZ) { ends = append(ends, tails[len(tails)-1].Vec()) })
	return ends
}

// The numbers that are written do in the reference step what the dials say: a level chain ends
// up pointing down by the sag, and a hanging one swings about as wide and in step with what
// is baked.
func TestSpringsDoAsTheDialsSay(t *testing.T) {
	r := hung(4, .1, space.Vec{0, 0, -1}, 1, 30, func(t float64) space.Vec { return space.Vec{} })
	c := Find(exam.New(r), linksOf(r))
	for _, sag := range []float64{10, 30} {
		runs := c.Springs(Dials{Sag: sag, Settle: 1, Gravity: 1}, 1)
		if len(runs) != 1 || len(runs[0]) != 4 {
			t.Fatalf("runs %v", runs)
		}
		r.Clips[0].Seconds = 20
		end := playedBySprings(c, Dials{Sag: sag, Settle: 1, Gravity: 1})
		p := end[len(end)-1]
		// A beam's links point down by 57.8125, 87.5, 98.4375 and 100 % of the sag.
		want := space.Vec{0, -1e-9, 0}
		for _, part := range []float64{.578125, .875, .984375, 1} {
			a := sag * part * math.Pi / 180
			want = want.Add(space.Vec{0, -.1 * math.Sin(a), -.1 * math.Cos(a)})
		}
		if off := p.Sub(want).Len(); off > .002 {
			t.Errorf("sag %g: the end comes to rest %.4f m off, at %v, want %v", sag, off, p, want)
		}
	}
	swing := func(t float64) space.Vec { return space.Vec{.1 * math.Sin(2*math.Pi*.8*t), 0, 0} }
	r = hung(5, .1, space.Vec{0, -1, 0}, 6, 60, swing)
	c = Find(exam.New(r), linksOf(r))
	d := Dials{Sag: Free, Settle: 1, Gravity: 1, AsDrawn: true}
	// 9.80665 m/s² at 60 steps a second.
	if g := c.Springs(d, 1)[0][0].GravityPower; g != .1634 {
		t.Errorf("gravityPower %g, want 0.1634", g)
	}
	m, err := c.Follow(context.Background(), 0, false, d, nil)
	if err != nil {
		t.Fatal(err)
	}
	baked, sprung := tips(bakedInto(t, r, m), 6, 60), playedBySprings(c, d)
	wide := func(w []space.Vec) (most float64) {
		for k := len(w) / 2; k < len(w); k++ {
			most = max(most, math.Abs(w[k][0]-swing(float64(k) / 60)[0]))
		}
		return most
	}
	a, b := wide(baked), wide(sprung)
	if b < a/2.5 || b > a*2.5 {
		t.Errorf("baked it swings by %.3f m, by springs %.3f m", a, b)
	}
	t.Logf("baked it swings by %.3f m, by springs %.3f m", a, b)
}

// Four digits, and no number below nothing.
func TestShort(t *testing.T) {
	for x, want := range map[float64]float64{0.0123456: 0.01235, 123456: 123500, -1: 0, 0: 0, 1: 1} {
		if got := short(x); math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("%g: %g, want %g", x, got, want)
		}
	}
}
