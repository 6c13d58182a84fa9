package follow

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// The nearest points of two lines, against 400 × 400 points of each.
func TestNearestIsBruteForce(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	at := func() space.XYZ {
		return space.XYZ{X: rnd.Float64()*2 - 1, Y: rnd.Float64()*2 - 1, Z: rnd.Float64()*2 - 1}
	}
	for n := range 60 {
		p, q, a, b := at(), at(), at(), at()
		switch n % 6 {
		case 1:
			b = a // a ball
		case 2:
			q = p
		case 3:
			b = a.Add(q.Sub(p)) // side by side
		}
		want := math.Inf(1)
		for i := range 401 {
			x := p.Add(q.Sub(p).Mul(float64(i) / 400))
			want = min(want, space.ToSegment(x.Vec(), a.Vec(), b.Vec()))
		}
		_, _, share, far := nearest(p, q, a, b)
		if math.Abs(far-want) > .006 || far > want+1e-12 || share < 0 || share > 1 {
			t.Errorf("row %d: %.5f, want %.5f", n, far, want)
		}
	}
}

// The capsule check of the worked numbers: ends (0,0,0) and (0,1,0), points (.3,.25,0) and
// (.3,1.4,0): .3 and .5 from the line.
func TestWorkedCapsule(t *testing.T) {
	b := space.XYZ{Y: 1}
	for at, want := range map[space.XYZ]float64{{X: .3, Y: .25}: .3, {X: .3, Y: 1.4}: .5} {
		if _, _, _, far := nearest(at, at, space.XYZ{}, b); math.Abs(far-want) > 1e-12 {
			t.Errorf("%v: %g, want %g", at, far, want)
		}
	}
}

// A chain that is swung against a post, a ball and both stays out of them; let through it would
// be deep inside.
func TestKeepsOut(t *testing.T) {
	post := Capsule{Node: 0, A: space.Vec{.12, -1, 0}, B: space.Vec{.12, .2, .05}, Radius: .06}
	ball := Capsule{Node: 0, A: space.Vec{-.13, -.35, .02}, B: space.Vec{-.13, -.35, .02}, Radius: .07}
	for name, capsules := range map[string][]Capsule{"post": {post}, "ball": {ball}, "both": {post, ball}} {
		r := hung(6, .1, space.Vec{0, -1, 0}, 4, 60, func(t float64) space.Vec {
			return space.Vec{.3 * math.Sin(4*t), 0, .05 * math.Sin(6*t)}
		})
		c := Find(exam.New(r), linksOf(r))
		through, err := c.Follow(context.Background(), 0, false, loose, nil)
		if err != nil {
			t.Fatal(err)
		}
		without := c.DeepestIn(bakedInto(t, r, through), capsules, 60)
		m, err := c.Follow(context.Background(), 0, false, loose, capsules)
		if err != nil {
			t.Fatal(err)
		}
		got := c.DeepestIn(bakedInto(t, r, m), capsules, 60)
		if got > .005*.6 || without < .02 {
			t.Errorf("%s: %.2f mm inside, %.2f mm when let through", name, got*1000, without*1000)
		}
		if math.Abs(m.Deepest-max(got, 0)) > .0015 {
			t.Errorf("%s: it tells %.2f mm, found %.2f mm", name, m.Deepest*1000, got*1000)
		}
		t.Logf("%s: %.3f mm inside, told %.3f; %.1f mm when let through", name, got*1000, m.Deepest*1000, without*1000)
	}
}

// The sample is built of capsules: those found in it have the radii of its drawing, and none is
// laid around a link of its chains.
func TestCapsulesOfTheSample(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
	var joints []rig.Node
	for _, side := range []string{"L", "R"} {
		for k := 1; k <= 6; k++ {
			joints = append(joints, lamplighter.Node("chain_"+side+"_"+string(rune('0'+k))))
		}
	}
	c := Find(exam.New(r), joints)
	by := map[string]float64{}
	for _, k := range c.Capsules() {
		name := r.Nodes[k.Node].Name
		by[name] = max(by[name], k.Radius)
		for _, n := range joints {
			if k.Node == n {
				t.Errorf("a capsule around %s", name)
			}
		}
	}
	// Sleeves are .062 to .074 m, boots .05 to .082 m; the yoke, a beam across the
	// shoulders, is no ball as wide as it is long (lamplighter/solids.go).
	for name, want := range map[string][2]float64{"upperArm_L": {.055, .078}, "lowerLeg_R": {.045, .082}, "head": {.08, .13}, "hips": {.08, .3}, "yoke": {.02, .1}} {
		if got := by[name]; got < want[0] || got > want[1] {
			t.Errorf("%s: radius %.4f m, want %v", name, got, want)
		}
	}
	for _, l := range c.Links {
		if l.Length < .02 || l.down < .99 {
			t.Errorf("%s: length %.3f m, down %.3f", r.Nodes[l.Joint].Name, l.Length, l.down)
		}
	}
}
