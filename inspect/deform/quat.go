package deform

import "math"

// Quaternions are [4]float64, x y z w, as glTF stores them.

// Unit scales a quaternion to length 1, and answers false when it has no
// direction (zero, infinite or not a number).
func Unit(q [4]float64) ([4]float64, bool) {
	l := math.Sqrt(q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3])
	if !(l > 0) || math.IsInf(l, 0) {
		return q, false
	}
	return [4]float64{q[0] / l, q[1] / l, q[2] / l, q[3] / l}, true
}

// Slerp turns from one unit quaternion to another at even speed, the short way
// round. Source: glTF 2.0, Appendix C, Spherical Linear Interpolation.
func Slerp(a, b [4]float64, t float64) [4]float64 {
	d := a[0]*b[0] + a[1]*b[1] + a[2]*b[2] + a[3]*b[3]
	sign := 1.0
	if d < 0 {
		d, sign = -d, -1
	}
	ka, kb := 1-t, sign*t
	// arccos loses all its digits nearer than this; the straight line is then off by
	// less than 1e-13 of the angle.
	if d < 1-1e-13 {
		angle := math.Acos(d)
		k := 1 / math.Sin(angle)
		ka, kb = math.Sin(angle*(1-t))*k, sign*math.Sin(angle*t)*k
	}
	return [4]float64{ka*a[0] + kb*b[0], ka*a[1] + kb*b[1], ka*a[2] + kb*b[2], ka*a[3] + kb*b[3]}
}

// Angle is the turn between two rotations in radians, 0 to π. It keeps its digits
// for small angles, where the arc cosine of the dot product has none left.
func Angle(a, b [4]float64) float64 {
	// vector and scalar part of a*·b
	x := a[3]*b[0] - a[0]*b[3] - a[1]*b[2] + a[2]*b[1]
	y := a[3]*b[1] - a[1]*b[3] - a[2]*b[0] + a[0]*b[2]
	z := a[3]*b[2] - a[2]*b[3] - a[0]*b[1] + a[1]*b[0]
	w := a[3]*b[3] + a[0]*b[0] + a[1]*b[1] + a[2]*b[2]
	return 2 * math.Atan2(math.Sqrt(x*x+y*y+z*z), math.Abs(w))
}

// Times is a·b: b turns first.
func Times(a, b [4]float64) [4]float64 {
	return [4]float64{
		a[3]*b[0] + a[0]*b[3] + a[1]*b[2] - a[2]*b[1],
		a[3]*b[1] - a[0]*b[2] + a[1]*b[3] + a[2]*b[0],
		a[3]*b[2] + a[0]*b[1] - a[1]*b[0] + a[2]*b[3],
		a[3]*b[3] - a[0]*b[0] - a[1]*b[1] - a[2]*b[2],
	}
}
