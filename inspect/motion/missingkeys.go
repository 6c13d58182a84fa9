package motion

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// It begins at 0.22 s, since the fox's run has 0.2 s without a key.
var missingKeys = check.Check[Facts]{
	ID:      "motion/missing-keys",
	Title:   "Range without keys",
	Measure: "longest time without a key in a channel that is keyed evenly (four fifths of the steps alike), five steps or more, where the keys on both sides ask for a curve and the joint goes straight: by 1° or 0.3 % of the height (a pose that a joint holds is none)",
	Limits:  []check.Limit{{Name: "seconds", Unit: say.Second, Value: 0.22, Grade: check.Note}},
	Why: "Between two keys a joint goes the straight way at one speed (linear interpolation). " +
		"Where a stretch of a clip keyed frame by frame was cut out, the movement stiffens for that time and starts again with a jolt.",
	Remedy: "Take the missing stretch over from the clip that this one was made from, or export it again.\n" +
		"If it is lost, set a key or two by hand where the movement turns round.",
	Source: "glTF 2.0, Appendix C: linear and spherical interpolation; curve between the keys: Hermite; the limits are common practice, no source (0.2 s occurs in a sound clip)",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("seconds")
		found := f.worstClips(d, l, "without a key", func(c *Clip) (float64, bool) {
			return c.Gap, c.Gap > l.Value
		}, func(c *Clip) check.Where { return inClip(c.Clip, c.GapAt, c.GapNodes...) })
		if found == nil {
			return
		}
		c := &f.Clips[found.Where.Clip]
		found.Subject = f.nodeNames(c.GapNodes) + " in " + found.Subject
		found.Measures = append(found.Measures, check.Also("from", c.GapAt, say.Second), check.Also("usual step", c.GapStep, say.Second), check.Also("joints", float64(len(c.GapNodes)), say.Joints))
	},
}
