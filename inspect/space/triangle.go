package space

import "math"

// Needle is the slimness under which a triangle has no area to speak of: what is measured
// across its length, a stretch or a normal, is rounding (common practice, no source; at
// an edge of 1 cm a height of 1 µm, ten steps of a float32 at 1 m).
const Needle = 1e-4

// Slimness is the height of a triangle over its longest edge: √3/2 where all edges are
// alike, 0 where it has no area.
func Slimness(a, b, c Vec) float64 {
	u, v, w := Plain(b).Sub(Plain(a)), Plain(c).Sub(Plain(a)), Plain(c).Sub(Plain(b))
	long := max(u.Dot(u), v.Dot(v), w.Dot(w))
	if !(long > 0) || math.IsInf(long, 0) {
		return 0
	}
	return u.Cross(v).Len() / long // base × height ÷ base²
}

// Stretches are the squares of how far a linear map of a plane stretches at most and at
// least, of the Gram matrix (p q; q r) of its two columns: the eigenvalues of that.
func Stretches(p, q, r float64) (most, least float64) {
	d := p - r
	most = (p + r + math.Sqrt(d*d+4*q*q)) / 2
	if most > 0 { // from the determinant: the difference under the root loses the small one
		least = max(0, (p*r-q*q)/most)
	}
	return most, least
}
