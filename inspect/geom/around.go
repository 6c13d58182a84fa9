package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Windings answers Winding at many points in about the logarithm of the triangles each:
// what lies far off counts as one small sheet with the area vectors of its triangles
// added up, the rest triangle by triangle (fast winding numbers: Barill, Dickson, Schmidt,
// Levin, Jacobson 2018, first order).
type Windings struct {
	s     *Triangles
	sheet []sheet // by node of the tree
}

// sheet is what the triangles below one node are from afar.
type sheet struct {
	middle space.Vec // of their area
	area   space.Vec // vector: half the sum of the cross products
	reach  float64   // of their corners from the middle
}

// farOff is how many reaches away a box counts as one sheet: then errors stay under 0.02
// (around_test.go), which is little against the half that parts inside from outside.
const farOff = 3

// NewWindings keeps both slices; triangles with a corner that is not finite have no angle.
func NewWindings(points []float32, triangles []uint32, watch *Watch) *Windings {
	w := &Windings{s: newTriangles(points, triangles, watch)}
	t := w.s.tree
	w.sheet = make([]sheet, len(t.boxes)/6)
	if len(t.id) > 0 {
		w.gather(0, 0, len(t.id), t.depth)
	}
	return w
}

func (w *Windings) corners(id uint32) (a, b, c space.Vec) {
	v := w.s.triangles[3*id : 3*id+3]
	return space.At(w.s.points, v[0]), space.At(w.s.points, v[1]), space.At(w.s.points, v[2])
}

// gather fills in a node and all below it; it answers the sum of the areas.
func (w *Windings) gather(k, lo, hi, depth int) (sum float64) {
	t, s := w.s.tree, &w.sheet[k]
	if depth == 0 {
		for _, id := range t.id[lo:hi] {
			a, b, c := w.corners(id)
			n := b.Sub(a).Cross(c.Sub(a)).Mul(0.5)
			l := n.Len()
			s.area, sum = s.area.Add(n), sum+l
			s.middle = s.middle.Add(a.Add(b).Add(c).Mul(l / 3))
		}
	} else {
		mid := int(uint(lo+hi) / 2)
		l, r := w.gather(2*k+1, lo, mid, depth-1), w.gather(2*k+2, mid, hi, depth-1)
		x, y := &w.sheet[2*k+1], &w.sheet[2*k+2]
		s.area, sum = x.area.Add(y.area), l+r
		s.middle = x.middle.Mul(l).Add(y.middle.Mul(r))
	}
	b := t.boxes[6*k : 6*k+6]
	lower, upper := space.Vec{float64(b[0]), float64(b[1]), float64(b[2])}, space.Vec{float64(b[3]), float64(b[4]), float64(b[5])}
	if sum > 0 {
		s.middle = s.middle.Mul(1 / sum)
	} else {
		s.middle = lower.Add(upper).Mul(0.5)
	}
	var far space.Vec
	for c := range 3 {
		far[c] = max(s.middle[c]-lower[c], upper[c]-s.middle[c])
	}
	s.reach = far.Len()
	return sum
}

// At answers the winding number at a point, within 0.02.
func (w *Windings) At(p space.Vec) float64 {
	t := w.s.tree
	sum := 0.0
	var d descent
	d.begin(t)
	for d.more() {
		n := d.take()
		s := &w.sheet[n.k]
		way := s.middle.Sub(p)
		square := way.Dot(way)
		switch {
		case square > farOff*farOff*s.reach*s.reach:
			sum += s.area.Dot(way) / (square * math.Sqrt(square))
		case d.isLeaf(n):
			for _, id := range t.id[n.lo:n.hi] {
				a, b, c := w.corners(id)
				sum += solidAngle(a.Sub(p), b.Sub(p), c.Sub(p))
			}
		default:
			d.put(n.halves())
		}
	}
	return sum / (4 * math.Pi)
}
