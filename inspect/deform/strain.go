package deform

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/space"
)

// Gradient answers the 2×2 deformation gradient of a triangle, row by row: it takes
// edges of the rest triangle to edges of the moved one, each in a frame of its own
// plane whose first axis runs along the first edge. false when the rest triangle has
// no area to speak of (space.Needle).
//
// Source: membrane strain in the plane of a triangle, e.g. Bonet, Wood, Nonlinear
// Continuum Mechanics for Finite Element Analysis (2008), §4.
func Gradient(rest, moved [3]mgl64.Vec3) (f [4]float64, ok bool) {
	if space.Slimness(rest[0], rest[1], rest[2]) < space.Needle {
		return f, false
	}
	rx, rs, rh := flat(rest)
	mx, ms, mh := flat(moved)
	a := mx / rx
	return [4]float64{a, (ms - a*rs) / rh, 0, mh / rh}, true
}

// flat lays a triangle into its plane: corners at (0, 0), (x, 0), (s, h) with x and h
// never negative.
func flat(t [3]mgl64.Vec3) (x, s, h float64) {
	u, v := t[1].Sub(t[0]), t[2].Sub(t[0])
	if x = u.Len(); x == 0 {
		return 0, 0, v.Len()
	}
	s = u.Dot(v) / x
	return x, s, u.Cross(v).Len() / x
}

// Principal answers the singular values of a 2×2 matrix, row by row, the larger
// first: how far it stretches at most and at least. Closed form.
func Principal(f [4]float64) (most, least float64) {
	a, b, c, d := f[0], f[1], f[2], f[3]
	sum, dif, mix := a*a+b*b+c*c+d*d, a*a+b*b-c*c-d*d, a*c+b*d
	most = math.Sqrt((sum + math.Sqrt(dif*dif+4*mix*mix)) / 2)
	if most == 0 {
		return 0, 0
	}
	// From the determinant: the difference under the root loses the small one.
	return most, math.Abs(a*d-b*c) / most
}

// Strain is a rest triangle made ready to measure its stretch again and again: the
// inverse of its two edges, laid flat.
type Strain struct{ a, b, c float64 }

// NewStrain answers false for a triangle without area to speak of.
func NewStrain(rest [3]mgl64.Vec3) (Strain, bool) {
	slim, u, v, twice := space.Slim(rest[0], rest[1], rest[2])
	if !(slim >= space.Needle) {
		return Strain{}, false
	}
	// As flat lays it, of what was worked out already: every triangle of a file comes by.
	x := u.Len()
	s, h := u.Dot(v)/x, twice/x
	return Strain{1 / x, -s / (x * h), 1 / h}, true
}

// Squares answers the squared principal stretches, the larger first, for the moved
// edges u (corner 0 to 1) and v (corner 0 to 2): the eigenvalues of FᵀF, so that the
// moved triangle needs no frame. Scalars, not vectors: arrays are kept in memory, and
// this is the inner loop.
func (s *Strain) Squares(ux, uy, uz, vx, vy, vz float64) (most, least float64) {
	uu, uv, vv := ux*ux+uy*uy+uz*uz, ux*vx+uy*vy+uz*vz, vx*vx+vy*vy+vz*vz
	p := s.a * s.a * uu
	q := s.a * (s.b*uu + s.c*uv)
	r := s.b*s.b*uu + 2*s.b*s.c*uv + s.c*s.c*vv
	return space.Stretches(p, q, r)
}

// Within tells that the larger of Squares is surely no more than limit: both eigenvalues
// of FᵀF are where limit − FᵀF has a diagonal and a determinant that are not negative.
// There is no root in it. False means nothing for what lies within a millionth of limit.
func (s *Strain) Within(limit, ux, uy, uz, vx, vy, vz float64) bool {
	uu, uv, vv := ux*ux+uy*uy+uz*uz, ux*vx+uy*vy+uz*vz, vx*vx+vy*vy+vz*vz
	q := s.a * (s.b*uu + s.c*uv)
	limit *= 1 - 1e-6
	p := limit - s.a*s.a*uu
	r := limit - (s.b*s.b*uu + 2*s.b*s.c*uv + s.c*s.c*vv)
	return p >= 0 && r >= 0 && p*r >= q*q
}
