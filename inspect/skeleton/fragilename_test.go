package skeleton

import (
	"testing"

	"rigloupe/inspect/check"
)

// Names folded by hand.
func TestFold(t *testing.T) {
	for name, want := range map[string]string{
		"hand.L": "handl", "rig:Hand_L": "hand_l", "a:b:Foot [1]": "foot_1", " toes ": "toes", "Left Arm": "left_arm",
		"": "", ":": "", "Ärmel": "ärmel", "tail/02": "tail02",
	} {
		if got := fold(name); got != want {
			t.Errorf("%q → %q, want %q", name, got, want)
		}
	}
}

func TestFragileNames(t *testing.T) {
	bothSides(t, "skeleton/fragile-name", lamp, []side{
		{name: "a dot that players leave out", plant: rename("yoke", "yo.ke")},
		{name: "a capital", plant: rename("yoke", "Yoke")},
		{name: "a colon", plant: rename("yoke", "rig:yoke"), grade: check.Note, title: "Names that players change", value: 1, measure: "names", joints: []string{"rig:yoke"}},
		{name: "a blank at the edge", plant: rename("yoke", " yoke"), grade: check.Note, value: 1, measure: "names", joints: []string{" yoke"}},
		{name: "a letter beyond ASCII", plant: rename("yoke", "jöch"), grade: check.Note, value: 1, measure: "names", joints: []string{"jöch"}},
		{name: "two that become one", plant: rename("chain_L_6", "YO.KE"), grade: check.Flaw, title: "Names that become equal", value: 2, measure: "names that become equal", joints: []string{"YO.KE", "yoke"}},
		{name: "two that stay two", plant: rename("chain_L_6", "YO_KE")},
	})
}
