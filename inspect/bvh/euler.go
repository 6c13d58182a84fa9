package bvh

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// turned is how far a rotation turns, radians; it keeps its digits for small ones.
func turned(m *mgl64.Mat3) float64 {
	s := math.Hypot(math.Hypot(m.At(2, 1)-m.At(1, 2), m.At(0, 2)-m.At(2, 0)), m.At(1, 0)-m.At(0, 1))
	return math.Atan2(s, m.Trace()-1)
}

// unscaled is the rotation of a transform: columns made unit and square to each
// other, the first one kept; a mirrored one has its third column turned round. A
// transform without extent answers no turn.
func unscaled(m *rig.Affine) mgl64.Mat3 {
	x, y := space.Vec{m[0], m[4], m[8]}, space.Vec{m[1], m[5], m[9]}
	lx := x.Len()
	if !(lx > 0) {
		return mgl64.Ident3()
	}
	for c := range x {
		x[c] /= lx
	}
	d := x.Dot(y)
	for c := range y {
		y[c] -= d * x[c]
	}
	ly := y.Len()
	if !(ly > 0) {
		return mgl64.Ident3()
	}
	for c := range y {
		y[c] /= ly
	}
	z := x.Cross(y)
	return mgl64.Mat3FromCols(x, y, z)
}

// order of three rotations about different axes, the first outermost.
type order struct {
	axes  [3]int
	names string
}

// orders in which angles are written; the first is taken unless it comes near the
// place where its outer and inner axis fall together.
var orders = [...]order{
	{[3]int{2, 0, 1}, "Zrotation Xrotation Yrotation"},
	{[3]int{2, 1, 0}, "Zrotation Yrotation Xrotation"},
	{[3]int{0, 1, 2}, "Xrotation Yrotation Zrotation"},
}

// near90 is the sine of the middle angle beyond which an order is left: at 80° the
// digits of a float32 quaternion still reach a ten-thousandth of a degree.
const near90 = 0.985

// chooseOrder takes the first order whose middle angle stays away from 90°, else the
// one that stays farthest away.
func chooseOrder(list []mgl64.Mat3) int {
	best, least := 0, math.Inf(1)
	for i := range orders {
		worst := 0.0
		for k := range list {
			worst = max(worst, math.Abs(orders[i].sine(&list[k])))
		}
		if worst <= near90 {
			return i
		}
		if worst < least-1e-4 {
			best, least = i, worst
		}
	}
	return best
}

// sign is +1 for the even orders (XYZ, YZX, ZXY), −1 for the odd ones.
func (o *order) sign() float64 {
	if (o.axes[0]+1)%3 == o.axes[1] {
		return 1
	}
	return -1
}

// sine is that of the middle angle.
func (o *order) sine(m *mgl64.Mat3) float64 { return o.sign() * m.At(o.axes[0], o.axes[2]) }

// angles takes a rotation R = R_i(a)·R_j(b)·R_k(c) apart, radians: with e = ±1 for
// even and odd orders, sin b = e·R_ik, a = atan2(−e·R_jk, R_kk), c = atan2(−e·R_ij,
// R_ii). Where b is 90° only a ± c is given: c is then 0.
func (o *order) angles(m *mgl64.Mat3) [3]float64 {
	i, j, k, e := o.axes[0], o.axes[1], o.axes[2], o.sign()
	s := max(-1, min(1, o.sine(m)))
	b := math.Atan2(s, math.Hypot(m.At(i, i), m.At(i, j)))
	if math.Abs(s) > 1-1e-12 {
		return [3]float64{math.Atan2(e*m.At(k, j), m.At(j, j)), b, 0}
	}
	return [3]float64{math.Atan2(-e*m.At(j, k), m.At(k, k)), b, math.Atan2(-e*m.At(i, j), m.At(i, i))}
}
