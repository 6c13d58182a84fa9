package geom

import "rigloupe/inspect/space"

// Rays sends rays along +X from points and says which triangles they pass. Corners
// and edges are counted once: each edge is worked out the same for both of its
// triangles, and belongs to the upper of its ends only (half-open crossing rule,
// the exact one of polygon tests).
type Rays struct{ s *Triangles }

// NewRays keeps both slices.
func NewRays(points []float32, triangles []uint32) Rays {
	return WatchedRays(points, triangles, nil)
}

// WatchedRays are the same; watch looks at the sorting of the triangles.
func WatchedRays(points []float32, triangles []uint32, watch *Watch) Rays {
	return Rays{newTriangles(points, triangles, watch)}
}

// Cross visits every triangle that the ray from p along +X passes, with +1 where it
// leaves through the front (the normal points along the ray) and −1 where it enters.
// work bounds the triangles looked at; it is false when they did not suffice.
func (r Rays) Cross(p space.Vec, work *int, visit func(triangle uint32, way int)) bool {
	t := r.s.tree
	var d descent
	d.begin(t)
	for d.more() {
		n := d.take()
		b := t.box(n.k)
		if float64(b[3]) < p[0] || float64(b[1]) > p[1] || float64(b[4]) < p[1] || float64(b[2]) > p[2] || float64(b[5]) < p[2] {
			continue
		}
		if !d.isLeaf(n) {
			left, right := n.halves()
			d.put(right, left)
			continue
		}
		for i := n.lo; i < n.hi; i++ {
			if *work--; *work <= 0 {
				return false
			}
			if way := r.crossing(t.id[i], p); way != 0 {
				visit(t.id[i], way)
			}
		}
	}
	return true
}

func (r Rays) crossing(triangle uint32, p space.Vec) int {
	v := r.s.triangles[3*triangle : 3*triangle+3]
	a, b, c := space.At(r.s.points, v[0]), space.At(r.s.points, v[1]), space.At(r.s.points, v[2])
	odd := crossesEdge(a, b, p) != crossesEdge(b, c, p)
	if odd == crossesEdge(c, a, p) {
		return 0
	}
	n := b.Sub(a).Cross(c.Sub(a))
	if n[0] == 0 || n.Dot(a.Sub(p))*n[0] < 0 { // seen edge on, or behind
		return 0
	}
	if n[0] > 0 {
		return 1
	}
	return -1
}

// crossesEdge tells whether the half-line from p along +Y meets the edge, in the
// plane of y and z.
func crossesEdge(a, b, p space.Vec) bool {
	if a[2] > p[2] == (b[2] > p[2]) {
		return false
	}
	if a[2] > b[2] { // the lower end first: both triangles of an edge reckon alike
		a, b = b, a
	}
	return a[1]+(p[2]-a[2])/(b[2]-a[2])*(b[1]-a[1]) > p[1]
}
