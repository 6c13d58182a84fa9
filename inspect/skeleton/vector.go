package skeleton

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

type vec = mgl64.Vec3

func distance(a, b [3]float64) float64 { return vec(a).Sub(b).Len() }

// unit answers the direction of a vector, zero when it has none.
func unit(v vec) vec {
	l := v.Len()
	if !(l > 0) || math.IsInf(l, 0) {
		return vec{}
	}
	return v.Mul(1 / l)
}

// between is the angle of two vectors, degrees, good for small angles too.
func between(a, b vec) float64 {
	return math.Atan2(a.Cross(b).Len(), a.Dot(b)) * 180 / math.Pi
}

// turn is the angle of the rotation in a matrix, degrees; scale and shear aside.
func turn(m *rig.Affine) float64 {
	q := m.Decompose().R
	return 2 * math.Atan2(math.Sqrt(q[0]*q[0]+q[1]*q[1]+q[2]*q[2]), math.Abs(q[3])) * 180 / math.Pi
}

// factor is the scale of a matrix: the cube root of its determinant, negative when
// it mirrors.
func factor(m *rig.Affine) float64 { return math.Cbrt(m.Det()) }

// shear is the largest cosine between two columns.
func shear(m *rig.Affine) (worst float64) {
	c := columns(m)
	for i := range 3 {
		worst = max(worst, math.Abs(c[i].Dot(c[(i+1)%3])))
	}
	return worst
}

// columns are the three axes of a matrix, unit; zero where they have no length.
func columns(m *rig.Affine) (c [3]vec) {
	for i := range 3 {
		c[i] = unit(vec{m[i], m[4+i], m[8+i]})
	}
	return c
}

// segmentDistance is how far p lies from the line from a to b.
func segmentDistance(p, a, b vec) float64 {
	d := b.Sub(a)
	k := 0.0
	if l := d.Dot(d); l > 0 {
		k = max(0, min(1, p.Sub(a).Dot(d)/l))
	}
	return p.Sub(a.Add(d.Mul(k))).Len()
}

// median of values, which it sorts in place; NaN when there are none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	if n := len(v); n%2 == 0 {
		return (v[n/2-1] + v[n/2]) / 2
	}
	return v[len(v)/2]
}
