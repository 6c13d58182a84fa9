package skeleton

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Forearms of the sample in shares of its stature, against 0.146 (Drillis and Contini
// 1966, as printed in Winter).
func TestProportionLimits(t *testing.T) {
	f := measured(t, lamp())
	hand := lamplighter.Node("hand_L")
	forearm := distance(f.at(hand).Position, f.at(lamplighter.Node("lowerArm_L")).Position)
	off := func(share float64) func(*rig.Rig) {
		return of(lamplighter.MovePair(int(hand), 0.146*f.Stature.Metres*(1+share)-forearm, 0, 0))
	}
	bothSides(t, "skeleton/proportions", lamp, []side{
		{name: "as it is"},
		{name: "34.9 % longer", plant: off(0.349)},
		{name: "35.1 % longer", plant: off(0.351), grade: check.Note, measure: "off", value: 0.351, near: 5e-4, joints: []string{"lowerArm_L", "hand_L", "lowerArm_R", "hand_R"}},
		{name: "34.9 % shorter", plant: off(-0.349)},
		{name: "35.1 % shorter", plant: off(-0.351), grade: check.Note, measure: "off", value: 0.351, near: 5e-4, joints: []string{"lowerArm_L", "hand_L"}},
	})
}

// Segments of a person by the handbook are off by nothing to speak of.
func TestPersonHasHandbookProportions(t *testing.T) {
	f := measured(t, person(nil))
	if len(f.Proportions) < 12 || !f.Figure || len(f.Missing) != 0 {
		t.Fatalf("%d segments, missing %v", len(f.Proportions), f.Missing)
	}
	for _, s := range f.Proportions {
		if s.Source == handbook && math.Abs(s.Off) > 0.15 {
			t.Errorf("%s: %.3f of stature %.3f m, off by %.0f %%", s.Name, s.Share, f.Stature.Metres, 100*s.Off)
		}
	}
}
