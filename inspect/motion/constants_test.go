package motion

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Every number of the station that is no limit of a check, by a case on either side.

// alone is the sample with one clip of one linear channel.
func alone(base *rig.Rig, n rig.Node, path rig.Path, times []float32, values ...[]float32) *rig.Rig {
	r := lamplighter.Clone(base)
	ch := rig.Channel{Node: n, Path: path, Width: len(values[0]), Times: times}
	for _, v := range values {
		ch.Values = append(ch.Values, v...)
	}
	r.Clips = []rig.ClipData{{Name: "clip 7", Start: float64(times[0]), Seconds: float64(times[len(times)-1]), Channels: []rig.Channel{ch}}}
	return r
}

func factsOf(t *testing.T, r *rig.Rig) *Facts {
	t.Helper()
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// What moves: a hundredth of a degree, a hundred thousandth of the diagonal, of a scale.
func TestStillConstants(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Vertices: 2000})
	head := lamplighter.Node("head")
	d, at := newFigure(exam.New(base)).diagonal, base.Nodes[head].T
	rest := base.Nodes[head].R
	turned := func(degrees float64) []float32 {
		q := times(rest, [4]float64{math.Sin(degrees * math.Pi / 360), 0, 0, math.Cos(degrees * math.Pi / 360)})
		return []float32{float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3])}
	}
	place := func(by float64) []float32 { return []float32{float32(at[0] + by), float32(at[1]), float32(at[2])} }
	size := func(by float64) []float32 { return []float32{float32(1 + by), 1, 1} }
	for _, row := range []struct {
		name  string
		path  rig.Path
		first []float32
		last  []float32
		moves int
	}{
		{"0.007°", rig.Rotation, turned(0), turned(.007), 0}, {"0.015°", rig.Rotation, turned(0), turned(.015), 1},
		{"0.7e-5 of the diagonal", rig.Translation, place(0), place(.7e-5 * d), 0}, {"1.5e-5 of the diagonal", rig.Translation, place(0), place(1.5e-5 * d), 1},
		{"0.7e-5 of a scale", rig.Scale, size(0), size(.7e-5), 0}, {"1.5e-5 of a scale", rig.Scale, size(0), size(1.5e-5), 1},
	} {
		if got := factsOf(t, alone(base, head, row.path, []float32{0, 1}, row.first, row.last)).Clips[0].Moving; got != row.moves {
			t.Errorf("%s: %d joints move, want %d", row.name, got, row.moves)
		}
	}
}

// What reads as a loop: by how many joints close, how far the farthest is open, how many
// are thrown off in the last step.
func TestLoopConstants(t *testing.T) {
	for _, row := range []struct {
		name string
		s    seam
		says playing
		want bool
	}{
		{"79 of 100 close", seam{moving: 100, near: 79, open: 21, farthest: 10}, unsaid, false},
		{"81 of 100 close", seam{moving: 100, near: 81, open: 19, farthest: 10}, unsaid, true},
		{"49 of 100 close, named a loop", seam{moving: 100, near: 49, open: 51, farthest: 10}, repeated, false},
		{"51 of 100 close, named a loop", seam{moving: 100, near: 51, open: 49, farthest: 10}, repeated, true},
		{"49 of 100 close, the rest leap", seam{moving: 100, near: 49, open: 51, leaps: 51, farthest: 10}, unsaid, false},
		{"51 of 100 close, the rest leap", seam{moving: 100, near: 51, open: 49, leaps: 49, farthest: 10}, unsaid, true},
		{"open by 44°, played once", seam{moving: 100, near: 90, open: 10, farthest: 44}, playedOnce, true},
		{"open by 46°, played once", seam{moving: 100, near: 90, open: 10, farthest: 46}, playedOnce, false},
		{"9 of 100 are open far", seam{moving: 100, near: 91, open: 9, farthest: 90}, unsaid, true},
		{"11 of 100 are open far", seam{moving: 100, near: 89, open: 11, farthest: 90}, unsaid, false},
	} {
		if got := row.s.isLoop(row.says); got != row.want {
			t.Errorf("%s: a loop %v", row.name, got)
		}
	}
	// A joint that closes is open by less than 5°.
	base := checktest.Built(lamplighter.Options{Vertices: 2000})
	head := lamplighter.Node("head")
	turn := func(degrees float64) []float32 {
		return []float32{float32(math.Sin(degrees * math.Pi / 360)), 0, 0, float32(math.Cos(degrees * math.Pi / 360))}
	}
	for _, row := range []struct {
		open float64
		near int
	}{{4.8, 1}, {5.2, 0}} {
		f := factsOf(t, alone(base, head, rig.Rotation, []float32{0, .5, 1}, turn(0), turn(20), turn(row.open)))
		if f.Clips[0].LoopNear != row.near {
			t.Errorf("open by %g°: %d joints close", row.open, f.Clips[0].LoopNear)
		}
	}
	// A leap makes up half of the gap in the last step, four times the mean of the others.
	steps := func(other, last float64) *rig.Channel {
		c := &rig.Channel{Path: rig.Rotation, Width: 4}
		at := 0.0
		for i := range 12 {
			if i == 11 {
				at += last
			} else if i > 0 {
				at += other
			}
			c.Times, c.Values = append(c.Times, float32(i)), append(c.Values, turn(at)...)
		}
		return c
	}
	for _, row := range []struct {
		name             string
		other, last, gap float64
		leaps            bool
	}{
		{"49 % of the gap", 1, 9.8, 20, false}, {"51 % of the gap", 1, 10.2, 20, true},
		{"3.9 times the mean", 2, 7.8, 10, false}, {"4.1 times the mean", 2, 8.2, 10, true},
		{"96 % of the gap", 1, 19.2, 20, true},
	} {
		if got := leaps(steps(row.other, row.last), row.gap); got != row.leaps {
			t.Errorf("%s: leaps %v", row.name, got)
		}
	}
}

// What strays from its curve, series by series: turns about one axis, so that angles are
// numbers on a line.
func TestStrayConstants(t *testing.T) {
	line := func(angles ...float64) *series {
		c := &rig.Channel{Path: rig.Rotation, Width: 4}
		for i, a := range angles {
			c.Times = append(c.Times, float32(i)/30)
			c.Values = append(c.Values, float32(math.Sin(a*math.Pi/360)), 0, 0, float32(math.Cos(a*math.Pi/360)))
		}
		return &series{c: c}
	}
	// A key k off a row that is at rest but for one neighbour, which lies 6° off its own
	// curve: 10 + ⅛ of 8° must fit 2.5 times into it.
	single := func(off, around float64) float64 {
		s := line(0, 0, 0, 0, 0, off, 0, around, 0, 0, 0)
		return s.strays(5, 5, 0, never)
	}
	for _, row := range []struct {
		name        string
		off, around float64
		least, most float64
	}{
		{"alone on a row at rest", 20, 0, 19, 21},
		{"2.4° on a row at rest", 2.4, 0, 0, 0},
		{"2.6° on a row at rest", 2.6, 0, 2.5, 2.7},
	} {
		if got := single(row.off, row.around); got < row.least || got > row.most {
			t.Errorf("%s: %.3f° off, want %g to %g", row.name, got, row.least, row.most)
		}
	}
	// Two in a row: 3.7 times.
	pair := func(off float64) float64 { return line(0, 0, 0, 0, 0, off, off, 0, 0, 0, 0).strays(5, 6, 0, never) }
	if got := pair(3.6); got != 0 {
		t.Errorf("two by 3.6°: %.3f", got)
	}
	if got := pair(3.8); math.Abs(got-3.8) > 0.01 {
		t.Errorf("two by 3.8°: %.3f", got)
	}
	// Where no other joint leaves its curve 1.8 times is enough, of two keys where they stray
	// alike: by as much within 0.35 of it.
	lone := func(float64) bool { return true }
	for _, row := range []struct {
		a, b   float64 // keys 5 and 6
		last   int
		strays bool
	}{{1.7, 0, 5, false}, {1.9, 0, 5, true}, {3, 4.5, 6, true}, {3, 4.75, 6, false}} {
		if got := line(0, 0, 0, 0, 0, row.a, row.b, 0, 0, 0, 0).strays(5, row.last, 0, lone) > 0; got != row.strays {
			t.Errorf("%g° and %g°, alone: strays %v", row.a, row.b, got)
		}
	}
	// On an even turn of v a step the curve goes v: the key must lie off by as much.
	slope := func(off, v float64) float64 {
		var a []float64
		for i := range 11 {
			a = append(a, v*float64(i))
		}
		a[5] += off
		return line(a...).strays(5, 5, 0, never)
	}
	if got := slope(9.5, 10); got != 0 {
		t.Errorf("9.5° on 10° a step: %.3f", got)
	}
	if got := slope(10.5, 10); math.Abs(got-10.5) > 0.01 {
		t.Errorf("10.5° on 10° a step: %.3f", got)
	}
}

// What is looked at for strays: turns from 8° on, shifts from 1 % of the height, keys that
// span 0.14 s; what shows half in the world.
func TestStrayLooksConstants(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Vertices: 2000})
	head := lamplighter.Node("head")
	height := newFigure(exam.New(base)).height
	rest := base.Nodes[head]
	row := func(step float64, path rig.Path, off float64) *rig.Rig {
		var times_ []float32
		var values [][]float32
		for i := range 21 {
			x := 0.0
			if i == 10 {
				x = off
			}
			times_ = append(times_, float32(float64(i)*step))
			if path == rig.Rotation {
				q := times(rest.R, [4]float64{math.Sin(x * math.Pi / 360), 0, 0, math.Cos(x * math.Pi / 360)})
				values = append(values, []float32{float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3])})
			} else {
				values = append(values, []float32{float32(rest.T[0] + x), float32(rest.T[1]), float32(rest.T[2])})
			}
		}
		return alone(base, head, path, times_, values...)
	}
	for _, r := range []struct {
		name  string
		rig   *rig.Rig
		stray int
	}{
		{"7.5°", row(1./30, rig.Rotation, 7.5), 0}, {"8.5°", row(1./30, rig.Rotation, 8.5), 1},
		{"0.9 % of the height", row(1./30, rig.Translation, .009*height), 0}, {"1.1 % of the height", row(1./30, rig.Translation, .011*height), 1},
		{"30° over 0.13 s", row(.065, rig.Rotation, 30), 1}, {"30° over 0.15 s", row(.075, rig.Rotation, 30), 0},
	} {
		if got := factsOf(t, r.rig).Clips[0].Stray; got != r.stray {
			t.Errorf("%s: %d stray keys, want %d", r.name, got, r.stray)
		}
	}
	// The neck takes up a part of what the head strays by.
	neck := lamplighter.Node("neck")
	for _, share := range []struct {
		taken float64
		stray int
	}{{.45, 1}, {.55, 0}} {
		r := row(1./30, rig.Rotation, 30)
		ch := r.Clips[0].Channels[0]
		back := rig.Channel{Node: neck, Path: rig.Rotation, Width: 4, Times: ch.Times}
		for i := range ch.Times {
			x := 0.0
			if i == 10 {
				x = -30 * share.taken
			}
			q := times(base.Nodes[neck].R, [4]float64{math.Sin(x * math.Pi / 360), 0, 0, math.Cos(x * math.Pi / 360)})
			back.Values = append(back.Values, float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3]))
		}
		r.Clips[0].Channels = append(r.Clips[0].Channels, back)
		if got := factsOf(t, r).Clips[0].StrayOff; (got.Node == head) != (share.stray > 0) {
			t.Errorf("the neck takes up %g of it: strays %+v", share.taken, got)
		}
	}
}

// Ranges without keys: five steps long, in a row of eight keys, four fifths of which are
// even, where the curve leaves the straight way by 1° or 0.3 % of the height.
func TestGapConstants(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Vertices: 2000})
	head := lamplighter.Node("head")
	height := newFigure(exam.New(base)).height
	rest := base.Nodes[head]
	// A parabola of so much to either side: a gap of h leaves it by a h²/4 … in the middle.
	row := func(path rig.Path, bow float64, at ...float64) *rig.Rig {
		var times_ []float32
		var values [][]float32
		for _, s := range at {
			x := bow * s * s
			times_ = append(times_, float32(s))
			if path == rig.Rotation {
				q := times(rest.R, [4]float64{math.Sin(x * math.Pi / 360), 0, 0, math.Cos(x * math.Pi / 360)})
				values = append(values, []float32{float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3])})
			} else {
				values = append(values, []float32{float32(rest.T[0] + x), float32(rest.T[1]), float32(rest.T[2])})
			}
		}
		return alone(base, head, path, times_, values...)
	}
	// Keys at 0, 0.1, … with one step of so many tenths in the middle.
	keys := func(before, after int, gap float64) (at []float64) {
		t := 0.0
		for i := range before + after {
			at = append(at, t)
			if i == before-1 {
				t += gap
			} else {
				t += 0.1
			}
		}
		return at
	}
	uneven := func(n int) (at []float64) { // 20 steps of which n are a fifth longer, and a gap
		t := 0.0
		for i := range 21 {
			at = append(at, t)
			switch {
			case i == 10:
				t += 0.8
			case i%2 == 0 && i/2 < n, i%2 == 1 && n > 10 && i/2 < n-10:
				t += 0.12
			default:
				t += 0.1
			}
		}
		return at
	}
	for _, r := range []struct {
		name string
		rig  *rig.Rig
		gap  bool
	}{
		{"4.8 steps", row(rig.Rotation, 60, keys(8, 8, .48)...), false},
		{"5.2 steps", row(rig.Rotation, 60, keys(8, 8, .52)...), true},
		{"seven keys", row(rig.Rotation, 60, keys(4, 3, .8)...), false},
		{"nine keys", row(rig.Rotation, 60, keys(5, 4, .8)...), true},
		{"3 of 20 steps are odd", row(rig.Rotation, 40, uneven(2)...), true},
		{"5 of 20 steps are odd", row(rig.Rotation, 40, uneven(5)...), false},
	} {
		if got := factsOf(t, r.rig).Clips[0].Gap > 0; got != r.gap {
			t.Errorf("%s: a gap %v", r.name, got)
		}
	}
	// How far the curve leaves the straight way, as the station works it out, and its limit.
	for _, path := range []rig.Path{rig.Rotation, rig.Translation} {
		limit := 1.0
		if path == rig.Translation {
			limit = .003 * height
		}
		c := &row(path, 1, keys(8, 8, .8)...).Clips[0].Channels[0]
		s := series{c: c}
		if path == rig.Translation {
			s.scale = 1
		}
		one := s.bow(7, .1)                                     // of a parabola of 1
		if want := .16 / 1.0; one < .8*want || one > 1.4*want { // a h²/4 of the middle, and a little for the speeds taken from the keys
			t.Errorf("leaves the straight way by %.4f, want about %.4f", one, want)
		}
		for _, side := range []struct {
			times float64
			gap   bool
		}{{.93, false}, {1.07, true}} {
			r := row(path, side.times*limit/one, keys(8, 8, .8)...)
			if got := factsOf(t, r).Clips[0].Gap > 0; got != side.gap {
				t.Errorf("path %d, %g of the limit: a gap %v", path, side.times, got)
			}
			// Beside four channels with every key three tenths are enough.
			r = row(path, .3*side.times*limit/one, keys(8, 8, .8)...)
			for _, name := range []string{"hand_L", "hand_R", "foot_L", "foot_R"} {
				n := lamplighter.Node(name)
				ch := rig.Channel{Node: n, Path: rig.Rotation, Width: 4}
				for i := range 22 {
					x := 10 * math.Sin(float64(i)/4)
					q := times(base.Nodes[n].R, [4]float64{math.Sin(x * math.Pi / 360), 0, 0, math.Cos(x * math.Pi / 360)})
					ch.Times, ch.Values = append(ch.Times, float32(i)/10), append(ch.Values, float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3]))
				}
				r.Clips[0].Channels = append(r.Clips[0].Channels, ch)
			}
			if got := factsOf(t, r).Clips[0].Gap > 0; got != side.gap {
				t.Errorf("path %d, keyed frame by frame, %g of the limit: a gap %v", path, side.times, got)
			}
		}
	}
}

// A turn of more than 15° from end to end is one.
func TestTurnConstant(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Vertices: 2000})
	hips := lamplighter.Node("hips")
	for _, row := range []struct {
		turn float64
		want string
	}{{14, inPlace}, {16, turns}} {
		key := func(a float64) []float32 {
			q := times([4]float64{0, math.Sin(a * math.Pi / 360), 0, math.Cos(a * math.Pi / 360)}, base.Nodes[hips].R)
			return []float32{float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3])}
		}
		if got := factsOf(t, alone(base, hips, rig.Rotation, []float32{0, 1}, key(0), key(row.turn))).Clips[0].Travel; got.Class != row.want {
			t.Errorf("turned by %g°: %+v", row.turn, got)
		}
	}
}

// A clip is keyed frame by frame where four channels that move, and four fifths of them,
// have a key in every step; there three tenths of the limit tell a range without keys.
func TestBakedConstants(t *testing.T) {
	clip := func(whole, broken int) (*rig.ClipData, []keyed) {
		c, keys := &rig.ClipData{}, []keyed(nil)
		for i := range whole + broken {
			ch := rig.Channel{}
			for k := range 20 {
				if i < whole || k < 5 || k > 12 {
					ch.Times = append(ch.Times, float32(k)/30)
				}
			}
			c.Channels, keys = append(c.Channels, ch), append(keys, keyed{channel: i, moves: true})
		}
		return c, keys
	}
	for _, row := range []struct {
		whole, broken int
		baked         bool
	}{{3, 0, false}, {4, 0, true}, {79, 21, false}, {81, 19, true}} {
		if got := isBaked(clip(row.whole, row.broken)); got != row.baked {
			t.Errorf("%d whole channels and %d broken ones: keyed frame by frame %v", row.whole, row.broken, got)
		}
	}
}

// Others may leave their curves by 0.48 of what a key strays by.
func TestOthersConstant(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Vertices: 2000})
	head, hand := lamplighter.Node("head"), lamplighter.Node("hand_L")
	for _, row := range []struct {
		other float64
		stray bool
	}{{9 * .46, true}, {9 * .5, false}} {
		ch := func(n rig.Node, off float64) rig.Channel {
			c := rig.Channel{Node: n, Path: rig.Rotation, Width: 4}
			for i := range 21 {
				x := 0.0
				if i == 10 {
					x = off
				}
				q := times(base.Nodes[n].R, [4]float64{math.Sin(x * math.Pi / 360), 0, 0, math.Cos(x * math.Pi / 360)})
				c.Times, c.Values = append(c.Times, float32(i)/30), append(c.Values, float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3]))
			}
			return c
		}
		r := lamplighter.Clone(base)
		r.Clips = []rig.ClipData{{Name: "clip 7", Seconds: 20. / 30, Channels: []rig.Channel{ch(head, 9), ch(hand, row.other)}}}
		f := newFigure(exam.New(r))
		c := &r.Clips[0]
		keys := []keyed{{channel: 0, node: head, path: rig.Rotation, moves: true, reach: 9}, {channel: 1, node: hand, path: rig.Rotation, moves: true, reach: row.other}}
		if got := f.othersKeep(c, keys, &keys[0], 10./30, 10./30, loneOthers*9); got != row.stray {
			t.Errorf("another joint is off by %g of it: others keep %v", row.other/9, got)
		}
	}
}

func never(float64) bool { return false }
