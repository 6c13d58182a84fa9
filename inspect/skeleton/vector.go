package skeleton

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// factor is the scale of a matrix: the cube root of its determinant, negative when
// it mirrors.
func factor(m *rig.Affine) float64 { return math.Cbrt(m.Det()) }

// shear is how far a matrix draws squares askew: the largest cosine between the images
// of two directions that stand square to each other, whichever they are. With the
// largest and least stretch a and b it is (a² − b²) ÷ (a² + b²); 0 for turns and even
// scales, and the factor itself for a small shear. Eigenvalues of a symmetric matrix in
// closed form: Smith 1961.
func shear(m *rig.Affine) float64 {
	var c [3]space.Vec
	for i := range 3 {
		c[i] = space.Vec{m[i], m[4+i], m[8+i]}
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
func columns(m *rig.Affine) (c [3]space.Vec) {
	for i := range 3 {
		c[i] = space.Direction(space.Vec{m[i], m[4+i], m[8+i]})
	}
	return c
}
