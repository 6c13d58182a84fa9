package motion

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

// Its limits from both sides.
func TestScaleKeysLimits(t *testing.T) {
	bothSides(t, "motion/scale-keys", []both{
		{"a key that scales", lamplighter.Swell(0.00099), lamplighter.Swell(0.00101), 0, check.Note, "nodes", 0},
	})
}
