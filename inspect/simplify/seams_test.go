package simplify

import (
	"math"
	"testing"
)

// apart is the cube with vertices of their own on every face, copies that meet at its edges.
func apart(n int) *Mesh {
	whole := cube(n)
	m := &Mesh{D: 3}
	at := map[[2]uint32]uint32{} // face, vertex of the whole
	for i, v := range whole.Triangles {
		face := uint32(i / (6 * n * n))
		u, had := at[[2]uint32{face, v}]
		if !had {
			u = uint32(len(m.Place))
			at[[2]uint32{face, v}] = u
			m.Place = append(m.Place, v)
			m.At = append(m.At, whole.At[3*v:3*v+3]...)
		}
		m.Triangles = append(m.Triangles, u)
	}
	m.Locked = make([]bool, len(m.Place))
	return m
}

// A cube whose faces have vertices of their own, as hard edges and pictures make them, comes
// down to its twelve triangles: copies go along an edge together, corners stay, no triangle
// takes a vertex of another face, and it stays closed. Where copies are told to be vertices by
// themselves it comes apart.
func TestSeamsGoTogether(t *testing.T) {
	const n = 6
	m := apart(n)
	r, err := m.Reduce(12, nil)
	if err != nil {
		t.Fatal(err)
	}
	if r.Left != 12 {
		t.Errorf("%d triangles are left, want 12", r.Left)
	}
	edges := map[[2]uint32]int{}
	face := func(v uint32) int {
		for i, w := range m.Triangles {
			if w == v {
				return i / (6 * n * n)
			}
		}
		return -1
	}
	area := 0.0
	for i, gone := range r.Gone {
		if gone {
			continue
		}
		c := r.Triangles[3*i : 3*i+3]
		for k, v := range c {
			if face(v) != i/(2*n*n) {
				t.Errorf("triangle %d of face %d has a vertex of face %d", i, i/(2*n*n), face(v))
			}
			a, b := m.Place[v], m.Place[c[(k+1)%3]]
			edges[[2]uint32{min(a, b), max(a, b)}]++
		}
		var e, f [3]float64
		for k := range 3 {
			e[k], f[k] = m.At[3*c[1]+uint32(k)]-m.At[3*c[0]+uint32(k)], m.At[3*c[2]+uint32(k)]-m.At[3*c[0]+uint32(k)]
		}
		area += math.Sqrt(math.Pow(e[1]*f[2]-e[2]*f[1], 2)+math.Pow(e[2]*f[0]-e[0]*f[2], 2)+math.Pow(e[0]*f[1]-e[1]*f[0], 2)) / 2
	}
	for e, k := range edges {
		if k != 2 {
			t.Errorf("edge %v has %d triangles", e, k)
		}
	}
	if math.Abs(area-6) > 1e-9 { // of a cube of edge 1
		t.Errorf("its area is %v, want 6", area)
	}
}

// A seam ends within a surface: its last place is one vertex, and draws nothing off its sides. A
// side that has nothing to go to stays: three faces meet at a corner.
func TestCornersOfSeamsStay(t *testing.T) {
	m := apart(2)
	r, err := m.Reduce(1, nil)
	if err != nil {
		t.Fatal(err)
	}
	for v, to := range r.To {
		corner := true
		for k := range 3 {
			x := m.At[3*v+k]
			corner = corner && (x == 0 || x == 1)
		}
		if corner && to != uint32(v) {
			t.Errorf("the corner %v went to %d", m.At[3*v:3*v+3], to)
		}
	}
	if r.Left != 12 {
		t.Errorf("%d triangles are left, want 12", r.Left)
	}
}
