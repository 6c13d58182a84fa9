package gait

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

var up = space.Vec{0, 1, 0}

const height = 1.75

// W69 (worked number, closed form): the weight of a slide at a height, limit 2.5 cm;
// Zhang, Starke, Komura, Saito 2018 (value from memory).
func TestW69SlideWeights(t *testing.T) {
	for _, row := range []struct{ h, want float64 }{{0, 1}, {.005, 0.851302}, {.0125, 0.585786}, {.02, 0.258899}, {.025, 0}, {.03, 0}} {
		if got := Weight(row.h, .025); math.Abs(got-row.want) > 1e-6 {
			t.Errorf("at %g m the weight is %f, want %f", row.h, got, row.want)
		}
	}
	// Four frames of 4 mm at 0, 0.5, 1.25 and 3 cm: 9.748 mm.
	path := []space.Vec{{0, 0, 0}, {.004, 0, 0}, {.008, .005, 0}, {.012, .0125, 0}, {.016, .03, 0}}
	if got := Slide(path, up, 0, .025); math.Abs(got-.009748) > 1e-6 {
		t.Errorf("slid %f m, want 0.009748", got)
	}
}

// phase is a stretch of a foot's way: so long, ending so far on, at its highest so
// high, easing in and out or evenly.
type phase struct {
	seconds, way, lift float64
	even               bool
}

// walk makes the way of one point at a rate, along z.
func walk(rate float64, phases ...phase) (times []float64, path []space.Vec) {
	at, start := 0.0, 0.0
	for _, p := range phases {
		n := int(math.Round(p.seconds * rate))
		for i := range n {
			x := float64(i) / float64(n)
			ease := x
			if !p.even {
				ease = (1 - math.Cos(math.Pi*x)) / 2
			}
			times = append(times, start+x*p.seconds)
			path = append(path, space.Vec{0, 0.08 + p.lift*math.Sin(math.Pi*x), at + p.way*ease})
		}
		at, start = at+p.way, start+p.seconds
	}
	return append(times, start), append(path, space.Vec{0, 0.08, at})
}

// What stands, how long and how fast, at 30 and at 120 Hz.
func TestStands(t *testing.T) {
	for _, row := range []struct {
		name         string
		phases       []phase
		share, speed float64
		within       float64 // of the share
	}{
		{"still", []phase{{seconds: 2}}, 1, 0, 0},
		{"a step of 0.7 m, raised by 15 cm", []phase{{seconds: 1}, {seconds: .4, way: .7, lift: .15}, {seconds: 1}}, 2 / 2.4, 0, .05},
		{"a step aside, raised by 3 cm", []phase{{seconds: 1}, {seconds: .3, way: .3, lift: .03}, {seconds: 1}}, 2 / 2.3, 0.01, .08},
		{"a glide at 0.3 m/s in the middle", []phase{{seconds: 1}, {seconds: 1, way: .3, even: true}, {seconds: 1}}, 1, .1, 0},
		{"a stance that glides at 0.6 m/s", []phase{{seconds: .4, way: 1.4, lift: .15}, {seconds: .6, way: .36, even: true}, {seconds: .4, way: 1.4, lift: .15}, {seconds: .6}}, .6, .30, .08},
		{"passing low at 3 m/s between rises", []phase{{seconds: .6}, {seconds: .2, way: .4, lift: .12}, {seconds: .14, way: .42, even: true}, {seconds: .2, way: .4, lift: .12}, {seconds: .6}}, 1.2 / 1.74, 0, .08},
		{"set anew on the floor in 0.07 s", []phase{{seconds: 1}, {seconds: .07, way: .1, even: true}, {seconds: 1}}, 2 / 2.07, 0.005, .07},
		{"a glide on the floor for a fifth of a second", []phase{{seconds: 1}, {seconds: .2, way: .2, even: true}, {seconds: 1}}, 1, .2 / 2.2, 0},
		{"always in the air but for a blink", []phase{{seconds: 1, way: 1, lift: .5}, {seconds: .05}, {seconds: 1, way: 1, lift: .5}}, 0, 0, 0.001},
	} {
		for _, rate := range []float64{30, 120} {
			times, path := walk(rate, row.phases...)
			f, ok := Read(times, [][]space.Vec{path}, up, height)
			if !ok || math.Abs(f.Share-row.share) > row.within+1e-9 || math.Abs(f.Speed-row.speed) > 0.02 {
				t.Errorf("%s, %g Hz: stands %.3f at %.3f m/s (%v), want %.3f at %.3f", row.name, rate, f.Share, f.Speed, ok, row.share, row.speed)
			}
		}
	}
}

// A limit from both sides: height, rise and time.
func TestStandLimits(t *testing.T) {
	for _, row := range []struct {
		name string
		path func(i int) space.Vec
		n    int
		want bool
	}{
		{"just under 2.9 % of the height", func(i int) space.Vec {
			if i < 20 {
				return space.Vec{0, 0, 0}
			}
			return space.Vec{0, 0.0289 * height, 0}
		}, 120, true},
		{"just over", func(i int) space.Vec {
			if i < 20 {
				return space.Vec{0, 0, 0}
			}
			return space.Vec{0, 0.0291 * height, 0}
		}, 120, false},
		{"rising by just under 11 % a second", func(i int) space.Vec { return space.Vec{0, 0.109 * height * float64(i%9) / 30 * .5, 0} }, 9, true},
	} {
		var times []float64
		var path []space.Vec
		for i := range row.n {
			times, path = append(times, float64(i)/30), append(path, row.path(i))
		}
		f, ok := Read(times, [][]space.Vec{path}, up, height)
		if last := f.Steps[len(f.Steps)-2].Stands; !ok || last != row.want {
			t.Errorf("%s: stands %v", row.name, last)
		}
	}
	for n, want := range map[int]bool{3: false, 4: true} { // 0.0667 s and 0.1 s
		var times []float64
		path := make([]space.Vec, n)
		for i := range n {
			times = append(times, float64(i)/30)
		}
		if f, _ := Read(times, [][]space.Vec{path}, up, height); f.Steps[0].Stands != want {
			t.Errorf("%d moments at 30 Hz: stands %v", n, f.Steps[0].Stands)
		}
	}
}

// The point that is nearer to its own ground bears: a heel that rises hands over to
// the toes.
func TestRoll(t *testing.T) {
	var times []float64
	var heel, toes []space.Vec
	for i := range 61 {
		times = append(times, float64(i)/30)
		heel = append(heel, space.Vec{0, 0.1 + 0.15*max(0, float64(i-30)/30), 0})
		toes = append(toes, space.Vec{0, 0.03, 0.15})
	}
	heel[5][1] -= 1e-4
	f, _ := Read(times, [][]space.Vec{heel, toes}, up, height)
	if f.Share != 1 || f.Steps[55].Point != 1 {
		t.Errorf("stands %.2f, on point %d at the end", f.Share, f.Steps[55].Point)
	}
}

// A capture at 120 Hz that shakes by a millimetre stands still all the same.
func TestShaking(t *testing.T) {
	var times []float64
	var path []space.Vec
	seed := uint32(1)
	noise := func() float64 {
		seed = seed*1664525 + 1013904223
		return (float64(seed>>8)/(1<<24) - .5) * .002
	}
	for i := range 600 {
		times = append(times, float64(i)/120)
		path = append(path, space.Vec{noise(), .08 + noise(), noise()})
	}
	if f, _ := Read(times, [][]space.Vec{path}, up, height); f.Share < .95 || f.Speed > .04 {
		t.Errorf("stands %.2f at %.3f m/s", f.Share, f.Speed)
	}
}

// Any up, any unit: the same answer.
func TestUpAndUnit(t *testing.T) {
	times, path := walk(30, phase{seconds: 1}, phase{seconds: .4, way: .7, lift: .15}, phase{seconds: 1, way: .1, even: true})
	want, _ := Read(times, [][]space.Vec{path}, up, height)
	var other []space.Vec
	for _, p := range path {
		other = append(other, space.Vec{100 * p[2], 100 * p[0], 100 * p[1]})
	}
	got, _ := Read(times, [][]space.Vec{other}, space.Vec{0, 0, 1}, 100*height)
	if math.Abs(got.Share-want.Share) > 1e-12 || math.Abs(got.Speed-100*want.Speed) > 1e-9 {
		t.Errorf("%.4f at %.4f, want %.4f at %.4f", got.Share, got.Speed, want.Share, 100*want.Speed)
	}
}

// Walking in place: both feet go back at one speed while they stand.
func TestInPlace(t *testing.T) {
	gait := func(back float64) Foot {
		var p []phase
		for range 3 {
			p = append(p, phase{seconds: .6, way: -.6 * back, even: true}, phase{seconds: .4, way: .6 * back, lift: .15})
		}
		times, path := walk(30, p...)
		f, _ := Read(times, [][]space.Vec{path}, up, height)
		return f
	}
	a, b := gait(1.2), gait(1.25)
	if v, ok := InPlace([]Foot{a, b}, .05*height); !ok || math.Abs(v-1.22) > .1 {
		t.Errorf("%.3f m/s, %v", v, ok)
	}
	if _, ok := InPlace([]Foot{gait(1.2), gait(0)}, .05*height); ok {
		t.Error("one foot that stands still walks in place")
	}
	if _, ok := InPlace([]Foot{gait(.02), gait(.02)}, .05*height); ok {
		t.Error("slower than the limit")
	}
}

// A figure goes by its legs: .491 of 1.75 m are 0.859 m (Drillis and Contini 1966).
func TestSize(t *testing.T) {
	if got := Size(1.75, .491*1.75); math.Abs(got-1.75) > 1e-12 {
		t.Errorf("a grown person: %g m", got)
	}
	if got := Size(2.4, .37); math.Abs(got-.7536) > 1e-3 {
		t.Errorf("a big head on short legs: %g m", got)
	}
	for _, leg := range []float64{0, math.NaN(), math.Inf(1), -1} {
		if got := Size(1.75, leg); got != 1.75 {
			t.Errorf("a leg of %g: %g m", leg, got)
		}
	}
}

// Nothing to measure by: no answer, no panic.
func TestNothing(t *testing.T) {
	path := []space.Vec{{}, {}, {}}
	for name, c := range map[string]struct {
		times  []float64
		points [][]space.Vec
		height float64
	}{
		"no time":     {nil, nil, 1},
		"two":         {[]float64{0, 1}, [][]space.Vec{path[:2]}, 1},
		"one moment":  {[]float64{1, 1, 1}, [][]space.Vec{path}, 1},
		"no height":   {[]float64{0, 1, 2}, [][]space.Vec{path}, 0},
		"no point":    {[]float64{0, 1, 2}, nil, 1},
		"height lost": {[]float64{0, 1, 2}, [][]space.Vec{path}, math.NaN()},
	} {
		if _, ok := Read(c.times, c.points, up, c.height); ok {
			t.Errorf("%s: an answer", name)
		}
	}
	nan := []space.Vec{{math.NaN()}, {}, {}, {}, {}}
	if f, ok := Read([]float64{0, .1, .2, .3, .4}, [][]space.Vec{nan}, up, 1); ok && (math.IsNaN(f.Speed) || math.IsNaN(f.Share)) {
		t.Error("places that are no numbers count")
	}
}
