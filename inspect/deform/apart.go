package deform

import "rigloupe/inspect/rig"

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
	real, dual = dualOf(&r, a[3], a[7], a[11])
	return real, dual, stretch
}
