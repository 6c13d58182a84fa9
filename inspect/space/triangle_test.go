package space

import (
	"math"
	"testing"
)

// Heights over the longest edge, by the lengths of the sides: 12/5 over 5 for 3 4 5 (twice
// the area, 12, over the edge); Heron's formula for the others.
func TestSlimness(t *testing.T) {
	for _, w := range []struct {
		name    string
		a, b, c float64 // c is the longest, along x
		want    float64
	}{
		{"equilateral", 1, 1, 1, 0.8660254},
		{"right, isosceles", 1, 1, math.Sqrt2, 0.5},
		{"3 4 5", 3, 4, 5, 0.48},
		{"1 1 1.9", 1, 1, 1.9, 0.1643420},
		{"no area", 1, 1, 2, 0},
		{"no length", 0, 0, 0, 0},
	} {
		var tip Vec
		if w.c > 0 {
			tip[0] = (w.c*w.c + w.b*w.b - w.a*w.a) / (2 * w.c)
			tip[1] = math.Sqrt(max(0, w.b*w.b-tip[0]*tip[0]))
		}
		from, along := Vec{}, Vec{w.c, 0, 0}
		near(t, w.name, Slimness(from, along, tip), w.want, 1e-7)
		near(t, w.name+", from another corner", Slimness(tip, from, along), w.want, 1e-7)
	}
	// On a base of 1 m heights of 0.101 and 0.099 mm lie on either side of a needle.
	for h, needle := range map[float64]bool{1.01e-4: false, 0.99e-4: true} {
		if k := Slimness(Vec{}, Vec{1, 0, 0}, Vec{.5, h, 0}); k < Needle != needle {
			t.Errorf("height %g: a needle %v, want %v", h, k < Needle, needle)
		}
	}
	if k := Slimness(Vec{math.NaN()}, Vec{1, 0, 0}, Vec{0, 1, 0}); k >= Needle {
		t.Errorf("no number has a slimness of %g", k)
	}
	if k := Slimness(Vec{math.Inf(1)}, Vec{1, 0, 0}, Vec{0, 1, 0}); k != 0 {
		t.Errorf("an infinite triangle has a slimness of %g", k)
	}
}

// Worked numbers, closed form: simple shear by 1 stretches by the golden ratio and its
// reciprocal; columns (1, 0) and (1, 1) have the Gram matrix (1 1; 1 2).
func TestStretches(t *testing.T) {
	for _, w := range []struct {
		name              string
		p, q, r           float64
		most, least, loss float64
	}{
		{"shear by 1", 1, 1, 2, 1.618033989, 0.618033989, 1e-9},
		{"twice as large", 4, 0, 4, 2, 2, 1e-15},
		{"to a line", 1, 1, 1, math.Sqrt2, 0, 1e-15},
		{"to a point", 0, 0, 0, 0, 0, 0},
		{"far apart", 1e12, 0, 1e-6, 1e6, 1e-3, 1e-9},
	} {
		most, least := Stretches(w.p, w.q, w.r)
		near(t, w.name, math.Sqrt(most), w.most, w.loss*max(1, w.most))
		near(t, w.name, math.Sqrt(least), w.least, w.loss)
	}
}
