package motion

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

// Its limits from both sides.
func TestOffUnitLimits(t *testing.T) {
	bothSides(t, "motion/off-unit", []both{
		{"length of a key", lamplighter.OffUnit(0.00099), lamplighter.OffUnit(0.00101), 0, check.Flaw, "error", 0},
	})
}
