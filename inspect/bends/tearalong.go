package bends

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// On real figures, looked at in its pose: true on both open hands (a vertex at the root
// of the thumb hangs on the little finger's metacarpal by 6 % and stands up as a pimple)
// and on the walking man (two vertices of each hip hang on an arm by a tenth).
var tearAlong = check.Check[Facts]{
	ID:      "bends/tear-along",
	Title:   "Patch dragged along",
	Measure: "vertices beyond the joint's limb and its surroundings that a move shifts by more than 1 % of the diagonal",
	Limits:  []check.Limit{{Name: "vertices", Unit: say.Vertices, Value: 0, Grade: check.Flaw}},
	Why: "A little weight of a far joint (weight bleeding) does nothing at rest. " +
		"Each time that joint turns, the patch is drawn up after it.",
	Remedy: "Choose the named vertices and take the named joint out of their weights; then make the weights whole.\n" +
		"Where a prop is meant to follow the joint, bind all of it to that joint alone.",
	Source: "common practice, no source. The limb is where the joint has half of the weight or more; its surroundings go as far along the surface, and across slits, as the longer of its bone and the one above",
	Lens:   "bleed",
	Needs:  needsBends,
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("vertices")
		f.judge(d, &gauge{
			limit: limit, name: "vertices", each: true, alike: Bled,
			value: func(m *Move) float64 { return float64(m.Bleed) },
			tie:   byDrawn,
			more: func(m *Move) []check.Measure {
				return []check.Measure{check.Also("drawn along by", m.Drawn, say.Metre)}
			},
			place: func(f *Facts, m *Move) *group { return f.spots(m.bleedAt) },
		})
	},
}
