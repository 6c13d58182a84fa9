package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Pass visits the triangles that the straight way from a to b passes, with the share of the
// way (0 to 1) at which it does, in no order, until visit answers false. Edges and corners
// count for every triangle they are of; triangles seen edge on, for none.
func (s *Triangles) Pass(a, b space.Vec, visit func(triangle int, share float64) bool) {
	t := s.tree
	way := b.Sub(a)
	inverse := space.Vec{1 / way[0], 1 / way[1], 1 / way[2]}
	var d descent
	d.begin(t)
	for d.more() {
		n := d.take()
		if !meetsBox(t.box(n.k), a, inverse) {
			continue
		}
		if !d.isLeaf(n) {
			left, right := n.halves()
			d.put(right, left)
			continue
		}
		for i := n.lo; i < n.hi; i++ {
			id := t.id[i]
			p, q, r := space.At(s.points, s.triangles[3*id]), space.At(s.points, s.triangles[3*id+1]), space.At(s.points, s.triangles[3*id+2])
			if share, ok := passes(a, way, p, q, r); ok && !visit(int(id), share) {
				return
			}
		}
	}
}

// meetsBox tells whether the way from a, 1/way being inverse, meets a box between 0 and 1
// (slabs; Kay, Kajiya 1986).
func meetsBox(b []float32, a, inverse space.Vec) bool {
	from, to := 0.0, 1.0
	for c := range 3 {
		x, y := (float64(b[c])-a[c])*inverse[c], (float64(b[c+3])-a[c])*inverse[c]
		if x > y {
			x, y = y, x
		}
		if math.IsInf(inverse[c], 0) { // along the slab: in it or not at all
			if a[c] < float64(b[c]) || a[c] > float64(b[c+3]) {
				return false
			}
			continue
		}
		if x > from {
			from = x
		}
		if y < to {
			to = y
		}
		if from > to {
			return false
		}
	}
	return true
}

// passes cuts the way from a with a triangle (Möller, Trumbore 1997).
func passes(a, way, p, q, r space.Vec) (share float64, ok bool) {
	e, f := q.Sub(p), r.Sub(p)
	n := way.Cross(f)
	det := e.Dot(n)
	if det == 0 {
		return 0, false
	}
	s := a.Sub(p)
	u := s.Dot(n) / det
	if u < 0 || u > 1 {
		return 0, false
	}
	m := s.Cross(e)
	v := way.Dot(m) / det
	if v < 0 || u+v > 1 {
		return 0, false
	}
	share = f.Dot(m) / det
	return share, share >= 0 && share <= 1
}

// Normal is at right angles to a triangle, twice as long as it is large.
func (s *Triangles) Normal(triangle int) space.Vec {
	v := s.triangles[3*triangle : 3*triangle+3]
	a := space.At(s.points, v[0])
	return space.At(s.points, v[1]).Sub(a).Cross(space.At(s.points, v[2]).Sub(a))
}
