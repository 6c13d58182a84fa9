package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Winding answers how often a surface goes round a point: 1 inside a closed shell,
// 0 outside, a number between near holes (generalised winding number, Jacobson,
// Kavan, Sorkine-Hornung 2013). It adds up the solid angles of the triangles and takes
// linear time; for many points see Windings.
func Winding(points []float32, triangles []uint32, p space.Vec) float64 {
	sum := 0.0
	for t := 0; t+2 < len(triangles); t += 3 {
		sum += solidAngle(space.At(points, triangles[t]).Sub(p), space.At(points, triangles[t+1]).Sub(p), space.At(points, triangles[t+2]).Sub(p))
	}
	return sum / (4 * math.Pi)
}

// solidAngle is that of a triangle seen from the origin, with its sign (Van Oosterom,
// Strackee 1983). In its plane but not on it there is none.
func solidAngle(a, b, c space.Vec) float64 {
	la, lb, lc := a.Len(), b.Len(), c.Len()
	x := a.Dot(b.Cross(c))
	y := la*lb*lc + a.Dot(b)*lc + b.Dot(c)*la + c.Dot(a)*lb
	if x != 0 || y < 0 {
		return 2 * math.Atan2(x, y)
	}
	return 0
}
