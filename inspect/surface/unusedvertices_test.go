package surface

import (
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestUnusedLimits(t *testing.T) {
	n := len(sphere) / 3
	checktest.Run(t, unusedVertices, Measure, []checktest.Row{
		{Name: "all used", Rig: shape(sphere, sphereTri)},
		{Name: "one loose", Rig: shape(append(slices.Clone(sphere), 0, 0, 0), sphereTri), Want: one(check.Note, "vertices", 1, rig.Vertex(n))},
	})
}
