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

// shear is how far a matrix draws squares askew: the largest cosine between the images
// of two directions that stand square to each other, whichever they are. With the
// largest and least stretch a and b it is (a² − b²) ÷ (a² + b²); 0 for turns and even
// scales, and the factor itself for a small shear. Eigenvalues of a symmetric matrix in
// closed form: Smith 1961.
func shear(m *rig.Affine) float64 {
	var c [3]vec
	for i := range 3 {
		c[i] = vec{m[i], m[4+i], m[8+i]}
	}
	xx, yy, zz := c[0].Dot(c[0]), c[1].Dot(c[1]), c[2].Dot(c[2])
	xy, xz, yz := c[0].Dot(c[1]), c[0].Dot(c[2]), c[1].Dot(c[2])
	mean := (xx + yy + zz) / 3
	p := math.Sqrt(((xx-mean)*(xx-mean) + (yy-mean)*(yy-mean) + (zz-mean)*(zz-mean) + 2*(xy*xy+xz*xz+yz*yz)) / 6)
	if !(p > 0) {
		return 0
	}
	ax, ay, az := (xx-mean)/p, (yy-mean)/p, (zz-mean)/p
	bx, by, bz := xy/p, xz/p, yz/p
	half := (ax*(ay*az-bz*bz) - bx*(bx*az-bz*by) + by*(bx*bz-ay*by)) / 2
	angle := math.Acos(max(-1, min(1, half))) / 3
	most := mean + 2*p*math.Cos(angle)
	least := max(0, mean+2*p*math.Cos(angle+2*math.Pi/3))
	return (most - least) / (most + least)
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
