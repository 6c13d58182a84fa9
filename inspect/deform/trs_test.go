package deform

import (
	"testing"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func norm(x, y, z, w float64) [4]float64 {
	q, _ := space.UnitQuat(space.FromXYZW([4]float64{x, y, z, w}))
	return space.XYZW(q)
}

// W34 (worked number): the mirror image in x = 0 of a rotation is x −y −z w, equal
// to M·R·M exactly.
func TestW34Mirror(t *testing.T) {
	a := norm(.1, .2, .3, .9)
	near(t, "W34", a[:], []float64{0.102598, 0.205196, 0.307794, 0.923381}, 1e-6)
	r := rig.TRS{R: a, S: [3]float64{1, 1, 1}}
	l := rig.TRS{R: [4]float64{a[0], -a[1], -a[2], a[3]}, S: [3]float64{1, 1, 1}}
	m := rig.Affine{0: -1, 5: 1, 10: 1}
	right, left := r.Affine(), l.Affine()
	both := m.Mul(&right)
	both = both.Mul(&m)
	if both != left {
		t.Errorf("W34: M·R·M = %v, mirrored quaternion gives %v", both, left)
	}
}

// W35 (worked number): composing, applying and inverting T·R·S.
func TestW35TRS(t *testing.T) {
	trs := rig.TRS{T: [3]float64{1, -2, 3}, R: norm(.1, .2, .3, .9), S: [3]float64{2, .5, 1.5}}
	m := trs.Affine()
	near(t, "rows", m[:], []float64{
		1.452632, -0.263158, 0.663158, 1,
		1.221053, 0.394737, -0.094737, -2,
		-0.631579, 0.157895, 1.342105, 3,
	}, 1e-6)
	near(t, "determinant", []float64{m.Det()}, []float64{1.5}, 1e-12)
	p := m.Point([3]float64{1, 1, 1})
	near(t, "point", p[:], []float64{2.852632, -0.478947, 3.868421}, 1e-6)
	inv, ok := m.Inverse()
	if !ok {
		t.Fatal("W35 has an inverse")
	}
	near(t, "inverse", inv[:], []float64{
		0.363158, 0.305263, -0.157895, 0.721053,
		-1.052632, 1.578947, 0.631579, 2.315789,
		0.294737, -0.042105, 0.596491, -2.168421,
	}, 1e-6)
}
