package motion

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var longWay = check.Check[Facts]{
	ID:      "motion/long-way",
	Title:   "Turns the long way",
	Measure: "neighbouring rotation keys whose product is negative, with the true angle between them; neighbouring keys 170° or more apart",
	Limits: []check.Limit{
		{Name: "flips", Unit: say.Keys, Value: 0, Grade: check.Note},
		{Name: "turn", Unit: say.Degree, Value: 90, Grade: check.Flaw},
		{Name: "cubic", Unit: say.Keys, Value: 0, Grade: check.Flaw},
		{Name: "opposite", Unit: say.Keys, Value: 0, Grade: check.Note},
	},
	Why: "A rotation can be written with either sign, and between two keys of unlike sign a player that does not take the nearer one goes the long way (a quaternion flip): the joint whirls round once. " +
		"Two keys half a turn apart leave the way to chance.",
	Remedy: "Change the sign of every rotation key whose product with the one before is negative; the poses stay the same.\n" +
		"Set a key between two that are half a turn apart.",
	Source: "glTF 2.0, Appendix C: spherical interpolation takes the shorter way, cubic splines take the numbers as they stand; the limits are common practice, no source",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		flips, turn, cubic, opposite := d.Limit("flips"), d.Limit("turn"), d.Limit("cubic"), d.Limit("opposite")
		isCubic := func(c *Clip) bool { return c.FlipCubic && float64(c.Flips) > cubic.Value }
		isWide := func(c *Clip) bool { return c.Flips > 0 && c.FlipDegrees > turn.Value && !isCubic(c) }
		place := func(c *Clip) check.Where { return inClip(c.Clip, c.FlipTime, c.FlipNode) }
		count := func(c *Clip) float64 { return float64(c.Flips) }
		if found := f.allClips(d, cubic, "keys of unlike sign in a spline", func(c *Clip) (float64, bool) { return count(c), isCubic(c) }, place); found != nil {
			found.Measures = append(found.Measures, check.Also("widest true angle", f.widest(found, func(c *Clip) float64 { return c.FlipDegrees }), say.Degree))
		}
		if found := f.worstClips(d, turn, "true angle there", func(c *Clip) (float64, bool) { return c.FlipDegrees, isWide(c) }, place); found != nil {
			found.Measures = append(found.Measures, check.Also("keys of unlike sign in that clip", count(&f.Clips[found.Where.Clip]), say.Keys))
		}
		if found := f.allClips(d, flips, "keys of unlike sign", func(c *Clip) (float64, bool) {
			return count(c), count(c) > flips.Value && !isCubic(c) && !isWide(c)
		}, place); found != nil {
			found.Measures = append(found.Measures, check.Also("widest true angle", f.widest(found, func(c *Clip) float64 { return c.FlipDegrees }), say.Degree))
		}
		if found := f.allClips(d, opposite, "keys half a turn apart", func(c *Clip) (float64, bool) {
			return float64(c.Opposite), float64(c.Opposite) > opposite.Value
		}, func(c *Clip) check.Where { return inClip(c.Clip, c.WideTime, c.WideNode) }); found != nil {
			found.Title = "Keys too far apart"
			found.Measures = append(found.Measures, check.Also("widest", f.widest(found, func(c *Clip) float64 { return c.Wide }), say.Degree))
		}
	},
}

// widest is the largest of a figure over the clips of a finding.
func (f *Facts) widest(found *check.Finding, of func(*Clip) float64) (most float64) {
	for _, c := range found.Where.Clips {
		most = max(most, of(&f.Clips[c]))
	}
	return most
}
