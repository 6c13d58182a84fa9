package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Plane is the set of points with Normal·x = Offset. Normal is a unit vector.
type Plane struct {
	Normal space.Vec
	Offset float64
}

// Side is the signed distance of a point from the plane.
func (p *Plane) Side(x space.Vec) float64 { return p.Normal.Dot(x) - p.Offset }

// Reflect answers the mirror image of a point: x − 2(n·x − d)n (Householder).
func (p *Plane) Reflect(x space.Vec) space.Vec {
	k := 2 * p.Side(x)
	return space.Vec{x[0] - k*p.Normal[0], x[1] - k*p.Normal[1], x[2] - k*p.Normal[2]}
}

// Matrix is the reflection as a 3×4 matrix, row by row: I − 2nnᵀ | 2dn.
func (p *Plane) Matrix() (m [12]float64) {
	for r := range 3 {
		for c := range 3 {
			m[4*r+c] = -2 * p.Normal[r] * p.Normal[c]
		}
		m[5*r]++
		m[4*r+3] = 2 * p.Offset * p.Normal[r]
	}
	return m
}

// Foot is the point of the plane nearest to x.
func (p *Plane) Foot(x space.Vec) space.Vec {
	k := p.Side(x)
	return space.Vec{x[0] - k*p.Normal[0], x[1] - k*p.Normal[1], x[2] - k*p.Normal[2]}
}

// pairSums gathers pairs (p, q) with weights and answers the plane that carries p
// closest to q in least squares. With both centred, the sum of |q − Rp|² over
// R = I − 2nnᵀ is smallest where nᵀ(Σ w p qᵀ)n is: at the eigenvector of the
// symmetric part with the smallest value. The plane holds the middle of the
// centres. (Closed form, derived; pairs as in Mitra, Guibas, Pauly 2006.)
type pairSums struct {
	weight float64
	p, q   space.Vec
	pq     [9]float64
}

func (s *pairSums) add(p, q space.Vec, w float64) {
	s.weight += w
	for i := range 3 {
		s.p[i] += w * p[i]
		s.q[i] += w * q[i]
		for j := range 3 {
			s.pq[3*i+j] += w * p[i] * q[j]
		}
	}
}

func (s *pairSums) plane() (Plane, bool) {
	if !(s.weight > 0) {
		return Plane{}, false
	}
	var c [9]float64
	for i := range 3 {
		for j := range 3 {
			c[3*i+j] = s.pq[3*i+j]/s.weight - s.p[i]/s.weight*s.q[j]/s.weight
		}
	}
	axes, _ := Axes([6]float64{c[0], (c[1] + c[3]) / 2, (c[2] + c[6]) / 2, c[4], (c[5] + c[7]) / 2, c[8]})
	return planeThrough(axes[2], space.Vec{
		(s.p[0] + s.q[0]) / (2 * s.weight), (s.p[1] + s.q[1]) / (2 * s.weight), (s.p[2] + s.q[2]) / (2 * s.weight)}), true
}

// planeThrough holds the point x. The normal's largest coordinate is positive, so
// that one plane is written in one way.
func planeThrough(n, x space.Vec) Plane {
	l := n.Len()
	if !(l > 0) || math.IsInf(l, 0) {
		return Plane{}
	}
	big := 0
	for c := range 3 {
		n[c] /= l
		if math.Abs(n[c]) > math.Abs(n[big])+1e-12 {
			big = c
		}
	}
	if n[big] < 0 {
		n = space.Vec{-n[0], -n[1], -n[2]}
	}
	for c := range 3 {
		n[c] += 0 // no minus zeros
	}
	return Plane{n, n.Dot(x)}
}
