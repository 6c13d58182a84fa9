package motion

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var lateStart = check.Check[Facts]{
	ID:      "motion/late-start",
	Title:   "Clip starts late",
	Measure: "time of the first key, in steps between keys; moving channels that stop more than a tenth of the clip before its end",
	Limits: []check.Limit{
		{Name: "steps", Unit: say.KeySteps, Value: 0.5, Grade: check.Note},
		{Name: "seconds", Unit: say.Second, Value: 0.1, Grade: check.Flaw},
		{Name: "share", Unit: say.ShareOfClip, Value: 0.1, Grade: check.Flaw},
		{Name: "ends", Unit: say.Joints, Value: 0, Grade: check.Note},
	},
	Why: "A clip counts from 0 s. Until its first key the figure stands still in that pose, so a loop stutters and a start comes late. " +
		"A channel that stops before the others freezes its joint for the rest of the clip.",
	Remedy: "Shift all keys so that the first stands at 0 s; many programs number the start frame 1 and export that as a gap.\n" +
		"Give the channels that stop early a key at the end.",
	Source: "glTF 2.0, Animations: before the first key the first value holds, after the last the last; the limits are common practice, no source",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		steps, seconds, share, ends := d.Limit("steps"), d.Limit("seconds"), d.Limit("share"), d.Limit("ends")
		isLate := func(c *Clip) bool { return c.Start > seconds.Value && c.Start > share.Value*c.Seconds }
		place := func(c *Clip) check.Where { return inClip(c.Clip, c.Start) }
		f.worstClips(d, seconds, "first key", func(c *Clip) (float64, bool) { return c.Start, isLate(c) }, place)
		found := f.worstClips(d, steps, "first key", func(c *Clip) (float64, bool) {
			if !(c.Step > 0) || isLate(c) {
				return 0, false
			}
			return c.Start / c.Step, c.Start/c.Step > steps.Value
		}, place)
		if found != nil {
			c := &f.Clips[found.Where.Clip]
			found.Measures = append(found.Measures, check.Also("first key in seconds", c.Start, say.Second), check.Also("key step", c.Step, say.Second))
		}
		found = f.worstClips(d, ends, "joints that stop early", func(c *Clip) (float64, bool) {
			return float64(len(c.EarlyEnds)), float64(len(c.EarlyEnds)) > ends.Value
		}, func(c *Clip) check.Where { return inClip(c.Clip, c.EarliestAt, c.EarlyEnds...) })
		if found != nil {
			found.Title = "Channels that stop early"
			c := &f.Clips[found.Where.Clip]
			found.Measures = append(found.Measures, check.Also("earliest end", c.EarliestAt, say.Second), check.Also("clip", c.Seconds, say.Second))
		}
	},
}
