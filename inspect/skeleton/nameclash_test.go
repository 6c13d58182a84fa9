package skeleton

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
)

func TestNameClash(t *testing.T) {
	bothSides(t, "skeleton/name-clash", lamp, []side{
		{name: "all names differ"},
		{name: "by a capital", plant: rename("yoke", "Head")},
		{name: "two joints", plant: rename("chain_L_6", "yoke"), grade: check.Flaw, measure: "names", value: 1, joints: []string{"yoke"}},
		{name: "a joint and the mesh's node", plant: rename("chain_L_6", "Lamplighter"), grade: check.Flaw, measure: "names", value: 1, joints: []string{"Lamplighter"}},
		{name: "one without a name", plant: rename("chain_L_6", ""), grade: check.Note, title: "Joints without a name", measure: "joints without a name", value: 1},
		{name: "two without a name are no clash", plant: func(r *rig.Rig) { rename("chain_L_6", "")(r); rename("chain_R_6", "")(r) }, grade: check.Note, measure: "joints without a name", value: 2},
	})
}
