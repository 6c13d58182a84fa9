package skeleton

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

func TestLoneSide(t *testing.T) {
	satchel := lamplighter.AddJoint("satchel_left", int(lamplighter.Node("hips")), 0.2, 0.9, 0)
	bothSides(t, "skeleton/lone-side", lamp, []side{
		{name: "none"},
		{name: "a satchel on the left", plant: of(satchel), grade: check.Note, measure: "joints", value: 1, joints: []string{"satchel_left"}},
		{name: "one on each side", plant: func(r *rig.Rig) {
			satchel(r)
			lamplighter.AddJoint("satchel_right", int(lamplighter.Node("hips")), -0.2, 0.9, 0)(r)
		}},
		{name: "one in the middle", plant: of(lamplighter.AddJoint("satchel", int(lamplighter.Node("hips")), 0, 0.9, 0.2))},
	})
}
