package motion

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

// Its limits from both sides.
func TestLongWayLimits(t *testing.T) {
	bothSides(t, "motion/long-way", []both{
		{"a sign that changes over 90°", lamplighter.LongWay(89.9), lamplighter.LongWay(90.1), check.Note, check.Flaw, "true angle there", 0},
		{"170° between keys", lamplighter.HalfTurn(169.9), lamplighter.HalfTurn(170.1), 0, check.Note, "keys half a turn apart", 0},
	})
}
