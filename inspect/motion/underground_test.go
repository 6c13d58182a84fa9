package motion

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

// Its limits from both sides.
func TestUnderGroundLimits(t *testing.T) {
	w := waving()
	bothSides(t, "motion/under-ground", []both{
		{"under the ground", lamplighter.Sink(0.0099*w.height + w.lowest), lamplighter.Sink(0.0101*w.height + w.lowest), 0, check.Note, "under the ground", 0},
		{"over the ground", lamplighter.Sink(w.lowest - 0.0199*w.height), lamplighter.Sink(w.lowest - 0.0201*w.height), 0, check.Note, "over the ground", 0},
	})
}
