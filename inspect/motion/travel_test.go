package motion

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

// Its limits from both sides.
func TestTravelLimits(t *testing.T) {
	w := waving()
	bothSides(t, "motion/travel", []both{
		{"hips that travel", lamplighter.WalkOff(0.0499 * w.height), lamplighter.WalkOff(0.0501 * w.height), 0, check.Note, "shift", 0},
		{"hips that travel below a root", lamplighter.WalkOffRoot(0.0499 * w.height), lamplighter.WalkOffRoot(0.0501 * w.height), 0, check.Note, "shift", 0},
	})
}
