package motion

import "rigloupe/inspect/check"

var loopJump = check.Check[Facts]{
	ID:      "motion/loop-jump",
	Title:   "A loop that does not close",
	Measure: "turn of a joint between the last key and the first, the figure's way along and its turn about the vertical taken away; of clips that read as a loop: four fifths of the moving joints close within 5° and none is off by more than 45°",
	Limits:  []check.Limit{{Name: "turn", Unit: "°", Value: 1, Grade: check.Note}},
	Why: "A clip that is played over and over jumps at its end when the last pose is not the first. " +
		"The eye catches a degree where all else flows.",
	Remedy: "Copy the first key of the named joint over its last, and smooth the keys just before.\n" +
		"A clip that is played once needs nothing.",
	Source: "common practice, no source",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("turn")
		found := f.worstClips(d, l, "turn", func(c *Clip) (float64, bool) {
			if !c.Loop {
				return 0, false
			}
			return *c.LoopDegrees, *c.LoopDegrees > l.Value
		}, func(c *Clip) check.Where { return inClip(c.Clip, c.Seconds, c.LoopNode) })
		if found != nil {
			found.Measures = append(found.Measures, figureOf("shift", *f.Clips[found.Where.Clip].LoopMetres, "m"))
		}
	},
}
