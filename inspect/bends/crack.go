package bends

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var crack = check.Check[Facts]{
	ID:      "bends/crack",
	Title:   "Crack opens when bent",
	Measure: "widest gap between vertices that lie in one place, at the end of a joint's range, as a share of the diagonal",
	Limits:  []check.Limit{{Name: "gap", Unit: say.TimesDiagonal, Value: crackFlaw, Grade: check.Flaw}},
	Why: "Two vertices in one place (coincident) that hang on different joints part as soon as one of them turns. " +
		"Light shows through, and the edge of the opening runs along the border of a texture or a material.",
	Remedy: "Give all vertices of one place the same weights.\n" +
		"Bind the welded surface, and split it for paint or normals only when exporting.",
	Source: "common practice, no source",
	Lens:   "seam-gap",
	Needs:  needsBends,
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("gap")
		if !(f.Diagonal > 0) {
			return
		}
		f.judge(d, &gauge{
			limit: limit, name: "gap", each: true, alike: Cracked,
			value: func(m *Move) float64 { return m.Crack / f.Diagonal },
			place: func(f *Facts, m *Move) *group { return f.spots(m.crackAt) },
			more:  func(m *Move) []check.Measure { return []check.Measure{check.Also("opens by", m.Crack, say.Metre)} },
		})
	},
}
