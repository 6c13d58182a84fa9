package rig

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/space"
)

// Affine is a 3×4 matrix, row by row, for column vectors: the fourth row is
// 0 0 0 1. Transforms are worked out in float64 and handed to the hot loops as
// float32 at the end.
type Affine [12]float64

// Identity moves nothing.
var Identity = Affine{0: 1, 5: 1, 10: 1}

// Mul answers a·b: b acts first.
func (a *Affine) Mul(b *Affine) (r Affine) {
	r.SetMul(a, b)
	return r
}

// SetMul makes r the product a·b; r is neither of them. In loops over poses it saves the
// copies that an answer takes.
func (r *Affine) SetMul(a, b *Affine) {
	for i := 0; i < 12; i += 4 {
		x, y, z := a[i], a[i+1], a[i+2]
		r[i] = x*b[0] + y*b[4] + z*b[8]
		r[i+1] = x*b[1] + y*b[5] + z*b[9]
		r[i+2] = x*b[2] + y*b[6] + z*b[10]
		r[i+3] = x*b[3] + y*b[7] + z*b[11] + a[i+3]
	}
}

// Point carries a point.
func (a *Affine) Point(p mgl64.Vec3) mgl64.Vec3 {
	return mgl64.Vec3{
		a[0]*p[0] + a[1]*p[1] + a[2]*p[2] + a[3],
		a[4]*p[0] + a[5]*p[1] + a[6]*p[2] + a[7],
		a[8]*p[0] + a[9]*p[1] + a[10]*p[2] + a[11],
	}
}

// Direction carries a direction: no translation.
func (a *Affine) Direction(p mgl64.Vec3) mgl64.Vec3 {
	return mgl64.Vec3{
		a[0]*p[0] + a[1]*p[1] + a[2]*p[2],
		a[4]*p[0] + a[5]*p[1] + a[6]*p[2],
		a[8]*p[0] + a[9]*p[1] + a[10]*p[2],
	}
}

// Origin is where the matrix puts 0 0 0.
func (a *Affine) Origin() mgl64.Vec3 { return mgl64.Vec3{a[3], a[7], a[11]} }

// Det is the determinant of the 3×3 part: negative when it mirrors.
func (a *Affine) Det() float64 {
	return a[0]*(a[5]*a[10]-a[6]*a[9]) - a[1]*(a[4]*a[10]-a[6]*a[8]) + a[2]*(a[4]*a[9]-a[5]*a[8])
}

// Inverse answers the inverse, and false when there is none.
func (a *Affine) Inverse() (r Affine, ok bool) {
	d := a.Det()
	if d == 0 || math.IsNaN(d) || math.IsInf(d, 0) {
		return Identity, false
	}
	k := 1 / d
	r[0], r[1], r[2] = (a[5]*a[10]-a[6]*a[9])*k, (a[2]*a[9]-a[1]*a[10])*k, (a[1]*a[6]-a[2]*a[5])*k
	r[4], r[5], r[6] = (a[6]*a[8]-a[4]*a[10])*k, (a[0]*a[10]-a[2]*a[8])*k, (a[2]*a[4]-a[0]*a[6])*k
	r[8], r[9], r[10] = (a[4]*a[9]-a[5]*a[8])*k, (a[1]*a[8]-a[0]*a[9])*k, (a[0]*a[5]-a[1]*a[4])*k
	for i := 0; i < 12; i += 4 {
		r[i+3] = -(r[i]*a[3] + r[i+1]*a[7] + r[i+2]*a[11])
	}
	return r, true
}

// Scales are the lengths of the three columns.
func (a *Affine) Scales() [3]float64 {
	var s [3]float64
	for c := range s {
		s[c] = math.Sqrt(a[c]*a[c] + a[4+c]*a[4+c] + a[8+c]*a[8+c])
	}
	return s
}

// Scale is the mean length of the columns: how much a matrix enlarges, as one number.
func (a *Affine) Scale() float64 {
	s := a.Scales()
	return (s[0] + s[1] + s[2]) / 3
}

// Turned is how far the rotation in a matrix turns, radians, 0 to π; scale and shear
// aside.
func (a *Affine) Turned() float64 { return space.Turned(space.FromXYZW(a.Decompose().R)) }

// Float32 is the matrix as the hot loops want it.
func (a *Affine) Float32() (r [12]float32) {
	for i, v := range a {
		r[i] = float32(v)
	}
	return r
}

// AffineFromColumns takes 16 numbers column by column, as glTF stores them, and
// answers the matrix and its fourth row.
func AffineFromColumns(c [16]float64) (a Affine, row [4]float64) {
	for i := range 3 {
		for j := range 4 {
			a[i*4+j] = c[j*4+i]
		}
	}
	return a, [4]float64{c[3], c[7], c[11], c[15]}
}

// Affine composes T·R·S. The rotation is taken as it is: make it unit first.
func (t *TRS) Affine() Affine {
	x, y, z, w := t.R[0], t.R[1], t.R[2], t.R[3]
	s := t.S
	return Affine{
		(1 - 2*(y*y+z*z)) * s[0], 2 * (x*y - w*z) * s[1], 2 * (x*z + w*y) * s[2], t.T[0],
		2 * (x*y + w*z) * s[0], (1 - 2*(x*x+z*z)) * s[1], 2 * (y*z - w*x) * s[2], t.T[1],
		2 * (x*z - w*y) * s[0], 2 * (y*z + w*x) * s[1], (1 - 2*(x*x+y*y)) * s[2], t.T[2],
	}
}

// Decompose takes a matrix apart into T, R and S, with shear dropped; a mirrored
// one gets a negative x scale.
func (a *Affine) Decompose() TRS {
	s := a.Scales()
	if a.Det() < 0 {
		s[0] = -s[0]
	}
	m := [9]float64{}
	for c := range 3 {
		k := 0.0
		if s[c] != 0 {
			k = 1 / s[c]
		}
		for r := range 3 {
			m[c*3+r] = a[r*4+c] * k
		}
	}
	q := mgl64.Mat4ToQuat(mgl64.Mat3(m).Mat4())
	if l := q.Len(); l > 0 && !math.IsNaN(l) {
		q = q.Scale(1 / l)
	} else {
		q = mgl64.QuatIdent()
	}
	return TRS{T: [3]float64{a[3], a[7], a[11]}, R: [4]float64{q.V[0], q.V[1], q.V[2], q.W}, S: s}
}
