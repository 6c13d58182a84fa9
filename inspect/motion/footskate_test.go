package motion

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Its limits from both sides.
func TestFootSkateLimits(t *testing.T) {
	bothSides(t, "motion/foot-skate", []both{
		{"feet that slide", glides(0.049), glides(0.051), 0, check.Note, "speed", 0},
	})
}

// glides slides the feet by a share of the height a second.
func glides(share float64) func(*rig.Rig) lamplighter.Planted {
	w := waving()
	return lamplighter.Glide(share * w.height * w.seconds / 2)
}
