package carry

import (
	"context"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
)

// Every constant of the work on feet by a case on either side of it, numbers by hand.

// stoodFoot is a leg of two bones of half a metre, thigh straight down from (0, 1, 0),
// whose foot stands at the given moments at so many hertz.
func stoodFoot(n int, rate float64, stands func(f int) bool) (l *foot, p *plan, k *keys, times []float32) {
	l = &foot{thigh: 0, shin: 1, ankle: 2, toes: -1, hinge: axisX, least: 0, most: math.Pi}
	p = &plan{dstUp: axisY, drive: []drive{{from: -1, rel: still, node: 0}, {from: 0, rel: still, node: 1}, {from: 1, rel: still, node: 2}}, dstRest: []quat{still, still, still}}
	p.height.dst, p.size.dst = 1, 1
	k = &keys{p: p}
	for f := range n {
		times = append(times, float32(float64(f)/rate))
		l.a, l.b, l.c = append(l.a, xyz(0, 1, 0)), append(l.b, xyz(0, .5, 0)), append(l.c, xyz(0, 0, 0))
		l.wA, l.wB, l.wC = append(l.wA, still), append(l.wB, still), append(l.wC, still)
		l.first, l.second = append(l.first, still), append(l.second, still)
		s := inAir
		if stands(f) {
			s = onAnkle
		}
		l.state = append(l.state, s)
		l.lifts, l.over = append(l.lifts, 1), append(l.over, still)
	}
	l.e, l.missed, l.barred, l.own = make([]vec, n), make([]float64, n), make([]bool, n), make([][3]float64, n)
	l.clear, l.underA, l.holds = make([]float64, n), make([]float64, n), make([]float64, n)
	l.down = l.sinceDown(times)
	return l, p, k, times
}

func always(int) bool { return true }

// A foot that stays off its pin by 3 mm of a metre of height is let go, and so are the
// moments within 25 ms of that.
func TestReleaseOfMisses(t *testing.T) {
	for _, row := range []struct {
		missed float64
		gone   int // moments at 125 Hz: 8 ms each
	}{{0.0029, 0}, {0.0031, 7}} {
		l, p, _, times := stoodFoot(200, 125, always)
		l.missed[100] = row.missed
		l.release(p, times, false)
		gone := 0
		for _, s := range l.state {
			if s == inAir {
				gone++
			}
		}
		if gone != row.gone {
			t.Errorf("missed by %g: %d moments are let go, want %d", row.missed, gone, row.gone)
		}
	}
}

// A joint may turn 1.45 times as fast as the fastest by the turns alone, and 10° a second
// in any case; one step of a thousand tells nothing of how fast a joint goes.
func TestPace(t *testing.T) {
	for _, row := range []struct {
		fastest, turns float64 // degrees a second
		pops           bool
	}{{100, 144, false}, {100, 146, true}, {0.1, 9.9, false}, {0.1, 10.1, true}, {8, 11.5, false}, {8, 11.7, true}} {
		l, _, _, times := stoodFoot(10, 100, always)
		l.fastest = [3]float64{row.fastest, row.fastest, row.fastest}
		for f := 5; f < 10; f++ {
			l.first[f] = degrees(axisX, row.turns/100)
			l.second[f] = l.first[f]
			l.wC[f] = l.first[f] // the ankle turns along
		}
		found := false
		l.pops(times, func(int, float64) { found = true })
		if found != row.pops {
			t.Errorf("%g °/s against %g: pops %v", row.turns, row.fastest, found)
		}
	}
	speeds := make([]float64, 2000)
	for i := range speeds {
		speeds[i] = 1
	}
	if got := fastestOf(append(slices.Clone(speeds), 100)); got != 1 {
		t.Errorf("one step of 2001: %g", got)
	}
	if got := fastestOf(append(slices.Clone(speeds), 100, 100, 100, 100, 100)); got != 100 {
		t.Errorf("five steps of 2005: %g", got)
	}
}

// Where a joint pops for it a foot in the air is lifted half as much, a tenth of a second
// round, and farther where no lift is left.
func TestSink(t *testing.T) {
	l, _, _, times := stoodFoot(100, 50, func(int) bool { return false })
	lifts := slices.Clone(l.lifts)
	if !l.sink(times, 50, lifts, false) || lifts[50] != 0.5 || lifts[46] != 0.5 || lifts[44] != 1 || lifts[54] != 0.5 || lifts[56] != 1 {
		t.Errorf("lifts %v", lifts[40:60])
	}
	for f := 45; f <= 55; f++ {
		l.lifts[f] = 0
	}
	lifts = slices.Clone(l.lifts)
	if !l.sink(times, 50, lifts, false) || lifts[38] != 0.5 || lifts[34] != 1 {
		t.Errorf("round about what is not lifted: %v", lifts[30:50])
	}
	clear(l.lifts)
	if l.sink(times, 50, slices.Clone(l.lifts), false) {
		t.Error("no lift is left, and one is taken")
	}
}

// Beside a stand at an end of the clip the shift of the foot fades within 0.3 s.
func TestLetGo(t *testing.T) {
	l, p, _, times := stoodFoot(101, 100, func(f int) bool { return f <= 20 })
	for f := range l.c {
		l.c[f] = xyz(0.2*float64(min(f, 20))/20, 0, 0) // slides on by 20 cm while it stands
	}
	l.pins(&Result{times: times, plan: p}, p)
	end := l.e[20].X // the stand is set in the middle of its way: 10 cm back at its end
	if math.Abs(end+0.1) > 1e-9 {
		t.Fatalf("at the end of the stand %.4f", end)
	}
	for _, row := range []struct {
		f     int
		share float64
	}{{35, 0.5}, {42, 1 - smooth(22./30)}, {49, 1 - smooth(29./30)}, {51, 0}} { // 0.15, 0.22, 0.29, 0.31 s
		if got := l.e[row.f].X / end; math.Abs(got-row.share) > 1e-6 {
			t.Errorf("%.2f s after the stand %.4f of the shift is left, want %.4f", float64(row.f-20)/100, got, row.share)
		}
	}
}

// A stand that rolls over the toes may lie off by a tenth of the size; beyond, the foot
// slides on them.
func TestMostDrift(t *testing.T) {
	for _, row := range []struct {
		slide float64 // that turns alone move the toes by
		kept  bool
	}{{0.19, true}, {0.21, false}} {
		l, p, _, times := stoodFoot(90, 30, always)
		l.toes, l.underT = 3, make([]float64, 90)
		for f := range l.c {
			x := row.slide * max(0, min(1, (float64(f)-30)/30))
			l.c[f] = xyz(x, 0, 0)
			l.t = append(l.t, xyz(x, 0, .1))
			if f >= 30 && f < 60 {
				l.state[f] = onToes
			}
		}
		l.pin(times, 0, 90, p.dstUp, mostDrift*p.size.dst)
		if kept := l.state[45] == onToes; kept != row.kept {
			t.Errorf("moved by %g: kept %v", row.slide, kept)
		}
	}
}

// Heights are evened out over 40 ms to either side, twice: at 112 Hz over nine moments.
func TestEvenOver(t *testing.T) {
	l, _, _, times := stoodFoot(101, 112, always)
	l.e[50] = xyz(0, 1, 0)
	l.even(times, axisY)
	for _, row := range []struct {
		f    int
		want float64
	}{{50, 9. / 81}, {54, 5. / 81}, {58, 1. / 81}, {59, 0}} {
		if got := l.e[row.f].Y; math.Abs(got-row.want) > 1e-6 {
			t.Errorf("%d moments off: %.5f, want %.5f", row.f-50, got, row.want)
		}
	}
}

// Two stands give way to each other: least squares by hand. Stands last u and v seconds,
// the gap s, the ends lie d apart, and the way between weighs 0.25²/s:
// a = k d v / (u v + k (u + v)).
func TestReconcile(t *testing.T) {
	l, p, _, times := stoodFoot(301, 100, func(f int) bool { return f <= 100 || f >= 150 && f <= 200 })
	l.c[0] = xyz(9, 0, 0) // it goes nowhere round
	for f := range l.e {
		if f >= 150 {
			l.e[f] = xyz(0.3, 0, 0)
		}
	}
	u, v, s, d := 1.0, 0.5, 0.5, 0.3
	k := 0.25 * 0.25 / s
	l.reconcile(times, p)
	a := k * d * v / (u*v + k*(u+v))
	b := 0.3 - k*d*u/(u*v+k*(u+v))
	if math.Abs(l.e[50].X-a) > 1e-6 || math.Abs(l.e[160].X-b) > 1e-6 {
		t.Errorf("stands at %.5f and %.5f, want %.5f and %.5f", l.e[50].X, l.e[160].X, a, b)
	}
	// Ends that lie within 1 % of the height of each other are one place.
	for _, row := range []struct {
		off  float64
		same bool
	}{{0.009, true}, {0.011, false}} {
		l, p, _, times = stoodFoot(201, 100, func(f int) bool { return f <= 50 || f >= 150 })
		for f := range l.e {
			if f >= 150 {
				l.e[f] = xyz(0.1, 0, 0)
			}
		}
		l.c[200] = xyz(row.off, 0, 0)
		l.reconcile(times, p)
		if same := math.Abs(l.e[0].X-l.e[200].X) < 0.03; same != row.same {
			t.Errorf("ends %g apart: set to %.4f and %.4f", row.off, l.e[0].X, l.e[200].X)
		}
	}
	// Many stands, exactly: the sweep along the chain (Thomas), as far as the rounds go.
	l, p, _, times = stoodFoot(1001, 100, func(f int) bool { return f%20 < 16 })
	l.c[0] = xyz(9, 0, 0)
	n := 51
	at := func(i int) float64 { return 0.1 * math.Sin(float64(i*i)) }
	for f := range l.e {
		l.e[f] = xyz(at(f/20), 0, 0)
	}
	l.reconcile(times, p)
	k = 0.25 * 0.25 / 0.05
	diag, rhs := make([]float64, n), make([]float64, n)
	for i := range n {
		diag[i] = 0.15
		if i == n-1 {
			diag[i] = 1. / 30
		}
		if i > 0 {
			diag[i] += k
			rhs[i] -= k * (at(i) - at(i-1))
		}
		if i+1 < n {
			diag[i] += k
			rhs[i] += k * (at(i+1) - at(i))
		}
	}
	for i := 1; i < n; i++ {
		w := -k / diag[i-1]
		diag[i] += w * k
		rhs[i] -= w * rhs[i-1]
	}
	off := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		off[i] = rhs[i]
		if i+1 < n {
			off[i] += k * off[i+1]
		}
		off[i] /= diag[i]
	}
	for i := range n {
		if got := l.e[20*i].X - at(i); math.Abs(got-off[i]) > 1e-5 {
			t.Errorf("stand %d is shifted by %.6f, want %.6f", i, got, off[i])
		}
	}
}

// The hips come down for a leg that is too short by as much as it lacks, 15 % of the leg
// at most, over 0.2 s to either side.
func TestDrops(t *testing.T) {
	drops := func(lower float64) []float64 {
		l, p, k, times := stoodFoot(201, 100, func(f int) bool { return f == 100 })
		for f := range l.c {
			bend := degrees(axisX, 60) // so that the leg may stretch
			l.b[f] = l.a[f].Add(xyz(0, -.5, 0))
			l.c[f] = l.b[f].Add(bend.Rotate(xyz(0, -.5, 0)))
		}
		l.least = 0
		reach := math.Sqrt(.5 + .5*math.Cos(21*math.Pi/180)) // keeps 0.7 of 30°
		to := xyz(0, 1-reach-lower, 0)
		l.e[100] = to.Sub(l.c[100])
		l.look(k)
		r := &Result{times: times, plan: p, feet: []*foot{l}}
		return r.drops()
	}
	for _, row := range []struct{ lower, want float64 }{{0.1, 0.1}, {0.14, 0.14}, {0.3, 0.15}} {
		d := drops(row.lower)
		if math.Abs(d[100]-row.want) > 1e-9 {
			t.Errorf("a leg %g too short: the hips come down by %.4f, want %.4f", row.lower, d[100], row.want)
		}
		if !(d[62] > 0) || d[58] != 0 { // 0.38 and 0.42 s before: twice 0.2
			t.Errorf("0.38 s before by %g, 0.42 s before by %g", d[62], d[58])
		}
	}
}

// How a knee bends: the hinge is that of the bends beyond 15°, where 0.7 of them agree;
// 1.8° beyond the range; of a bend up to 30° seven tenths stay.
func TestKneeConstants(t *testing.T) {
	bent := func(angle float64, axis vec, n int, l *foot, from int) {
		for f := from; f < from+n; f++ {
			l.c[f] = l.b[f].Add(degrees(axis, angle).Rotate(xyz(0, -.5, 0)))
		}
	}
	find := func(angle float64, agree int) vec {
		l, p, _, _ := stoodFoot(100, 30, always)
		p.m = &match.Match{T: &match.Skeleton{Forward: [3]float64{1, 0, 0}, Rest: []rig.Affine{rig.Identity, {0: 1, 5: 1, 10: 1, 7: -.5}}}}
		bent(angle, axisX, agree, l, 0)
		bent(angle, axisX.Mul(-1), 100-agree, l, agree)
		l.knee(p)
		return l.hinge
	}
	if h := find(14, 100); math.Abs(h.Z) < 0.9 {
		t.Errorf("bends of 14° show a hinge: %v", h)
	}
	if h := find(16, 100); h.X < 0.9 {
		t.Errorf("bends of 16° show none: %v", h)
	}
	if h := find(40, 84); math.Abs(h.Z) < 0.9 { // (84 − 16) %
		t.Errorf("68 %% agree: %v", h)
	}
	if h := find(40, 86); h.X < 0.9 { // 72 %
		t.Errorf("72 %% agree: %v", h)
	}
	l, p, _, _ := stoodFoot(100, 30, always)
	p.m = &match.Match{T: &match.Skeleton{Forward: [3]float64{0, 0, 1}, Rest: []rig.Affine{rig.Identity, {0: 1, 5: 1, 10: 1, 7: -.5}}}}
	bent(20, axisX, 50, l, 0)
	bent(80, axisX, 50, l, 50)
	l.knee(p)
	if math.Abs(l.least*180/math.Pi-18.2) > 1e-6 || math.Abs(l.most*180/math.Pi-81.8) > 1e-6 {
		t.Errorf("range %.3f…%.3f°, want 18.2…81.8", l.least*180/math.Pi, l.most*180/math.Pi)
	}
	apart := func(bend float64) float64 { return math.Sqrt(.5 + .5*math.Cos(bend*math.Pi/180)) }
	for _, row := range []struct{ now, keeps float64 }{{20, 14}, {28, 19.6}, {32, 21}, {80, 21}} {
		l, _, k, _ := stoodFoot(1, 30, always)
		l.least = 0
		bent(row.now, axisX, 1, l, 0)
		l.look(k)
		if reach := l.limb[0].far; math.Abs(reach-apart(row.keeps)) > 1e-9 {
			t.Errorf("bent by %g°: reaches %.5f, want %.5f", row.now, reach, apart(row.keeps))
		}
	}
	// A leg that the source bends backwards by 10° comes round as its end is moved: half
	// way at a hundredth of the leg.
	l, _, _, _ = stoodFoot(1, 30, always)
	l.least = -math.Pi
	u, v := xyz(0, -.5, 0), degrees(axisX, -10).Rotate(xyz(0, -.5, 0))
	m := newLimb(u, v, axisX)
	for _, row := range []struct{ shift, want float64 }{{0, -10}, {0.01, 0}, {0.02, 10}} {
		w := l.fold(&m, u.Add(v).Len(), row.shift).Rotate(v)
		if got := math.Atan2(u.Cross(w).Dot(axisX), u.Dot(w)) * 180 / math.Pi; math.Abs(got-row.want) > 0.05 {
			t.Errorf("moved by %g of the leg: %.3f°, want %g°", row.shift, got, row.want)
		}
	}
}

// Feet that a capture tilts while they stand are set level: by more than 2° and less than
// 60°, after ten moments at least; one that is on its toes is not.
func TestSolesConstants(t *testing.T) {
	for _, row := range []struct {
		tilt  float64
		looks int
		level bool
	}{{1.9, 50, false}, {2.1, 50, true}, {59, 50, true}, {61, 50, false}, {20, 9, false}, {20, 11, true}} {
		l, p, _, times := stoodFoot(60, 30, func(f int) bool { return f < row.looks })
		p.m = &match.Match{S: &match.Skeleton{Rig: &rig.Rig{File: rig.File{Kind: "bvh"}}}, T: &match.Skeleton{Rig: &rig.Rig{}}}
		p.srcUp, p.size.src = axisY, 1
		for i := range p.drive {
			p.drive[i].after = still
		}
		l.srcA = l.c
		for f := range l.wC {
			l.wC[f] = degrees(axisX, row.tilt)
		}
		r := &Result{times: times, plan: p, feet: []*foot{l}}
		if got := r.soles(); got != row.level {
			t.Errorf("tilted by %g° for %d moments: set level %v", row.tilt, row.looks, got)
		}
		if d := p.drive[2].after.Angle() * 180 / math.Pi; row.level && math.Abs(d-row.tilt) > 1e-6 {
			t.Errorf("tilted by %g°: turned by %.4f°", row.tilt, d)
		}
		// The same foot, its ankle raised by more than 2.9 % of the size over the other's.
		other, _, _, _ := stoodFoot(60, 30, always)
		other.srcA = make([]vec, 60)
		for f := range l.srcA {
			l.srcA[f] = xyz(0, 0.031, 0)
		}
		p.drive[2].after = still
		r.feet = []*foot{l, other}
		if r.soles(); p.drive[2].after.Angle() > 1e-9 {
			t.Errorf("tilted by %g° on its toes: set level", row.tilt)
		}
	}
}

// Standing feet settle to their level, unless they are off by more than a tenth of the
// height.
func TestSettleConstants(t *testing.T) {
	for _, row := range []struct {
		off   float64
		moved bool
	}{{0.09, true}, {0.11, false}} {
		l, p, k, times := stoodFoot(30, 30, always)
		p.m = &match.Match{T: &match.Skeleton{Rig: &rig.Rig{}}}
		for f := range l.c {
			l.c[f].Y += row.off
		}
		k.trans = make([][]float32, 3)
		r := &Result{times: times, plan: p, feet: []*foot{l}}
		p.place = []int{0, 1, 2}
		r.settle(k)
		if moved := math.Abs(l.c[0].Y) < 1e-9; moved != row.moved {
			t.Errorf("off by %g of the height: settled %v", row.off, moved)
		}
	}
}

// Moments: steps of a thirtieth at most, 100,000 between keys at most, the work on feet in
// steps of 1/120.
func TestMomentConstants(t *testing.T) {
	clip := func(times ...float32) *rig.ClipData {
		return &rig.ClipData{Channels: []rig.Channel{{Path: rig.Translation, Times: times, Values: make([]float32, 3*len(times)), Width: 3}}}
	}
	all := func(rig.Node) bool { return true }
	if n := len(moments(clip(0, 1), all)); n != 31 && n != 30 {
		t.Errorf("a second: %d moments", n)
	}
	if n := len(moments(clip(0, 1e7), all)); n < 50_000 || n > 100_002 {
		t.Errorf("1e7 s: %d moments", n)
	}
	for _, row := range []struct {
		rate float64
		fine int
	}{{30, 401}, {60, 201}, {120, 101}, {100, 201}, {240, 101}, {24, 101}} {
		var times []float32
		for i := range 101 {
			times = append(times, float32(float64(i)/row.rate))
		}
		fine, given := finer(times)
		if len(fine) != row.fine || len(given) != 101 {
			t.Errorf("%g Hz: %d moments, want %d", row.rate, len(fine), row.fine)
		}
		for i, k := range given {
			if fine[k] != times[i] {
				t.Fatalf("%g Hz: moment %d is %g, want %g", row.rate, i, fine[k], times[i])
			}
		}
	}
	if n := len(spread(1000, mostLooks)); n != 400 {
		t.Errorf("looked at %d of 1000 moments", n)
	}
}

// What a row of the report weighs, on either side of each limit.
func TestRowConstants(t *testing.T) {
	grade := func(change func(rep *Report, r *Result), begins string) string {
		p := &plan{m: &match.Match{T: &match.Skeleton{Rig: &rig.Rig{}}}}
		p.size.dst = 1
		rep := &Report{Height: 1, Seconds: 10}
		r := &Result{plan: p}
		change(rep, r)
		r.say(rep)
		for _, w := range rep.Rows {
			if len(w.Text) >= len(begins) && w.Text[:len(begins)] == begins {
				return w.Grade
			}
		}
		return "no row"
	}
	for _, row := range []struct {
		name   string
		begins string
		want   string
		change func(rep *Report, r *Result)
	}{
		{"a limb off by 9°", "left arm", "", func(rep *Report, _ *Result) { rep.Limbs = []Limb{{Name: "left arm", Mean: 9, Largest: 9}} }},
		{"a limb off by 11°", "left arm", "note", func(rep *Report, _ *Result) { rep.Limbs = []Limb{{Name: "left arm", Mean: 11, Largest: 11}} }},
		{"kept for 19°", "keeping", "", func(rep *Report, _ *Result) { rep.Price.Degrees = 19 }},
		{"kept for 21°", "keeping", "note", func(rep *Report, _ *Result) { rep.Price.Degrees = 21 }},
		{"hips lowered by 4.9 %", "keeping", "", func(rep *Report, _ *Result) { rep.HipsDrop = .049 }},
		{"hips lowered by 5.1 %", "keeping", "note", func(rep *Report, _ *Result) { rep.HipsDrop = .051 }},
		{"0.9 % under", "a joint goes", "", func(rep *Report, _ *Result) { rep.Ground = Ground{Lowest: -.009, By: "joints"} }},
		{"1.1 % under", "a joint goes", "note", func(rep *Report, _ *Result) { rep.Ground = Ground{Lowest: -.011, By: "joints"} }},
		{"4.9 % under", "a joint goes", "note", func(rep *Report, _ *Result) { rep.Ground = Ground{Lowest: -.049, By: "joints"} }},
		{"5.1 % under", "a joint goes", "flaw", func(rep *Report, _ *Result) { rep.Ground = Ground{Lowest: -.051, By: "joints"} }},
		{"a knee 29° beyond", "beyond", "note", func(rep *Report, _ *Result) {
			rep.Beyond = []Beyond{{Role: "leftLowerLeg", Axis: "flexion", Degrees: -29}}
		}},
		{"a knee 31° beyond", "beyond", "flaw", func(rep *Report, _ *Result) {
			rep.Beyond = []Beyond{{Role: "leftLowerLeg", Axis: "flexion", Degrees: -31}}
		}},
		{"a hip 31° beyond", "beyond", "note", func(rep *Report, _ *Result) {
			rep.Beyond = []Beyond{{Role: "leftUpperLeg", Axis: "flexion", Degrees: -31}}
		}},
		{"a foot that slides by 4.9 %", "left foot", "", func(rep *Report, _ *Result) { rep.Feet = []Foot{{Side: "left", After: .049}} }},
		{"a foot that slides by 5.1 %", "left foot", "note", func(rep *Report, _ *Result) { rep.Feet = []Foot{{Side: "left", After: .051}} }},
		{"the same in place", "left foot", "", func(rep *Report, r *Result) { rep.Feet, r.inPlace = []Foot{{Side: "left", After: .051}}, true }},
		{"as the source's does", "left foot", "", func(rep *Report, _ *Result) { rep.Feet = []Foot{{Side: "left", After: .06, Source: .058}} }},
		{"let go for 9 % of its stands", "left foot", "", func(rep *Report, _ *Result) { rep.Feet = []Foot{{Side: "left", StandsIn: .5, LetGo: .45}} }},
		{"let go for 11 % of its stands", "left foot", "note", func(rep *Report, _ *Result) { rep.Feet = []Foot{{Side: "left", StandsIn: .5, LetGo: .55}} }},
	} {
		if got := grade(row.change, row.begins); got != row.want {
			t.Errorf("%s: graded %q, want %q", row.name, got, row.want)
		}
	}
}

// A knee 9.5° beyond its range is not told of, one of 10.5° is; ranges differ by ten.
func TestBeyondConstant(t *testing.T) {
	for _, row := range []struct {
		back float64
		told bool
	}{{9, false}, {11, true}} {
		s := sample(lamplighter.Options{})
		n := lamplighter.Node("lowerLeg_L")
		parent := stored(s.RestWorld()[s.Nodes[n].Parent].Decompose().R)
		rest := 0.0
		for _, turn := range match.NewSkeleton(s).Roles.BendSet(s, s.RestWorld(), []rig.Node{n}) {
			if turn.Axis == "flexion" {
				rest = turn.Rest
			}
		}
		turn := parent.Back().Mul(degrees(axisX, -row.back-rest)).Mul(parent).Mul(stored(s.Nodes[n].R))
		posed(s, map[int]quat{int(n): turn}, nil)
		rep, err := carried(t, match.Find(s, sample(lamplighter.Options{})), rig.Clip(len(s.Clips)-1), Options{FreeFeet: true}).Inspect(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		told := slices.ContainsFunc(rep.Beyond, func(b Beyond) bool { return b.Role == "leftLowerLeg" && b.Axis == "flexion" })
		if told != row.told {
			t.Errorf("%g° beyond straight: told %v, %+v", row.back, told, rep.Beyond)
		}
	}
}

// What is refused for too few pairs, and for its kind.
func TestFitConstants(t *testing.T) {
	// A target of n joints of which so many are matched, and a source alike.
	chain := func(name string, n int) *rig.Rig {
		var b []bonePart
		for i := range n {
			b = append(b, bonePart{"", i - 1, [3]float64{0, 0.1, 0}, still})
		}
		return skeleton(name, b...)
	}
	s, target := chain("s.glb", 12), chain("t.glb", 12)
	whole := match.Find(s, target)
	if len(whole.Pairs) != 12 {
		t.Fatalf("%d pairs", len(whole.Pairs))
	}
	for _, row := range []struct {
		pairs  int
		passes bool
	}{{3, false}, {4, true}} { // 25 % and 33.3 %
		var gone []rig.Node
		for i := row.pairs; i < 12; i++ {
			gone = append(gone, whole.Pairs[i].Target)
		}
		_, _, err := fit(whole.Without("here", gone...))
		if (err == nil) != row.passes {
			t.Errorf("%d of 12 joints matched: %v", row.pairs, err)
		}
	}
	kind := func(k anatomy.Kind, sure float64) *match.Skeleton {
		return &match.Skeleton{Rig: &rig.Rig{}, Roles: &anatomy.Roles{Kind: k, Certainty: sure}}
	}
	person := kind(anatomy.Person, .95)
	for _, row := range []struct {
		name    string
		with    *match.Skeleton
		refused bool
	}{
		{"a beast by shape alone", kind(anatomy.Winged, .6), false}, {"a surer one", kind(anatomy.Winged, .7), false}, {"a chain", kind(anatomy.Chain, .8), true},
		{"one of no kind", kind(anatomy.NoKind, 0), false}, {"a person", kind(anatomy.Person, .7), false}, {"a hand", kind(anatomy.HandAlone, .85), false},
	} {
		if got := otherKind(person, row.with) != ""; got != row.refused {
			t.Errorf("a person and %s: refused %v", row.name, got)
		}
		if got := otherKind(row.with, person) != ""; got != row.refused {
			t.Errorf("%s and a person: refused %v", row.name, got)
		}
	}
}

// A source whose feet, when down, go back at more than 5 % of its size a second goes in
// place.
func TestTreadmill(t *testing.T) {
	for _, row := range []struct {
		speed   float64
		inPlace bool
	}{{0.045, false}, {0.055, true}} {
		p := &plan{srcUp: axisY, dstUp: axisY, k: 1}
		p.size.src, p.height.src = 1, 1
		r := &Result{plan: p}
		for s := range 2 {
			l := &foot{}
			for f := range 301 {
				x := math.Mod(float64(f)/100+.5*float64(s), 1) // 0.6 s down, 0.4 s in the air
				at := xyz(0, 0, row.speed*(.3-x))
				if x > .6 {
					y := (x - .6) / .4
					at = xyz(0, .1*math.Sin(math.Pi*y), row.speed*(-.3+.6*y))
				}
				l.srcA = append(l.srcA, at)
				if s == 0 {
					r.times = append(r.times, float32(f)/100)
				}
			}
			r.feet = append(r.feet, l)
		}
		r.contacts()
		if r.inPlace != row.inPlace {
			t.Errorf("%g of the size a second: in place %v", row.speed, r.inPlace)
		}
	}
}

// Legs of one build differ by less than a thousandth of the height, bone by bone.
func TestOneBuildConstant(t *testing.T) {
	for _, row := range []struct {
		longer float64
		one    bool
	}{{0.0008, true}, {0.0012, false}} {
		target := sample(lamplighter.Options{})
		m := match.Find(sample(lamplighter.Options{}), shaped(target, func(n rig.Node, p vec) vec {
			if n == lamplighter.Node("lowerLeg_L") {
				p.Y -= row.longer * 1.551
			}
			return p
		}))
		p := newPlan(m)
		p.height.dst = 1.551
		p.k = 1
		if got := p.oneBuild(); got != row.one {
			t.Errorf("a thigh longer by %g of the height: one build %v", row.longer, got)
		}
	}
}

// A rest pose that does not stand on the clip's floor lifts the whole, from 5 % of the
// height on.
func TestLiftConstants(t *testing.T) {
	p := &plan{k: 2, m: &match.Match{T: &match.Skeleton{Rig: &rig.Rig{}}}}
	p.height.src, p.height.dst = 1, 1
	if got := p.lift(0.049, 0); got != 0 {
		t.Errorf("4.9 %% off: lifted by %g", got)
	}
	if got := p.lift(0.051, 0); math.Abs(got-.102) > 1e-12 {
		t.Errorf("5.1 %% off: lifted by %g", got)
	}
}
