package gait

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// Every constant by a case on either side of it. A figure of height 1, 28 moments a
// second, so that a step is longer than the span of a speed; numbers by hand.

// stride is some steps of one foot: so many, how fast, and how high the foot is at the end
// of each.
type stride struct {
	steps  int
	speed  float64
	height float64
}

const rate = 28

func taken(strides ...stride) Foot {
	var times []float64
	var path []space.Vec
	at, high := 0.0, strides[0].height
	add := func() {
		times = append(times, float64(len(times))/rate)
		path = append(path, space.Vec{0, high, at})
	}
	add()
	for _, s := range strides {
		for range s.steps {
			at, high = at+s.speed/rate, s.height
			add()
		}
	}
	f, _ := Read(times, [][]space.Vec{path}, up, 1)
	return f
}

// standing counts the steps that stand among some.
func (f *Foot) standing(from, to int) (n int) {
	for _, s := range f.Steps[from:to] {
		if s.Stands {
			n++
		}
	}
	return n
}

func TestConstants(t *testing.T) {
	rising := func(speed float64) Foot {
		s := []stride{{20, 0, 0}}
		for k := 1; k <= 7; k++ {
			s = append(s, stride{1, 0, speed * float64(k) / rate})
		}
		return taken(s...)
	}
	still, air := stride{20, 0, 0}, stride{10, 0, .1}
	for _, row := range []struct {
		name     string
		foot     Foot
		from, to int
		want     int
	}{
		{"rises by 10.5 % a second", rising(.105), 20, 27, 7},
		{"rises by 11.5 % a second", rising(.115), 20, 27, 0},
		{"raised, 11 % a second", taken(still, air, stride{1, 0, .02}, stride{15, .110, .02}), 31, 45, 14},
		{"raised, 11.8 % a second", taken(still, air, stride{1, 0, .02}, stride{15, .118, .02}), 31, 45, 0},
		{"fast, 0.55 % high", taken(still, air, stride{1, 0, .0055}, stride{15, .2, .0055}), 35, 45, 10},
		{"fast, 0.61 % high", taken(still, air, stride{1, 0, .0061}, stride{15, .2, .0061}), 35, 45, 0},
		{"1.9 times the middle speed", taken(stride{20, .1, 0}, stride{3, .19, 0}, stride{20, .1, 0}), 20, 23, 3},
		{"2.1 times the middle speed", taken(stride{20, .1, 0}, stride{3, .21, 0}, stride{20, .1, 0}), 20, 23, 0},
		{"0.55 of the speed in the air", taken(still, stride{10, 1, .1}, stride{1, 1, 0}, stride{15, .55, 0}), 31, 46, 15},
		{"0.65 of the speed in the air", taken(still, stride{10, 1, .1}, stride{1, 1, 0}, stride{15, .65, 0}), 31, 46, 0},
		// Of 20 steps in the air one at 3, three at 1, the others at 0.4.
		{"0.55 of all but the fastest in the air", taken(still, stride{15, .4, .1}, stride{1, 3, .1}, stride{3, 1, .1}, stride{1, .4, 0}, stride{15, .55, 0}), 40, 55, 15},
		{"0.65 of all but the fastest in the air", taken(still, stride{15, .4, .1}, stride{1, 3, .1}, stride{3, 1, .1}, stride{1, .4, 0}, stride{15, .65, 0}), 40, 55, 0},
		{"brakes for 0.29 s, of which 0.11 s are left out", taken(stride{10, 0, .1}, stride{1, .3, 0}, stride{8, .3, 0}, still), 11, 19, 5},
		{"a break of 0.036 s", taken(still, stride{1, 0, .01}, stride{20, 0, .01}), 20, 21, 1},
		{"a break of 0.071 s", taken(still, stride{1, 0, .01}, stride{1, 0, .02}, stride{20, 0, .02}), 20, 22, 0},
	} {
		if got := row.foot.standing(row.from, row.to); got != row.want {
			t.Errorf("%s: %d of %d steps stand, want %d", row.name, got, row.to-row.from, row.want)
		}
	}
	// The ground is where 5 % of the moments are lower.
	for _, row := range []struct {
		low  int // steps
		want float64
	}{{3, 0}, {7, -.02}} {
		f := taken(stride{row.low, 0, -.02}, stride{100 - row.low, 0, 0})
		if f.Ground[0] != row.want {
			t.Errorf("%d of 101 moments lower: the ground is at %g, want %g", row.low+1, f.Ground[0], row.want)
		}
	}
	// In metres of a person of 1.75 m.
	for _, row := range []struct {
		name      string
		got, want float64
	}{{"near the ground", Near, .05}, {"rising", Rise, .2}, {"sliding", Slow, .2}, {"nearness of a slide", Fade, .025}} {
		if math.Abs(1.75*row.got/row.want-1) > .04 {
			t.Errorf("%s: %g m of 1.75 m, want %g", row.name, 1.75*row.got, row.want)
		}
	}
}

// Both feet go back at speeds within a fifth of their mean, in one direction, and leave
// the ground for a tenth of the time.
func TestInPlaceConstants(t *testing.T) {
	foot := func(share, speed, mean float64) Foot {
		return Foot{Share: share, Speed: speed, Mean: space.Vec{0, 0, mean}}
	}
	for _, row := range []struct {
		name string
		feet []Foot
		want bool
	}{
		{"13 % off their mean", []Foot{foot(.6, 1, 1), foot(.6, 1.3, 1.3)}, true},
		{"23 % off their mean", []Foot{foot(.6, 1, 1), foot(.6, 1.6, 1.6)}, false},
		{"0.85 of the way is straight", []Foot{foot(.6, 1, .85), foot(.6, 1, .85)}, true},
		{"0.75 of the way is straight", []Foot{foot(.6, 1, .75), foot(.6, 1, .75)}, false},
		{"stands 88 % of the time", []Foot{foot(.88, 1, 1), foot(.88, 1, 1)}, true},
		{"stands 92 % of the time", []Foot{foot(.92, 1, 1), foot(.92, 1, 1)}, false},
	} {
		if _, got := InPlace(row.feet, .05); got != row.want {
			t.Errorf("%s: in place %v", row.name, got)
		}
	}
}
