package surface

import (
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestMixedWinding(t *testing.T) {
	a, b, c := rig.Vertex(sphereTri[0]), rig.Vertex(sphereTri[1]), rig.Vertex(sphereTri[2])
	turned := slices.Clone(sphereTri)
	turned[0], turned[1] = turned[1], turned[0]
	over := one(check.Flaw, "edges", 3, a, b, c)
	over[0].More = map[string]float64{"turned over": 1}
	checktest.Run(t, mixedWinding, Measure, []checktest.Row{
		{Name: "one way round", Rig: shape(sphere, sphereTri)},
		{Name: "all the other way round", Rig: shape(sphere, inverted(sphereTri))},
		{Name: "one triangle turned over", Rig: shape(sphere, turned), Want: over},
	})
}
