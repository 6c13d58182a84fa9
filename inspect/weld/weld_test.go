package weld

import (
	"math"
	"testing"
)

// grid is a strip of 2·n triangles in the plane z, from x on, n cells of a metre along y.
func grid(n int, x, z float32, points *[]float32, triangles *[]uint32, flip bool) {
	base := uint32(len(*points) / 3)
	for i := range n + 1 {
		*points = append(*points, x, float32(i), z, x+1, float32(i), z)
	}
	for i := range uint32(n) {
		a, b, c, d := base+2*i, base+2*i+1, base+2*i+2, base+2*i+3
		if flip {
			b, c = c, b
		}
		*triangles = append(*triangles, a, b, c, b, d, c)
		if flip {
			k := len(*triangles) - 3
			(*triangles)[k], (*triangles)[k+1], (*triangles)[k+2] = b, d, c
		}
	}
}

// Two strips side by side that miss by a millimetre: one line of eleven places, at the gap
// that is found and at a given one; not at half the gap.
func TestSeam(t *testing.T) {
	var p []float32
	var tri []uint32
	grid(10, 0, 0, &p, &tri, false)
	grid(10, 1.001, 0, &p, &tri, false)
	for _, row := range []struct {
		distance     float64
		places, seam int
	}{{0, 11, 20}, {0.002, 11, 20}, {0.0005, 0, 0}} {
		j := Weld(Shape{Points: p, Triangles: tri, Diagonal: 10}, row.distance)
		if j.Places != row.places || j.Seams != row.seam {
			t.Errorf("at %g: %d places joined over %d edges, want %d and %d", row.distance, j.Places, j.Seams, row.places, row.seam)
		}
		if row.distance == 0 && (!j.Plateau || j.Distance < 0.001 || j.Distance > 0.0011 || math.Abs(j.Shortest-1) > 0.002) {
			t.Errorf("%+v", j)
		}
	}
	apart := func(a, b uint32) bool { return true }
	if j := Weld(Shape{Points: p, Triangles: tri, Diagonal: 10, Apart: apart}, 0.002); j.Places != 0 || j.Held == 0 {
		t.Errorf("what moves apart was joined: %+v", j)
	}
}

// The two walls of a thin part lie back to back: their borders are joined by neither step.
func TestBackToBack(t *testing.T) {
	var p []float32
	var tri []uint32
	grid(10, 0, 0, &p, &tri, false)
	grid(10, 0, -0.001, &p, &tri, true)
	j := Weld(Shape{Points: p, Triangles: tri, Diagonal: 10}, 0.002)
	if j.Places != 0 || j.Back == 0 {
		t.Errorf("%+v", j)
	}
}

// The ends of an edge are never one place, and no set is wider than the distance: a row of
// border places 0.6 apart at a distance of 1 is joined by no pair, as edges hold them; of
// loose triangles in such a row pairs are joined, not the row.
func TestChains(t *testing.T) {
	var p []float32
	var tri []uint32
	for i := range 20 { // one corner each on the line y = 0, the others far off
		x := float32(i) * 0.6
		n := uint32(len(p) / 3)
		p = append(p, x, 0, 0, x, 50, float32(5*i), x+30, 50, float32(5*i))
		tri = append(tri, n, n+1, n+2)
	}
	j := Weld(Shape{Points: p, Triangles: tri, Diagonal: 100}, 1)
	size := map[uint32]int{}
	for i := 0; i < len(j.To); i += 3 {
		size[j.To[i]]++
	}
	for root, n := range size {
		if n > 2 {
			t.Errorf("%d places 0.6 apart became one at %d", n, root)
		}
	}
	if j.Places < 6 || j.Wide == 0 {
		t.Errorf("%+v", j)
	}
	var q []float32
	var quads []uint32
	grid(10, 0, 0, &q, &quads, false)
	if j := Weld(Shape{Points: q, Triangles: quads, Diagonal: 10}, 1.2); j.Places != 0 || j.Ends == 0 {
		t.Errorf("edges of 1 at 1.2: %+v", j)
	}
}

// A rounding apart inside a surface is one place without a seam; nothing at all is nothing.
func TestRounding(t *testing.T) {
	p := []float32{0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1e-6, -1, 0, 0, 0, -1, 0}
	tri := []uint32{0, 1, 2, 3, 4, 5}
	if j := Weld(Shape{Points: p, Triangles: tri, Diagonal: 2}, 0); j.Places != 1 || j.To[3] != 0 {
		t.Errorf("%+v", j)
	}
	if j := Weld(Shape{Diagonal: 2}, 1); j.Places != 0 {
		t.Errorf("%+v", j)
	}
	nan := float32(math.NaN())
	if j := Weld(Shape{Points: []float32{nan, nan, nan, 0, 0, 0, 1, 0, 0}, Triangles: []uint32{0, 1, 2}, Diagonal: math.NaN()}, 0); j.Places != 0 {
		t.Errorf("%+v", j)
	}
}
