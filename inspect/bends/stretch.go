package bends

import (
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// A flaw half way, a note at the end of a range. At the end the armpit of the sample in
// A-pose (4.3 ×), a robot's palm between the fingers (5.9 ×) and a hand whose joints
// hang side by side, so that a turned phalanx leaves the next one behind (5.6 ×), are
// drawn out on sound weights; half way nothing with a known range passes 3.4 ×, and a
// patch bound to a wrong joint shows there as well: the chord halves at most.
var stretch = check.Check[Facts]{
	ID:      "bends/stretch",
	Title:   "Surface stretched when bent",
	Measure: "99th percentile of the larger principal stretch over the triangles that a joint moves, linear blend: half way to the end of its range, and at the end",
	Limits: []check.Limit{
		{Name: "half", Unit: say.TimesRest, Value: stretchLimit, Grade: check.Flaw},
		{Name: "end", Unit: say.TimesRest, Value: stretchLimit, Grade: check.Note},
	},
	Why: "A triangle that is drawn to several times its length smears what is painted on it (texture stretching) and turns a round form into facets. " +
		"At the end of a range the skin between fingers or under an arm is drawn out on sound figures too. Half way, the weights are at fault.",
	Remedy: "Spread the change of weights over more edges.\n" +
		"Add edges across the place that bends.\n" +
		"Look for single vertices there that hang on a far joint.",
	Source: "principal stretches of the 2×2 deformation gradient; the limits are common practice, no source: sound figures reach 3.4 half way and 5.9 at the end",
	Lens:   "stretch",
	Needs:  needsBends,
	Judge: func(f *Facts, d *check.Docket) {
		more := func(m *Move) []check.Measure {
			return figures(
				check.Also("at the end", or(m.P99, math.NaN()), say.TimesRest),
				check.Also("largest at the end", or(m.Max, math.NaN()), say.TimesRest),
				check.Also("at the end by dual quaternions", or(m.P99Dual, math.NaN()), say.TimesRest),
				check.Also("triangles moved", float64(m.Triangles), say.Triangles))
		}
		f.judge(d,
			&gauge{limit: d.Limit("half"), name: "stretch half way", half: true, each: true, alike: HalfDrawn, more: more,
				value: sure(func(m *Move) float64 { return or(m.P99Half, math.NaN()) }),
				place: func(_ *Facts, m *Move) *group { return m.drawnAt }},
			&gauge{limit: d.Limit("end"), name: "stretch", more: more,
				value: func(m *Move) float64 { return or(m.P99, math.NaN()) },
				drawn: func(m *Move) (float64, float64) { return m.Degrees, or(m.P99, 1) }})
	},
}
