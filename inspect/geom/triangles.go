package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Triangles finds the closest point of a surface. Like Tree it is a balanced tree
// of tight boxes, here around triangles sorted by their middles.
type Triangles struct {
	points    []float32
	triangles []uint32 // 3·T, the caller's
	tree      *Tree    // over the middles; its boxes are widened to hold the corners
}

// Hit is the closest point of a surface.
type Hit struct {
	Triangle int       // place in the list
	At       space.Vec // barycentric: weights of the three corners, ≥ 0, sum 1
	Point    space.Vec
	Distance float64
}

// NewTriangles keeps both slices; triangles hold places in points (3·V). Triangles
// with a corner that is not finite are never found.
func NewTriangles(points []float32, triangles []uint32) *Triangles {
	return newTriangles(points, triangles, nil)
}

func newTriangles(points []float32, triangles []uint32, watch *Watch) *Triangles {
	n := len(triangles) / 3
	middles := make([]float32, 3*n)
	for t := range n {
		a, b, c := triangles[3*t], triangles[3*t+1], triangles[3*t+2]
		for i := range uint32(3) {
			middles[3*t+int(i)] = (points[3*a+i] + points[3*b+i] + points[3*c+i]) / 3
		}
	}
	s := &Triangles{points: points, triangles: triangles, tree: newTree(middles, watch)}
	if len(s.tree.id) > 0 {
		s.widen(0, 0, len(s.tree.id), s.tree.depth)
	}
	return s
}

// widen makes the boxes hold the corners, from the leaves up.
func (s *Triangles) widen(k, lo, hi, depth int) {
	b := s.tree.boxes[6*k : 6*k+6]
	if depth == 0 {
		for i := lo; i < hi; i++ {
			for _, v := range s.triangles[3*s.tree.id[i] : 3*s.tree.id[i]+3] {
				for c := range 3 {
					b[c], b[c+3] = min(b[c], s.points[3*int(v)+c]), max(b[c+3], s.points[3*int(v)+c])
				}
			}
		}
		return
	}
	mid := int(uint(lo+hi) / 2)
	s.widen(2*k+1, lo, mid, depth-1)
	s.widen(2*k+2, mid, hi, depth-1)
	l, r := s.tree.boxes[6*(2*k+1):], s.tree.boxes[6*(2*k+2):]
	for c := range 3 {
		b[c], b[c+3] = min(l[c], r[c]), max(l[c+3], r[c+3])
	}
}

// Closest answers the point of the surface nearest to p, and false when none is
// within limit metres.
func (s *Triangles) Closest(p space.Vec, limit float64) (hit Hit, ok bool) {
	work := math.MaxInt
	return s.ClosestWithin(p, limit, &work)
}

// ClosestWithin is Closest, counting the boxes and triangles it looks at off the work that is left: in
// a heap of large triangles every place lies near them all. It answers false where nothing
// is left.
func (s *Triangles) ClosestWithin(p space.Vec, limit float64, work *int) (hit Hit, ok bool) {
	t := s.tree
	best := limit * limit
	var d descent
	d.begin(t)
	for d.more() {
		n := d.take()
		if *work--; *work < 0 {
			return hit, false
		}
		// Boxes are exact; the distance to one is worked out in float64, so that
		// nothing at the limit is lost by rounding.
		if boxSquare64(t.box(n.k), p) > best {
			continue
		}
		if d.isLeaf(n) {
			if *work -= n.hi - n.lo; *work < 0 {
				return hit, false
			}
			for i := n.lo; i < n.hi; i++ {
				id := t.id[i]
				a, b, c := space.At(s.points, s.triangles[3*id]), space.At(s.points, s.triangles[3*id+1]), space.At(s.points, s.triangles[3*id+2])
				u := closestOnTriangle(p, a, b, c)
				q := space.Vec{u[0]*a[0] + u[1]*b[0] + u[2]*c[0], u[0]*a[1] + u[1]*b[1] + u[2]*c[1], u[0]*a[2] + u[1]*b[2] + u[2]*c[2]}
				way := p.Sub(q)
				if square := way.Dot(way); square < best || square == best && (!ok || int(id) < hit.Triangle) {
					best, ok = square, true
					hit = Hit{int(id), u, q, math.Sqrt(square)}
				}
			}
			continue
		}
		near, far := n.halves()
		if boxSquare64(t.box(near.k), p) > boxSquare64(t.box(far.k), p) {
			near, far = far, near
		}
		d.put(far, near)
	}
	return hit, ok
}

func boxSquare64(b []float32, p space.Vec) (square float64) {
	for c := range 3 {
		if lo, hi := float64(b[c]), float64(b[c+3]); p[c] < lo {
			square += (lo - p[c]) * (lo - p[c])
		} else if p[c] > hi {
			square += (p[c] - hi) * (p[c] - hi)
		}
	}
	return square
}

// closestOnTriangle answers the barycentric coordinates of the point of triangle
// a b c nearest to p: by the region of the plane it lies over (Ericson, Real-Time
// Collision Detection 2005, §5.1.5). A triangle without area gives the nearest
// point of one of its edges.
func closestOnTriangle(p, a, b, c space.Vec) space.Vec {
	ab, ac, ap := b.Sub(a), c.Sub(a), p.Sub(a)
	d1, d2 := ab.Dot(ap), ac.Dot(ap)
	if d1 <= 0 && d2 <= 0 {
		return space.Vec{1, 0, 0}
	}
	bp := p.Sub(b)
	d3, d4 := ab.Dot(bp), ac.Dot(bp)
	if d3 >= 0 && d4 <= d3 {
		return space.Vec{0, 1, 0}
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 && d1 != d3 {
		v := d1 / (d1 - d3)
		return space.Vec{1 - v, v, 0}
	}
	cp := p.Sub(c)
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return space.Vec{0, 0, 1}
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 && d2 != d6 {
		w := d2 / (d2 - d6)
		return space.Vec{1 - w, 0, w}
	}
	va := d3*d6 - d5*d4
	if e := (d4 - d3) + (d5 - d6); va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 && e != 0 {
		w := (d4 - d3) / e
		return space.Vec{0, 1 - w, w}
	}
	if sum := va + vb + vc; sum > 0 {
		return space.Vec{va / sum, vb / sum, vc / sum}
	}
	return space.Vec{1, 0, 0}
}
