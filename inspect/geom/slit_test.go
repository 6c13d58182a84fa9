package geom

import (
	"math"
	"testing"
)

// rimOf is one closed rim through points of a plane.
func rimOf(points [][2]float64) (loops []Loop, at func(uint32) [3]float64) {
	l := Loop{Closed: true}
	for i := range points {
		l.Places = append(l.Places, uint32(i))
	}
	return []Loop{l}, func(p uint32) [3]float64 { return [3]float64{points[p][0], points[p][1], 0} }
}

// slot is a rectangle's rim with a point each step.
func slot(long, wide, step float64) (points [][2]float64) {
	for x := 0.; x < long-step/2; x += step {
		points = append(points, [2]float64{x, 0})
	}
	for y := 0.; y < wide-step/2; y += step {
		points = append(points, [2]float64{long, y})
	}
	for x := long; x > step/2; x -= step {
		points = append(points, [2]float64{x, wide})
	}
	for y := wide; y > step/2; y -= step {
		points = append(points, [2]float64{0, y})
	}
	return points
}

// A slit is crossed straight: in the middle of a slot each place has the one opposite. A circle and a square are no slit
// (half the rim is 1.57 and 2 of the width; of a square only its middles lie at the ratio itself), and one that is wider
// than asked is none.
func TestSlits(t *testing.T) {
	loops, at := rimOf(slot(.5, .05, .01))
	across := Slits(loops, at, .09)
	middles := 0
	for p, list := range across {
		x := at(p)
		if x[0] < .095 || x[0] > .405 {
			continue
		}
		middles++
		opposite := false
		for _, q := range list {
			y := at(q)
			opposite = opposite || math.Abs(x[0]-y[0]) < 1e-9 && math.Abs(math.Abs(x[1]-y[1])-.05) < 1e-9
		}
		if !opposite {
			t.Errorf("the place at %v has %v across, not the one opposite", x, list)
		}
	}
	if middles != 62 {
		t.Errorf("%d places of the middle have one across, want 62", middles)
	}
	if got := Slits(loops, at, .049); len(got) > 8 { // its corners alone
		t.Errorf("a slit wider than asked for has %d places across", len(got))
	}
	var circle [][2]float64
	for i := range 100 {
		a := 2 * math.Pi * float64(i) / 100
		circle = append(circle, [2]float64{.04 * math.Cos(a), .04 * math.Sin(a)})
	}
	if loops, at = rimOf(circle); len(Slits(loops, at, 1)) != 0 {
		t.Error("a round opening is a slit")
	}
	if loops, at = rimOf(slot(.04, .04, .01)); len(Slits(loops, at, 1)) > 4 {
		t.Errorf("a square opening has %d places across", len(Slits(loops, at, 1)))
	}
	loops, at = rimOf(slot(.5, .05, .01))
	loops[0].Closed = false
	if Slits(loops, at, 1) != nil {
		t.Error("a chain that ends is a slit")
	}
	if Slits(nil, at, 1) != nil {
		t.Error("no rim has a slit")
	}
}
