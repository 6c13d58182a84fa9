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
	tree    *Tree
	corners []float32 // 9 a triangle, in the order of the tree's leaves
	sheet   []sheet   // by node of the tree
}

// sheet is what the triangles below one node are from afar.
type sheet struct {
	middle space.Vec // of their area
	area   space.Vec // vector: half the sum of the cross products
	far    float64   // square of the distance from the middle beyond which it counts as one
}

// farOff is how many reaches away a box counts as one sheet: then errors stay under 0.02
// (around_test.go), which is little against the half that parts inside from outside.
const farOff = 3

// NewWindings leaves both slices alone; triangles with a corner that is not finite have no
// angle.
func NewWindings(points []float32, triangles []uint32, watch *Watch) *Windings {
	return newTriangles(points, triangles, watch).Windings(watch)
}

// Windings stand on the tree that finds closest points, too.
func (s *Triangles) Windings(watch *Watch) *Windings {
	t, points, triangles := s.tree, s.points, s.triangles
	w := &Windings{tree: t, corners: make([]float32, 0, 9*len(t.id)), sheet: make([]sheet, len(t.boxes)/6)}
	watch.Spend(len(triangles))
	for _, id := range t.id {
		for _, v := range triangles[3*id : 3*id+3] {
			w.corners = append(w.corners, points[3*v:3*v+3]...)
		}
	}
	if len(t.id) > 0 {
		w.gather(0, 0, len(t.id), t.depth)
	}
	return w
}

// gather fills in a node and all below it; it answers the sum of the areas.
func (w *Windings) gather(k, lo, hi, depth int) (sum float64) {
	t, s := w.tree, &w.sheet[k]
	if depth == 0 {
		for i := lo; i < hi; i++ {
			a, b, c := space.At(w.corners, 3*i), space.At(w.corners, 3*i+1), space.At(w.corners, 3*i+2)
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
	s.far = farOff * farOff * far.Dot(far)
	return sum
}

// At answers the winding number at a point, within 0.02.
//
// The angles of triangles are not taken one by one: the complex numbers that have them are
// multiplied and the angle of the product is taken once, with the turns that it went round
// counted. The vectors are written out: this is most of the time of a proposed skeleton.
func (w *Windings) At(p space.Vec) float64 {
	px, py, pz := p[0], p[1], p[2]
	sum := 0.0
	all := turning{re: 1}
	var d descent
	d.begin(w.tree)
	for d.more() {
		n := d.take()
		s := &w.sheet[n.k]
		x, y, z := s.middle[0]-px, s.middle[1]-py, s.middle[2]-pz
		square := x*x + y*y + z*z
		switch {
		case square > s.far:
			sum += (s.area[0]*x + s.area[1]*y + s.area[2]*z) / (square * math.Sqrt(square))
		case d.isLeaf(n):
			for c := w.corners[9*n.lo : 9*n.hi]; len(c) >= 9; c = c[9:] {
				ax, ay, az := float64(c[0])-px, float64(c[1])-py, float64(c[2])-pz
				bx, by, bz := float64(c[3])-px, float64(c[4])-py, float64(c[5])-pz
				cx, cy, cz := float64(c[6])-px, float64(c[7])-py, float64(c[8])-pz
				la, lb, lc := math.Sqrt(ax*ax+ay*ay+az*az), math.Sqrt(bx*bx+by*by+bz*bz), math.Sqrt(cx*cx+cy*cy+cz*cz)
				all.turn(
					la*lb*lc+(ax*bx+ay*by+az*bz)*lc+(bx*cx+by*cy+bz*cz)*la+(cx*ax+cy*ay+cz*az)*lb,
					ax*(by*cz-bz*cy)+ay*(bz*cx-bx*cz)+az*(bx*cy-by*cx))
			}
			all.shorten()
		default:
			d.put(n.halves())
		}
	}
	return (sum + 2*all.angle()) / (4 * math.Pi)
}

// turning is a sum of angles, each within half a turn: a complex number whose angle it is,
// but for whole turns.
type turning struct {
	re, im float64
	turns  int
}

// turn adds the angle of re + i·im. A number on the real axis from 0 on has none, as for
// solidAngle. Two angles of one sign may go beyond half a turn, and did so if the product has
// the other sign; two of different signs can not, and near the end of their range no
// difference is taken, so that rounding makes no turn of its own.
func (t *turning) turn(re, im float64) {
	if im == 0 && re >= 0 {
		return
	}
	was := t.im
	t.re, t.im = t.re*re-was*im, t.re*im+was*re+0 // never −0: half a turn has the sign of what is above
	switch {
	case was >= 0 && im >= 0 && (t.im < 0 || t.im == 0 && t.re > 0 && re < 0): // the second: half a turn twice
		t.turns++
	case was < 0 && im < 0 && t.im >= 0:
		t.turns--
	}
}

// shorten keeps the number within what float64 holds.
func (t *turning) shorten() {
	if l := max(math.Abs(t.re), math.Abs(t.im)); l > 0 {
		t.re, t.im = t.re/l, t.im/l
	}
}

func (t *turning) angle() float64 { return math.Atan2(t.im, t.re) + 2*math.Pi*float64(t.turns) }
