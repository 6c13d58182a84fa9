package carry

import (
	"math"
	"testing"
)

// leg is a limb whose knee turns about the x axis and may bend so far, degrees.
func leg(least, most float64) *foot {
	return &foot{hinge: axisX, least: least * math.Pi / 180, most: most * math.Pi / 180}
}

func folding(u, v vec) *limb { m := newLimb(u, v, axisX); return &m }

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
			u, v := xyz(0, -row.p, 0), degrees(axisX, now).Rotate(xyz(0, -row.q, 0))
			w := leg(0, 180).fold(folding(u, v), row.r, 1).Rotate(v)
			if got := math.Acos(-u.Dot(w)/row.p/row.q) * 180 / math.Pi; math.Abs(got-row.middle) > 1e-6 {
				t.Errorf("%s from %g°: %.6f°, want %.6f°", row.name, now, got, row.middle)
			}
			if u.Cross(w).Dot(axisX) < 0 || math.Abs(w.Len()-row.q) > 1e-12 {
				t.Errorf("%s from %g°: bends to %v", row.name, now, w)
			}
		}
	}
}

// The knee keeps its way and its range: never backwards, no farther and no straighter
// than it may, and no jump where a leg passes through straight.
func TestFoldKeepsTheHinge(t *testing.T) {
	u := xyz(0, -.4, 0)
	bend := func(v vec) float64 { return math.Atan2(u.Cross(v).Dot(axisX), u.Dot(v)) * 180 / math.Pi }
	for _, row := range []struct{ least, most, now, apart, want float64 }{
		{0, 90, 30, .9, 0},   // out of reach: straight
		{10, 90, 30, .9, 10}, // no straighter than it may
		{0, 90, 30, .1, 90},  // no farther
		{-5, 90, -5, .6, 82.819244},
		{0, 150, 0, .6, 82.819244}, // straight, towards the hinge
	} {
		v := degrees(axisX, row.now).Rotate(xyz(0, -.4, 0))
		if got := bend(leg(row.least, row.most).fold(folding(u, v), row.apart, 1).Rotate(v)); math.Abs(got-row.want) > 1e-5 {
			t.Errorf("from %g° to %g apart within %g…%g°: %.6f°, want %.6f°", row.now, row.apart, row.least, row.most, got, row.want)
		}
	}
	last := math.NaN()
	for now := -3.0; now <= 3; now += .05 {
		v := degrees(axisX, now).Rotate(xyz(0, -.4, 0))
		got := bend(leg(-4, 90).fold(folding(u, v), u.Add(v).Len()-1e-4, 1e-4).Rotate(v))
		if math.Abs(got-last) > 3 {
			t.Errorf("at %.2f° the knee jumps from %.2f° to %.2f°", now, last, got)
		}
		last = got
	}
	if q := leg(0, 90).fold(folding(vec{}, vec{}), 1, 1); q != still {
		t.Errorf("nothing to bend: %v", q)
	}
}
