package bends

import (
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// A flaw half way, a note at the end of a range. On the inside of a bend there is no
// room for the surface: triangles that reach into the wedge which a mitre would cut off
// do not count, nor fewer than eight of them.
var turnedOver = check.Check[Facts]{
	ID:      "bends/turned-over",
	Title:   "Triangles turn over",
	Measure: "share of the triangles a joint moves that face against their surroundings, linear blend: half way to the end of its range, and at the end. Those that reach into the wedge which the bend closes do not count, nor fewer than the least number",
	Limits: []check.Limit{
		{Name: "half", Unit: say.PartOfTriangles, Value: turnedShare, Grade: check.Flaw},
		{Name: "end", Unit: say.PartOfTriangles, Value: turnedShare, Grade: check.Note},
		{Name: "least", Unit: say.Triangles, Value: turnedLeast, Grade: check.Flaw, Reached: true},
	},
	Why: "Inverted triangles show their back: a dark or missing patch. " +
		"On the inside of a bend there is no room for the surface, so some turn over there on any figure. Elsewhere, and half way already, the weights are at fault.",
	Remedy: "Look at the named joint at the named angle.\n" +
		"Smooth the weights around the named triangles; look for single vertices that hang on a far joint.\n" +
		"On the inside of a bend, pass the weights over a longer stretch, or let a corrective shape fold the surface.",
	Source: "common practice, no source; the wedge is the part that a mitre cuts off a bent pipe",
	Lens:   "turned-over",
	Needs:  needsBends,
	Judge: func(f *Facts, d *check.Docket) {
		least := d.Limit("least").Value
		share := func(count int, m *Move) float64 {
			if m.Triangles == 0 || float64(count) < least {
				return math.NaN()
			}
			return float64(count) / float64(m.Triangles)
		}
		more := func(m *Move) []check.Measure {
			return figures(
				check.Also("at the end", or(m.TurnedOpen, math.NaN()), say.PartOfTriangles),
				check.Also("with those in the wedge", or(m.Turned, math.NaN()), say.PartOfTriangles),
				check.Also("with those in the wedge by dual quaternions", or(m.TurnedDual, math.NaN()), say.PartOfTriangles),
				check.Also("triangles moved", float64(m.Triangles), say.Triangles))
		}
		f.judge(d,
			&gauge{limit: d.Limit("half"), name: "half way", half: true, each: true, more: more,
				value: sure(func(m *Move) float64 { return share(m.TurnedHalf, m) }),
				alike: HalfTurned, place: (*Facts).halfTurned},
			&gauge{limit: d.Limit("end"), name: "turned over", more: more,
				value: func(m *Move) float64 { return share(m.TurnedEnd, m) },
				place: func(f *Facts, m *Move) *group { return f.spots(f.cornersOf(m.turnedAt)) }})
	},
}
