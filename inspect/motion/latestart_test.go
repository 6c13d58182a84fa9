package motion

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

// Its limits from both sides.
func TestLateStartLimits(t *testing.T) {
	w := waving()
	bothSides(t, "motion/late-start", []both{
		{"half a key step late", lamplighter.Late(0.49 * step), lamplighter.Late(0.51 * step), 0, check.Note, "first key", 0},
		{"a tenth of a second late, less than a tenth of the clip", lamplighter.Late(0.099), lamplighter.Late(0.101), check.Note, check.Note, "first key", 0.101 * 30},
		{"a tenth of the clip late", lamplighter.Late(w.seconds/9 - 0.002), lamplighter.Late(w.seconds/9 + 0.002), check.Note, check.Flaw, "first key", 0},
		{"a channel that stops", lamplighter.StopEarly(0.92), lamplighter.StopEarly(0.89), 0, check.Note, "joints that stop early", 0},
	})
}
