package bends

import (
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// Linear blending alone takes up to a third, so a note begins at 35 % and a flaw at 40
// %, half way to what halves all along lose (47 %). The sample's coat loses 57 % of its
// zone and a fox's shoulder, cut out one edge wide, 94 %, and both look whole: where the
// section at the joint keeps 60 % of its area it is a note at most. On real figures:
// true at one shoulder of the walking man; it goes when his weights are made whole
// (TestWalkingManMadeWhole).
var collapse = check.Check[Facts]{
	ID:      "bends/collapse",
	Title:   "Joint collapses when bent",
	Measure: "share of the volume between a joint and its neighbours that is lost at the end of its range, linear blend; the part is cut out where weights are shared and closed by fans. Where the section at the joint keeps more of its area than the limit, it is no flaw; where the range is a guess, by a limit of its own",
	Limits: []check.Limit{
		{Name: "loss", Unit: say.PartOfVolume, Value: lossFlaw, Grade: check.Flaw},
		{Name: "guessed", Unit: say.PartOfVolume, Value: lossGuessed, Grade: check.Flaw},
		{Name: "area", Unit: say.PartOfSection, Value: areaFlaw, Grade: check.Flaw, Below: true},
		{Name: "some", Unit: say.PartOfVolume, Value: lossNote, Grade: check.Note},
	},
	Why: "Where two joints share the surface, linear blending draws it towards the axis: an elbow goes flat, a twisted arm thins like a wrung towel. " +
		"About a third goes by the method alone; what goes beyond shows as a dent (volume loss).",
	Remedy: "Look at the named joint at the named angle.\n" +
		"Let the weights pass evenly from one joint to the next: a long stretch of halves loses most.\n" +
		"Add a joint half way that takes half of the turn, or a corrective shape at the end of the range.\n" +
		"Where the player offers dual quaternions, compare: the second figure is theirs.",
	Source: "closed form: an even ramp of weights loses (1/3)·sin²(θ/2) of its volume in a bend and (2/3)·sin²(θ/2) in a twist (31 % at 150°, 33 % at 90°), halves all along (1/2)·sin²(θ/2) and sin²(θ/2) (47 %, 50 %). The limits stand between; that on the area is common practice, no source: a coat about the hips loses volume and keeps its width",
	Lens:   "stretch",
	Needs:  needsBends,
	Judge: func(f *Facts, d *check.Docket) {
		area := d.Limit("area").Value
		// A zone that is turned inside out has a negative volume: no more than all is lost.
		lost := func(volume *float64) float64 { return min(1, 1-or(volume, math.NaN())) }
		loss := func(m *Move) float64 { return lost(m.Volume) }
		more := func(m *Move) []check.Measure {
			return figures(
				check.Also("loss by dual quaternions", lost(m.VolumeDual), say.PartOfVolume),
				check.Also("area left", or(m.Area, math.NaN()), say.PartOfSection),
				check.Also("width left", or(m.Radius, math.NaN()), say.PartOfRadius),
				check.Also("width left by dual quaternions", or(m.RadiusDual, math.NaN()), say.PartOfRadius))
		}
		narrow := func(guess bool) func(*Move) float64 {
			return sure(func(m *Move) float64 {
				if guess == anatomical(m.Axis) || !(or(m.Area, 0) < area) {
					return math.NaN()
				}
				return loss(m)
			})
		}
		f.judge(d,
			&gauge{limit: d.Limit("loss"), name: "loss", place: ofZone, more: more, each: true, alike: Zone, value: narrow(false)},
			&gauge{limit: d.Limit("guessed"), name: "loss", place: ofZone, more: more, each: true, alike: Zone, value: narrow(true)},
			&gauge{limit: d.Limit("some"), name: "loss", place: ofZone, more: more, value: loss})
	},
}
