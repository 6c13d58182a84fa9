package inspect

import (
	"testing"

	"rigloupe/inspect/lamplighter"
)

// A jump that is a key off its curve says so and asks for nothing of its own; a jump
// elsewhere stands by itself.
func TestJumpOfAStrayKeyFollowsFromIt(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Sway: true, Vertices: 2000})
	lamplighter.Jump(100)(r)
	seen := false
	for _, f := range examined(t, r).Findings() {
		if f.ID == "motion/jump" {
			seen = true
			if f.Cause == nil || f.Cause.ID != "motion/stray-key" || f.Remedy != "" {
				t.Errorf("%+v", f)
			}
		}
	}
	if !seen {
		t.Error("no jump")
	}
}
