package surface

import (
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestNormalLimits(t *testing.T) {
	// 128 triangles with vertices of their own and normals straight out.
	p, tri := ball(2, 1, 0)
	lit := func(change func(normals []float32)) func() *rig.Rig {
		return func() *rig.Rig {
			var apart []float32
			var each []uint32
			for i, v := range tri {
				apart = append(apart, p[3*v:3*v+3]...)
				each = append(each, uint32(i))
			}
			r := bare(apart, each)
			m := &r.Meshes[0]
			m.Normals, m.Primitives[0].HasNormals = slices.Clone(apart), true
			if change != nil {
				change(m.Normals)
			}
			return r
		}
	}
	opposed := func(triangles int) func([]float32) {
		return func(n []float32) {
			for i := range 9 * triangles {
				n[i] = -n[i]
			}
		}
	}
	long := func(k float32) func([]float32) {
		return func(n []float32) { n[0], n[1], n[2] = k*n[0], k*n[1], k*n[2] }
	}
	n := float64(len(p) / 3)
	checktest.Run(t, badNormals, Measure, []checktest.Row{
		{Name: "outwards", Rig: lit(nil)},
		{Name: "6 of 128 inwards", Rig: lit(opposed(6)), Want: []checktest.Want{{Grade: check.Note, Name: "opposed", Value: 6}}},
		{Name: "7 of 128 inwards", Rig: lit(opposed(7)), Want: []checktest.Want{{Grade: check.Flaw, Name: "opposed share", Value: 7. / 128}}},
		{Name: "length 1.0009", Rig: lit(long(1.0009))},
		{Name: "length 1.0011", Rig: lit(long(1.0011)), Want: one(check.Note, "off unit", 1, 0)},
		{Name: "length 0.9991", Rig: lit(long(0.9991))},
		{Name: "length 0.9989", Rig: lit(long(0.9989)), Want: one(check.Note, "off unit", 1, 0)},
		{Name: "none stored", Rig: shape(p, tri), Want: []checktest.Want{{Grade: check.Note, Name: "missing", Value: n}}},
	})
}
