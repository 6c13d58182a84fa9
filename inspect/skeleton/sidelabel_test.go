package skeleton

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// A joint named left, at shares of the height beyond the middle.
func TestSideLabel(t *testing.T) {
	height := measured(t, lamp()).Height
	at := func(share float64) func(*rig.Rig) {
		return of(lamplighter.AddJoint("satchel_left", int(lamplighter.Node("hips")), share*height, 0.9, 0.1))
	}
	bothSides(t, "skeleton/side-label", lamp, []side{
		{name: "on its own side", plant: at(0.05)},
		{name: "1.9 % beyond the middle", plant: at(-0.019)},
		{name: "2.1 % beyond", plant: at(-0.021), grade: check.Flaw, measure: "across", value: 0.021, near: 1e-6, joints: []string{"satchel_left"}},
		{name: "toes exchanged", plant: func(r *rig.Rig) {
			rename("toes_L", "x")(r)
			rename("toes_R", "toes_L")(r)
			rename("x", "toes_R")(r)
		}, grade: check.Flaw, joints: []string{"toes_L", "toes_R"}},
	})
}
