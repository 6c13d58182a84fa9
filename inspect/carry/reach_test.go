package carry

import (
	"math"
	"testing"
)

// W60, W61 (worked numbers, closed form: law of cosines).
func TestInsideAngles(t *testing.T) {
	for _, row := range []struct {
		name                    string
		p, q, r, middle, atRoot float64
	}{
		{"W60", .4, .4, .6, 97.180756, 41.409622},
		{"W61", .45, .40, .70, 110.742380, 32.302545},
	} {
		m, a := insideAngles(row.p, row.q, row.r)
		m, a = m*180/math.Pi, a*180/math.Pi
		if math.Abs(m-row.middle) > 1e-6 || math.Abs(a-row.atRoot) > 1e-6 {
			t.Errorf("%s: %.6f° and %.6f°, want %.6f° and %.6f°", row.name, m, a, row.middle, row.atRoot)
		}
	}
}

// The end comes to the target, lengths stay, the plane stays.
func TestTwoBone(t *testing.T) {
	for _, row := range []struct {
		name               string
		a, b, c, to, pole  vec
		reached            bool
		end                vec
		kneeAhead, inPlane bool
	}{
		{"bent leg, target ahead", vec{0, 1, 0}, vec{0, .55, .05}, vec{0, .1, 0}, vec{0, .2, .2}, vec{0, 0, 1}, true, vec{0, .2, .2}, true, true},
		{"straight leg bends towards the pole", vec{0, 1, 0}, vec{0, .6, 0}, vec{0, .2, 0}, vec{0, .4, 0}, vec{0, 0, 1}, true, vec{0, .4, 0}, true, true},
		{"to the side", vec{0, 1, 0}, vec{0, .55, .05}, vec{0, .1, 0}, vec{.3, .3, .1}, vec{0, 0, 1}, true, vec{.3, .3, .1}, true, false},
		{"out of reach", vec{0, 1, 0}, vec{0, .6, .1}, vec{0, .2, 0}, vec{0, -1, 0}, vec{0, 0, 1}, false, vec{0, 1 - 2*math.Hypot(.4, .1), 0}, false, true},
		{"W60 by length", vec{}, vec{.4, 0, 0}, vec{.4, .4, 0}, vec{.6, 0, 0}, vec{0, 0, 1}, true, vec{.6, 0, 0}, false, false},
	} {
		t.Run(row.name, func(t *testing.T) {
			first, second, ok := twoBone(row.a, row.b, row.c, row.to, row.pole)
			b := row.a.add(first.turn(row.b.sub(row.a)))
			c := b.add(second.turn(row.c.sub(row.b)))
			if ok != row.reached || c.sub(row.end).len() > 1e-9 {
				t.Errorf("end at %v (%v), want %v (%v)", c, ok, row.end, row.reached)
			}
			if d := b.sub(row.a).len() - row.b.sub(row.a).len(); math.Abs(d) > 1e-12 {
				t.Errorf("the first bone grew by %g", d)
			}
			if row.kneeAhead && b.z <= 0 {
				t.Errorf("the knee stands at %v, behind", b)
			}
			if row.inPlane && math.Abs(b.x) > 1e-9 {
				t.Errorf("the knee left the plane: %v", b)
			}
		})
	}
	// W60: the inner angle shows in the answer.
	first, _, _ := twoBone(vec{}, vec{.4, 0, 0}, vec{.4, .4, 0}, vec{.6, 0, 0}, vec{0, 0, 1})
	b := first.turn(vec{.4, 0, 0})
	if got := math.Acos(b.x/.4) * 180 / math.Pi; math.Abs(got-41.409622) > 1e-6 {
		t.Errorf("angle at the root %.6f°, want 41.409622°", got)
	}
	// Nothing to bend, nowhere to go: no turn, no NaN.
	for _, v := range [][4]vec{{}, {{}, {1, 0, 0}, {1, 0, 0}, {2, 0, 0}}, {{}, {1, 0, 0}, {2, 0, 0}, {}}} {
		f, s, ok := twoBone(v[0], v[1], v[2], v[3], vec{0, 0, 1})
		if ok || f != still || s != still {
			t.Errorf("%v: %v %v %v", v, f, s, ok)
		}
	}
}

// W62 … W65 (worked numbers): forward and backward reaching.
func TestChain(t *testing.T) {
	line := func(n int) (p [][3]float64) {
		for i := range n + 1 {
			p = append(p, [3]float64{float64(i), 0, 0})
		}
		return p
	}
	for _, row := range []struct {
		name   string
		bones  int
		target [3]float64
		rounds int
		want   [][3]float64 // from the second point on
		left   float64
	}{
		{"W62", 2, [3]float64{1, 1, 0}, 1, [][3]float64{{1, 0, 0}, {1, 1, 0}}, 0},
		{"W63 first", 3, [3]float64{1.5, 1.5, 0}, 1, [][3]float64{{0.999964, -0.008515, 0}, {1.824642, 0.557087, 0}, {1.499100, 1.502615, 0}}, 2.766e-3},
		{"W63 second", 3, [3]float64{1.5, 1.5, 0}, 2, nil, 1.304e-4},
		{"W63 third", 3, [3]float64{1.5, 1.5, 0}, 3, nil, 6.104e-6},
		{"W63 limit", 3, [3]float64{1.5, 1.5, 0}, 40, [][3]float64{{0.999960, -0.008954, 0}, {1.826015, 0.554635, 0}, {1.5, 1.5, 0}}, 0},
		{"W64 dead case", 2, [3]float64{1.5, 0, 0}, 50, nil, 0.5},
		{"W65 out of reach", 2, [3]float64{3, 4, 0}, 10, [][3]float64{{0.6, 0.8, 0}, {1.2, 1.6, 0}}, 3},
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
	if left := Chain(nil, [3]float64{}, 0, 1); !math.IsInf(left, 1) {
		t.Errorf("no chain: %v left", left)
	}
}
