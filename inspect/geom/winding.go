package geom

import "math"

// Winding answers how often a surface goes round a point: 1 inside a closed shell,
// 0 outside, a number between near holes (generalised winding number, Jacobson,
// Kavan, Sorkine-Hornung 2013). It adds up the solid angles of the triangles (Van
// Oosterom, Strackee 1983) and takes linear time.
func Winding(points []float32, triangles []uint32, p [3]float64) float64 {
	sum := 0.0
	for t := 0; t+2 < len(triangles); t += 3 {
		a, b, c := sub(at(points, triangles[t]), p), sub(at(points, triangles[t+1]), p), sub(at(points, triangles[t+2]), p)
		la, lb, lc := norm(a), norm(b), norm(c)
		x := dot(a, cross(b, c))
		y := la*lb*lc + dot(a, b)*lc + dot(b, c)*la + dot(c, a)*lb
		if x != 0 || y < 0 { // in the plane of a triangle but not on it: no angle
			sum += 2 * math.Atan2(x, y)
		}
	}
	return sum / (4 * math.Pi)
}
