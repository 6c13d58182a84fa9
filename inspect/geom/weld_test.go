package geom

import (
	"math"
	"slices"
	"testing"
)

func TestWeld(t *testing.T) {
	minus := float32(math.Copysign(0, -1))
	nan := float32(math.NaN())
	next := math.Nextafter32(1, 2)
	for _, row := range []struct {
		name   string
		points []float32
		of     []uint32
		first  []uint32
	}{
		{"none", nil, []uint32{}, []uint32{}},
		{"apart", []float32{0, 0, 0, 1, 0, 0}, []uint32{0, 1}, []uint32{0, 1}},
		{"equal", []float32{1, 2, 3, 0, 0, 0, 1, 2, 3}, []uint32{0, 1, 0}, []uint32{0, 1}},
		{"minus zero is zero", []float32{0, 0, 0, minus, 0, minus}, []uint32{0, 0}, []uint32{0}},
		{"one bit apart", []float32{1, 0, 0, next, 0, 0}, []uint32{0, 1}, []uint32{0, 1}},
		{"coordinates swapped", []float32{1, 2, 3, 2, 1, 3, 3, 2, 1}, []uint32{0, 1, 2}, []uint32{0, 1, 2}},
		{"not a number", []float32{nan, 0, 0, nan, 0, 0}, []uint32{0, 0}, []uint32{0}},
	} {
		w := Weld(row.points, nil)
		if !slices.Equal(w.Of, row.of) || !slices.Equal(w.First, row.first) {
			t.Errorf("%s: of %v first %v, want %v %v", row.name, w.Of, w.First, row.of, row.first)
		}
	}
}

// W42 (worked number): a cube as a renderer stores it has 24 vertices, 8 corners.
func TestWeldCube(t *testing.T) {
	p, _ := cube()
	if w := Weld(p, nil); w.Groups() != 8 {
		t.Errorf("%d corners, want 8", w.Groups())
	}
}

// W38: the icosphere shares its vertices already.
func TestWeldIcosphere(t *testing.T) {
	p, tri := icosphere(4)
	if w := Weld(p, nil); w.Groups() != 2562 || len(tri)/3 != 5120 {
		t.Errorf("%d places, %d triangles, want 2562, 5120", w.Groups(), len(tri)/3)
	}
	apart := make([]float32, 0, 3*len(tri)) // each triangle with its own three
	for _, v := range tri {
		apart = append(apart, p[3*v:3*v+3]...)
	}
	if w := Weld(apart, nil); w.Groups() != 2562 {
		t.Errorf("unindexed: %d places, want 2562", w.Groups())
	}
}

// A column of places that differ in z alone: a table of 2,048 has room for each, and
// many of them come to stand in the slot of another.
func TestWeldColumn(t *testing.T) {
	var p []float32
	for i := range 1000 {
		p = append(p, .5, .25, float32(i))
	}
	if w := Weld(p, nil); w.Groups() != 1000 {
		t.Errorf("%d places, want 1,000", w.Groups())
	}
}
