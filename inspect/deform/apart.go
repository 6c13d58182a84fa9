package deform

import (
	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// Apart takes a joint matrix apart as Dual does: first a stretch (3×3, row by row),
// then a rotation and a translation as a dual quaternion, real part x y z w, then the
// dual part, ½ t·q. A matrix that flattens space gives no turn.
func Apart(a *rig.Affine) (real, dual [4]float64, stretch [9]float64) {
	m := a.Float32()
	r := rotation(&m)
	for row := range 3 {
		for col := range 3 {
			stretch[3*row+col] = r[row]*a[col] + r[3+row]*a[4+col] + r[6+row]*a[8+col]
		}
	}
	q := mgl64.Mat4ToQuat(mgl64.Mat4{
		r[0], r[3], r[6], 0,
		r[1], r[4], r[7], 0,
		r[2], r[5], r[8], 0,
		0, 0, 0, 1,
	}).Normalize()
	x, y, z, w := q.V[0], q.V[1], q.V[2], q.W
	tx, ty, tz := a[3], a[7], a[11]
	return [4]float64{x, y, z, w}, [4]float64{
		(tx*w + ty*z - tz*y) / 2,
		(ty*w + tz*x - tx*z) / 2,
		(tz*w + tx*y - ty*x) / 2,
		-(tx*x + ty*y + tz*z) / 2,
	}, stretch
}
