package carry

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// leg is a limb whose knee turns about the x axis and may bend so far, degrees.
func leg(least, most float64) *foot {
	return &foot{hinge: axisX, least: least * math.Pi / 180, most: most * math.Pi / 180}
}

// W60, W61 (worked numbers, closed form: law of cosines): the inner angle at the middle
// joint, whatever the limb's bend before.
func TestFold(t *testing.T) {
	for _, row := range []struct {
		name            string
		p, q, r, middle float64
	}{
		{"W60", .4, .4, .6, 97.180756},
		{"W61", .45, .40, .70, 110.742380},
	} {
		for _, now := range []float64{1, 20, 70, 120} {
			u, v := vec{0, -row.p, 0}, degrees(axisX, now).turn(vec{0, -row.q, 0})
			w := leg(0, 180).fold(u, v, axisX, row.r, 1).turn(v)
			if got := math.Acos(-u.dot(w)/row.p/row.q) * 180 / math.Pi; math.Abs(got-row.middle) > 1e-6 {
				t.Errorf("%s from %g°: %.6f°, want %.6f°", row.name, now, got, row.middle)
			}
			if u.cross(w).dot(axisX) < 0 || math.Abs(w.len()-row.q) > 1e-12 {
				t.Errorf("%s from %g°: bends to %v", row.name, now, w)
			}
		}
	}
}

// The knee keeps its way and its range: never backwards, no farther and no straighter
// than it may, and no jump where a leg passes through straight.
func TestFoldKeepsTheHinge(t *testing.T) {
	u := vec{0, -.4, 0}
	bend := func(v vec) float64 { return math.Atan2(u.cross(v).dot(axisX), u.dot(v)) * 180 / math.Pi }
	for _, row := range []struct{ least, most, now, apart, want float64 }{
		{0, 90, 30, .9, 0},   // out of reach: straight
		{10, 90, 30, .9, 10}, // no straighter than it may
		{0, 90, 30, .1, 90},  // no farther
		{-5, 90, -5, .6, 82.819244},
		{0, 150, 0, .6, 82.819244}, // straight, towards the hinge
	} {
		v := degrees(axisX, row.now).turn(vec{0, -.4, 0})
		if got := bend(leg(row.least, row.most).fold(u, v, axisX, row.apart, 1).turn(v)); math.Abs(got-row.want) > 1e-5 {
			t.Errorf("from %g° to %g apart within %g…%g°: %.6f°, want %.6f°", row.now, row.apart, row.least, row.most, got, row.want)
		}
	}
	last := math.NaN()
	for now := -3.0; now <= 3; now += .05 {
		v := degrees(axisX, now).turn(vec{0, -.4, 0})
		got := bend(leg(-4, 90).fold(u, v, axisX, u.add(v).len()-1e-4, 1e-4).turn(v))
		if math.Abs(got-last) > 3 {
			t.Errorf("at %.2f° the knee jumps from %.2f° to %.2f°", now, last, got)
		}
		last = got
	}
	if q := leg(0, 90).fold(vec{}, vec{}, axisX, 1, 1); q != still {
		t.Errorf("nothing to bend: %v", q)
	}
}

// W62 … W65 (worked numbers): forward and backward reaching.
func TestChain(t *testing.T) {
	line := func(n int) (p []space.Vec) {
		for i := range n + 1 {
			p = append(p, space.Vec{float64(i), 0, 0})
		}
		return p
	}
	for _, row := range []struct {
		name   string
		bones  int
		target space.Vec
		rounds int
		want   []space.Vec // from the second point on
		left   float64
	}{
		{"W62", 2, space.Vec{1, 1, 0}, 1, []space.Vec{{1, 0, 0}, {1, 1, 0}}, 0},
		{"W63 first", 3, space.Vec{1.5, 1.5, 0}, 1, []space.Vec{{0.999964, -0.008515, 0}, {1.824642, 0.557087, 0}, {1.499100, 1.502615, 0}}, 2.766e-3},
		{"W63 second", 3, space.Vec{1.5, 1.5, 0}, 2, nil, 1.304e-4},
		{"W63 third", 3, space.Vec{1.5, 1.5, 0}, 3, nil, 6.104e-6},
		{"W63 limit", 3, space.Vec{1.5, 1.5, 0}, 40, []space.Vec{{0.999960, -0.008954, 0}, {1.826015, 0.554635, 0}, {1.5, 1.5, 0}}, 0},
		{"W64 dead case", 2, space.Vec{1.5, 0, 0}, 50, nil, 0.5},
		{"W65 out of reach", 2, space.Vec{3, 4, 0}, 10, []space.Vec{{0.6, 0.8, 0}, {1.2, 1.6, 0}}, 3},
	} {
		p := line(row.bones)
		left := Chain(p, row.target, 0, row.rounds)
		if math.Abs(left-row.left) > max(6e-4*row.left, 1e-9) {
			t.Errorf("%s: %.4g left, want %.4g", row.name, left, row.left)
		}
		for i, w := range row.want {
			for c := range w {
				if math.Abs(p[i+1][c]-w[c]) > 6e-7 {
					t.Errorf("%s: point %d at %.6f, want %.6f", row.name, i+1, p[i+1], w)
					break
				}
			}
		}
	}
	if left := Chain(nil, space.Vec{}, 0, 1); !math.IsInf(left, 1) {
		t.Errorf("no chain: %v left", left)
	}
}
