package follow

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// hung is a rig of joints alone: a holder that a clip moves, and n links of equal length below
// it that point along a direction. place gives the holder's place at a moment.
func hung(n int, length float64, along space.Vec, seconds, hertz float64, place func(t float64) space.Vec) *rig.Rig {
	one := rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
	r := &rig.Rig{Shown: 0, File: rig.File{Kind: "glb"}}
	add := func(parent rig.Node, at space.Vec) {
		t := one
		t.T = at
		r.Nodes = append(r.Nodes, rig.NodeData{Parent: parent, TRS: t, Matrix: t.Affine(), Mesh: rig.None, Skin: rig.None})
		if parent >= 0 {
			r.Nodes[parent].Children = append(r.Nodes[parent].Children, rig.Node(len(r.Nodes)-1))
		}
	}
	add(rig.None, space.Vec{})
	add(0, space.Vec{0, -1e-9, 0})
	for i := range n {
		add(rig.Node(1+i), along.Mul(length))
	}
	r.Scenes = []rig.Scene{{Roots: []rig.Node{0}}}
	ch := rig.Channel{Node: 0, Path: rig.Translation, Width: 3}
	for k := 0; float64(k) <= seconds*hertz+.5; k++ {
		p := place(float64(k) / hertz)
		ch.Times = append(ch.Times, float32(float64(k)/hertz))
		ch.Values = append(ch.Values, float32(p[0]), float32(p[1]), float32(p[2]))
	}
	r.Clips = []rig.ClipData{{Channels: []rig.Channel{ch}, Seconds: float64(ch.Times[len(ch.Times)-1])}}
	r.SetOrder()
	return r
}

// links are the nodes of hung that follow: all but the holder and the end.
func linksOf(r *rig.Rig) (out []rig.Node) {
	for n := 1; n < len(r.Nodes)-1; n++ {
		out = append(out, rig.Node(n))
	}
	return out
}

// bakedInto is the rig with a motion baked into its clip.
func bakedInto(t *testing.T, r *rig.Rig, m *Motion) *rig.Rig {
	t.Helper()
	out := lamplighter.Clone(r)
	for _, ch := range m.Channels(1e-5) {
		c := &out.Clips[0]
		k := 0
		for k < len(c.Channels) && (c.Channels[k].Node != ch.Node || c.Channels[k].Path != ch.Path) {
			k++
		}
		if k == len(c.Channels) {
			c.Channels = append(c.Channels, ch)
		} else {
			c.Channels[k] = ch
		}
	}
	return out
}

// tips are the places of a node of a rig at moments of clip 0.
func tips(r *rig.Rig, n rig.Node, hertz float64) (out []space.Vec) {
	p := deform.NewPose(r)
	for k := 0; float64(k) <= r.Clips[0].Seconds*hertz+1e-6; k++ {
		p.Sample(0, float64(k)/hertz)
		out = append(out, p.World[n].Origin())
	}
	return out
}

var loose = Dials{Sag: Free, Settle: 1e6, Gravity: 1, AsDrawn: true}

// A chain that hangs swings in its first mode at 1.2024·√(g/L), the first zero of J₀ halved
// (Bernoulli 1738; any handbook of mechanics): rods come near that, the more of them the
// nearer (one: √1.5; two: √(2·3·(1 − 2/√7))). Its holder goes gently aside and stops.
func TestHangingChainPeriod(t *testing.T) {
	const long = .6
	for n, within := range map[int]float64{1: .02, 3: .006, 6: .003, 12: .002} {
		r := hung(n, long/float64(n), space.Vec{0, -1, 0}, 30, 60, func(t float64) space.Vec {
			s := min(t/2, 1)
			return space.Vec{.05 * s * s * s * (10 - 15*s + 6*s*s), 0, 0}
		})
		d := loose
		d.Settle = 60
		m, err := Find(exam.New(r), linksOf(r)).Follow(context.Background(), 0, false, d, nil)
		if err != nil {
			t.Fatal(err)
		}
		way := tips(bakedInto(t, r, m), rig.Node(n+1), 240)
		var crossed []float64
		for k := 3 * 240; k < len(way); k++ {
			a, b := way[k-1][0]-.05, way[k][0]-.05
			if a > 0 != (b > 0) {
				crossed = append(crossed, (float64(k)-b/(b-a))/240)
			}
		}
		if len(crossed) < 10 {
			t.Fatalf("%d links: it crosses %d times", n, len(crossed))
		}
		got := 2 * (crossed[len(crossed)-1] - crossed[0]) / float64(len(crossed)-1)
		want := 2 * math.Pi / (1.2024 * math.Sqrt(StandardGravity/long))
		if math.Abs(got/want-1) > within {
			t.Errorf("%d links: period %.4f s, want %.4f s", n, got, want)
		}
		t.Logf("%d links: %.5f of it", n, got/want)
	}
}

// In a holder that speeds up evenly a chain hangs back by the angle whose tangent is a/g (any
// handbook), and at an even pace straight down.
func TestHangsBack(t *testing.T) {
	const a = 2.0
	r := hung(4, .1, space.Vec{0, -1, 0}, 8, 120, func(t float64) space.Vec {
		if t < 5 {
			return space.Vec{a * t * t / 2, 0, 0}
		}
		return space.Vec{a*12.5 + a*5*(t-5), 0, 0}
	})
	d := loose
	d.Settle = .8
	m, err := Find(exam.New(r), linksOf(r)).Follow(context.Background(), 0, false, d, nil)
	if err != nil {
		t.Fatal(err)
	}
	is := bakedInto(t, r, m)
	p := deform.NewPose(is)
	for at, want := range map[float64]float64{4.9: math.Atan(a / StandardGravity), 8: 0} {
		p.Sample(0, at)
		way := p.World[5].Origin().Sub(p.World[1].Origin())
		if got := math.Atan2(-way[0], -way[1]); math.Abs(got-want) > .004 {
			t.Errorf("at %g s it hangs back by %.4f rad, want %.4f", at, got, want)
		}
	}
}

// Equal at any rate: the same movement keyed 30 and 60 times a second gives the same chain
// within 0.1 mm on one of 600 mm. A drag by the frame would part them by 100 mm.
func TestRateOfKeys(t *testing.T) {
	place := func(t float64) space.Vec { // straight between thirtieths of a second
		k := math.Floor(t*30 + 1e-9)
		at := func(k float64) space.Vec {
			return space.Vec{.15 * math.Sin(2*math.Pi*k/30*.7), 0, .1 * math.Sin(2*math.Pi*k/30*1.1)}
		}
		s := t*30 - k
		return at(k).Mul(1 - s).Add(at(k + 1).Mul(s))
	}
	d := loose
	d.Settle = 1.5
	var way [2][]space.Vec
	for i, hertz := range []float64{30, 60} {
		r := hung(6, .1, space.Vec{0, -1, 0}, 4, hertz, place)
		m, err := Find(exam.New(r), linksOf(r)).Follow(context.Background(), 0, false, d, nil)
		if err != nil {
			t.Fatal(err)
		}
		way[i] = tips(bakedInto(t, r, m), 7, 30)
	}
	worst, most := 0.0, 0.0
	for k := range way[0] {
		worst = max(worst, way[0][k].Sub(way[1][k]).Len())
		most = max(most, math.Abs(way[0][k][0]))
	}
	if worst > 1e-4 || most < .1 {
		t.Errorf("%.3g mm apart; it swings by %.3g m", worst*1000, most)
	}
	t.Logf("%.3g mm apart", worst*1000)
}

// A loop ends as it begins: in place, and in speed as near as two keys tell.
func TestLoopCloses(t *testing.T) {
	for name, long := range map[string]float64{"as long as the swing": 1.3, "short": .4, "long": 3.7} {
		r := hung(6, .1, space.Vec{0, -1, 0}, long, 240, func(t float64) space.Vec {
			return space.Vec{.05 * min(long, 1) * math.Sin(2*math.Pi*t/long), .01 * min(long, 1) * math.Cos(4*math.Pi*t/long), 0}
		})
		d := loose
		d.Settle = 3
		// The last key stands at a multiple of 1/240: the loop is as long as the keys are.
		m, err := Find(exam.New(r), linksOf(r)).Follow(context.Background(), 0, true, d, nil)
		if err != nil {
			t.Fatal(err)
		}
		is := bakedInto(t, r, m)
		end := is.Clips[0].Seconds
		p := deform.NewPose(is)
		at := func(s float64) space.Vec {
			p.Sample(0, s)
			return p.World[7].Origin().Sub(p.World[1].Origin())
		}
		const h = 1.0 / 240
		if gap := at(0).Sub(at(end)).Len(); gap > 1e-6 {
			t.Errorf("%s: the last pose is %.3g m off the first", name, gap)
		}
		before, after := at(end).Sub(at(end-h)), at(h).Sub(at(0))
		if jerk := before.Sub(after).Len() / h; jerk > .1 {
			t.Errorf("%s: the speed leaps by %.3g m/s where it comes round", name, jerk)
		}
		if m.Gap > .2 {
			t.Errorf("%s: %.3g° were left to close after %d periods", name, m.Gap, m.Periods)
		}
		if (m.Damped > 1) != (name == "short") {
			t.Errorf("%s: damped %g times", name, m.Damped)
		}
		t.Logf("%s: %d periods, damped × %g, %.3g° closed", name, m.Periods, m.Damped, m.Gap)
	}
}

// A holder that is cut to another place takes its chain along: it swings before and after as if
// nothing had been.
func TestCut(t *testing.T) {
	still := func(t float64) space.Vec { return space.Vec{} }
	r := hung(5, .1, space.Vec{0, -1, 0}, 2, 30, still)
	ch := &r.Clips[0].Channels[0]
	ch.Interpolation = rig.Step
	for k := 30; k < len(ch.Times); k++ {
		ch.Values[3*k] = 3
	}
	m, err := Find(exam.New(r), linksOf(r)).Follow(context.Background(), 0, false, loose, nil)
	if err != nil {
		t.Fatal(err)
	}
	if m.Cuts != 1 || m.Widest > .001 {
		t.Errorf("%d cuts, widest %.3g rad", m.Cuts, m.Widest)
	}
}

// What stands still as drawn stays as drawn, a level tail with its stiffness as well; and a
// chain that is told to hang sinks by the degrees that were set, each link from the one above.
func TestAsDrawn(t *testing.T) {
	still := func(t float64) space.Vec { return space.Vec{} }
	for name, along := range map[string]space.Vec{"level": {0, 0, -1}, "up": {0, 1, 0}, "down": {0, -1, 0}, "aslant": {.5, -math.Sqrt(3) / 2, 0}} {
		for _, sag := range []float64{20, 60, Free} {
			r := hung(3, .1, along, 1, 30, still)
			m, err := Find(exam.New(r), linksOf(r)).Follow(context.Background(), 0, false, Dials{Sag: sag, Settle: 1, Gravity: 1, AsDrawn: true}, nil)
			if err != nil {
				t.Fatal(err)
			}
			falls := sag == Free && (name == "level") // a rope cannot stand out
			if falls == (m.Widest < 1e-3) {
				t.Errorf("%s, sag %g: widest %.3g rad", name, sag, m.Widest)
			}
		}
	}
	r := hung(1, .1, space.Vec{0, 0, -1}, 1, 30, still)
	m, err := Find(exam.New(r), linksOf(r)).Follow(context.Background(), 0, false, Dials{Sag: 25, Settle: 1, Gravity: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := m.Widest * 180 / math.Pi; math.Abs(got-25) > .05 {
		t.Errorf("it sinks by %.3f°, want 25°", got)
	}
}

// A chain held level bends like a beam that is held at one end: its end points down by the sag,
// and the slope on the way there is 1 − (1 − x)³ of it (any handbook of structures).
func TestSagsLikeABeam(t *testing.T) {
	r := hung(4, .1, space.Vec{0, 0, -1}, 1, 30, func(t float64) space.Vec { return space.Vec{} })
	m, err := Find(exam.New(r), linksOf(r)).Follow(context.Background(), 0, false, Dials{Sag: 30, Settle: 1, Gravity: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	p := deform.NewPose(bakedInto(t, r, m))
	p.Sample(0, 1)
	for k, want := range []float64{30 * .578125, 30 * .875, 30 * .984375, 30} {
		way := p.World[2+k].Origin().Sub(p.World[1+k].Origin())
		if got := math.Asin(-way[1]/way.Len()) * 180 / math.Pi; math.Abs(got-want) > .05 {
			t.Errorf("link %d points down by %.2f°, want %.2f°", k+1, got, want)
		}
	}
}

// Stiff chains that swing long and wide do not whip themselves up: no link leaves its drawn
// direction by much more than the root is swung.
func TestStiffStaysStiff(t *testing.T) {
	for _, sag := range []float64{1, 2, 10, 30} {
		r := hung(10, .05, space.Vec{0, -1, 0}, 5, 60, func(t float64) space.Vec { return space.Vec{.05 * math.Sin(6*t), 0, .05 * math.Sin(9*t)} })
		m, err := Find(exam.New(r), linksOf(r)).Follow(context.Background(), 0, false, Dials{Sag: sag, Settle: 5, Gravity: 1, AsDrawn: true}, nil)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("sag %g°: widest %.3g°", sag, m.Widest*180/math.Pi)
		if m.Widest > 90*math.Pi/180 || sag <= 2 && m.Widest > 8*math.Pi/180 {
			t.Errorf("sag %g: widest %.3g°", sag, m.Widest*180/math.Pi)
		}
	}
}

// Joints keep their place: only rotations are written, and the links keep their lengths within
// float32, also under a parent that is turned, mirrored or scaled evenly.
func TestLengthsStay(t *testing.T) {
	for name, top := range map[string]rig.TRS{
		"turned":   {R: [4]float64{.5, .5, .5, .5}, S: [3]float64{1, 1, 1}},
		"scaled":   {R: [4]float64{0, math.Sqrt2 / 2, 0, math.Sqrt2 / 2}, S: [3]float64{.01, .01, .01}},
		"mirrored": {R: [4]float64{0, 0, .6, .8}, S: [3]float64{-2, 2, 2}},
	} {
		r := hung(4, .1, space.Vec{0, -1, 0}, 2, 60, func(t float64) space.Vec { return space.Vec{.1 * math.Sin(5*t), 0, .05 * math.Sin(7*t)} })
		// The holder hangs on a node with a transform of its own.
		r.Nodes = append(r.Nodes, rig.NodeData{Parent: rig.None, Children: []rig.Node{0}, TRS: top, Matrix: top.Affine(), Mesh: rig.None, Skin: rig.None})
		r.Nodes[0].Parent = rig.Node(len(r.Nodes) - 1)
		r.Scenes[0].Roots = []rig.Node{r.Nodes[0].Parent}
		r.SetOrder()
		var joints []rig.Node
		for n := 1; n <= 4; n++ {
			joints = append(joints, rig.Node(n))
		}
		m, err := Find(exam.New(r), joints).Follow(context.Background(), 0, false, Dials{Sag: 30, Settle: 1, Gravity: 1, AsDrawn: true}, nil)
		if err != nil {
			t.Fatal(err)
		}
		is := bakedInto(t, r, m)
		p := deform.NewPose(is)
		scale := math.Abs(top.S[0])
		worst, moves := 0.0, 0.0
		for k := range 100 {
			p.Sample(0, float64(k)/50)
			for n := 1; n <= 4; n++ {
				d := p.World[n+1].Origin().Sub(p.World[n].Origin())
				worst = max(worst, math.Abs(d.Len()/scale-.1))
				moves = max(moves, math.Abs(d.Len()))
			}
		}
		if worst > 1e-6 || m.Widest < .001 {
			t.Errorf("%s: lengths change by %.3g, widest %.3g rad", name, worst, m.Widest)
		}
		// What is written is what was worked out: at the end the last link points where it did.
		p.Sample(0, is.Clips[0].Seconds)
		way, _ := space.Plain(p.World[5].Origin().Sub(p.World[4].Origin())).Unit()
		if off := angle(way, m.last); off > 1e-3 {
			t.Errorf("%s: the last link is %.3g rad off what was worked out", name, off)
		}
	}
}

// What cannot be turned is told, with the joint and why.
func TestUnturnable(t *testing.T) {
	nan := math.NaN()
	for why, scale := range map[Hindrance][3]float64{Sheared: {1, 2, 1}, Flat: {0, 0, 0}, NoNumber: {nan, 1, 1}} {
		r := hung(3, .1, space.Vec{0, -1, 0}, 1, 30, func(t float64) space.Vec { return space.Vec{t, 0, 0} })
		c := Find(exam.New(r), linksOf(r))
		ch := rig.Channel{Node: 0, Path: rig.Scale, Width: 3, Times: []float32{0}}
		for _, v := range scale {
			ch.Values = append(ch.Values, float32(v))
		}
		r.Clips[0].Channels = append(r.Clips[0].Channels, ch)
		_, err := c.Follow(context.Background(), 0, false, loose, nil)
		if u, ok := err.(*Unturnable); !ok || u.Joint != 1 || u.Why != why {
			t.Errorf("%v: %v", scale, err)
		}
	}
}

// A scale that differs by axis by less than a thousandth is one.
func TestNearlyEven(t *testing.T) {
	for off, want := range map[float64]bool{5e-4: true, 4e-3: false} {
		a := rig.Affine{0: 1, 5: 1 + off, 10: 1}
		if _, ok := hindered(&a, space.XYZ{}); ok != want {
			t.Errorf("%g apart: %v", off, ok)
		}
		a = rig.Affine{0: 1, 1: off, 5: 1, 10: 1}
		if _, ok := hindered(&a, space.XYZ{}); ok != want {
			t.Errorf("%g off square: %v", off, ok)
		}
	}
}

// A stop is heard in the settling, in the periods of a loop and in the way that is kept.
func TestFollowStops(t *testing.T) {
	r := hung(6, .1, space.Vec{0, -1, 0}, 100, 10, func(t float64) space.Vec { return space.Vec{math.Sin(t), 0, 0} })
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for _, loop := range []bool{false, true} {
		if _, err := Find(exam.New(r), linksOf(r)).Follow(ctx, 0, loop, loose, nil); err != context.Canceled {
			t.Errorf("loop %v: %v", loop, err)
		}
	}
}
