package space

import "math"

// Needle is the slimness under which a triangle has no area to speak of: what is measured
// across its length, a stretch or a normal, is rounding (common practice, no source; at
// an edge of 1 cm a height of 1 µm, ten steps of a float32 at 1 m).
const Needle = 1e-4

// Slimness is the height of a triangle over its longest edge: √3/2 where all edges are
// alike, 0 where it has no area.
func Slimness(a, b, c Vec) float64 {
	slim, _, _, _ := Slim(a, b, c)
	return slim
}

// Slim is Slimness with what it is worked out of: the edges from a to b and to c, and twice
// the area.
func Slim(a, b, c Vec) (slim float64, u, v XYZ, twice float64) {
	u, v = Plain(b).Sub(Plain(a)), Plain(c).Sub(Plain(a))
	w := Plain(c).Sub(Plain(b))
	long := max(u.Dot(u), v.Dot(v), w.Dot(w))
	if !(long > 0) || math.IsInf(long, 0) {
		return 0, u, v, 0
	}
	twice = u.Cross(v).Len() // base × height ÷ base²
	return twice / long, u, v, twice
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
