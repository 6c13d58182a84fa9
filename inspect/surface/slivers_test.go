package surface

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestSliverLimits(t *testing.T) {
	flat := func(h float32) func() *rig.Rig {
		return shape([]float32{0, 0, 0, 1, 0, 0, 0.5, h, 0}, []uint32{0, 1, 2})
	}
	checktest.Run(t, slivers, Measure, []checktest.Row{
		{Name: "1.01e-4 high", Rig: flat(1.01e-4)},
		{Name: "0.99e-4 high", Rig: flat(0.99e-4), Want: one(check.Note, "slivers", 1, 0, 1, 2)},
		{Name: "a line", Rig: flat(0), Want: one(check.Flaw, "zero-area", 1, 0, 1, 2)},
		{Name: "two corners in one place", Rig: shape([]float32{0, 0, 0, 1, 0, 0, 1, 0, 0}, []uint32{0, 1, 2}), Want: one(check.Flaw, "zero-area", 1, 0, 1)},
	})
}
