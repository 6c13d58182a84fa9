package surface

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// A shell is inside out by its volume, its node's determinant and what it lies in.
func TestInsideOutLimits(t *testing.T) {
	small, smallTri := ball(2, 0.5, 0)
	beside, besideTri := ball(2, 0.5, 3)
	tiny, tinyTri := ball(2, 0.25, 0)
	pair := func(q []float32, more []uint32, turned bool) func() *rig.Rig {
		return shape(with(sphere, sphereTri, q, more, turned))
	}
	nest := func(second, third bool) func() *rig.Rig {
		p, tri := with(sphere, sphereTri, small, smallTri, second)
		return shape(with(p, tri, tiny, tinyTri, third))
	}
	all := func(from, count int) (v []rig.Vertex) {
		for i := range count {
			v = append(v, rig.Vertex(from+i))
		}
		return v
	}
	whole, n := len(sphere)/3, len(small)/3
	mirrored := place(rig.Affine{0: -1, 5: 1, 10: 1})
	checktest.Run(t, insideOut, Measure, []checktest.Row{
		{Name: "outwards", Rig: shape(sphere, sphereTri)},
		{Name: "inwards", Rig: shape(sphere, inverted(sphereTri)), Want: one(check.Flaw, "shells", 1, all(0, whole)...)},
		{Name: "outwards, under a mirror", Rig: shape(sphere, sphereTri), Plant: mirrored},
		{Name: "inwards, under a mirror", Rig: shape(sphere, inverted(sphereTri)), Plant: mirrored, Want: one(check.Flaw, "shells", 1, all(0, whole)...)},
		{Name: "open and inwards: has no inside", Rig: shape(sphere, inverted(sphereTri)[3:])},
		{Name: "a hollow", Rig: pair(small, smallTri, true)},
		{Name: "a hollow under a mirror", Rig: pair(small, smallTri, true), Plant: mirrored},
		{Name: "a ball within", Rig: pair(small, smallTri, false)},
		{Name: "inwards beside", Rig: pair(beside, besideTri, true), Want: one(check.Flaw, "shells", 1, all(whole, n)...)},
		{Name: "a ball in a hollow", Rig: nest(true, false)},
		{Name: "inwards in a hollow", Rig: nest(true, true), Want: one(check.Flaw, "shells", 1, all(whole+n, len(tiny)/3)...)},
		{Name: "a hollow in a ball in a ball", Rig: nest(false, true)},
	})
}
