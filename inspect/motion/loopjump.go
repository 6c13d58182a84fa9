package motion

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// Clips made to be repeated close every joint, those played once leave three of five
// open; nothing lies between, so the width of a gap decides only where a pose may be
// kept.
var loopJump = check.Check[Facts]{
	ID:      "motion/loop-jump",
	Title:   "Loop does not close",
	Measure: "turn of a joint between the last key and the first, and shift of what carries the figure, its way along and its turn about the vertical taken away; of clips that read as a loop: their name says so and half of the moving joints close within 5°, or four fifths close, however far the rest is off, unless it looks like a pose that is kept (several joints off by more than 45° that got there slowly, or a name such as fall, sit, attack)",
	Limits: []check.Limit{
		{Name: "turn", Unit: say.Degree, Value: 1, Grade: check.Note},
		{Name: "shift", Unit: say.TimesHeight, Value: 0.01, Grade: check.Note},
	},
	Why: "A clip that is played over and over is a seamless loop only when its last pose is its first; else it jumps there. " +
		"The eye catches a degree where all else flows.",
	Remedy: "Copy the first key of the named joint over its last, and smooth the keys just before.\n" +
		"A clip that is played once needs nothing.",
	Source: "common practice, no source",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		turn, shift, height := d.Limit("turn"), d.Limit("shift"), f.Of.Height
		isOpen := func(c *Clip) bool { return c.Loop && *c.LoopDegrees > turn.Value }
		place := func(c *Clip) check.Where { return inClip(c.Clip, c.Seconds, c.LoopNode) }
		closed := func(found *check.Finding) {
			c := &f.Clips[found.Where.Clip]
			found.Measures = append(found.Measures, check.Also("joints that close", float64(c.LoopNear), say.Joints), check.Also("joints that move", float64(c.LoopOf), say.Joints))
		}
		found := f.worstClips(d, turn, "turn", func(c *Clip) (float64, bool) {
			if !c.Loop {
				return 0, false
			}
			return *c.LoopDegrees, isOpen(c)
		}, place)
		if found != nil {
			found.Measures = append(found.Measures, f.length("shift", *f.Clips[found.Where.Clip].LoopMetres))
			closed(found)
		}
		if !(height > 0) {
			return
		}
		found = f.worstClips(d, shift, "shift", func(c *Clip) (float64, bool) {
			if !c.Loop || isOpen(c) || c.Travel.Class == climbs {
				return 0, false
			}
			return *c.LoopMetres / height, *c.LoopMetres/height > shift.Value
		}, func(c *Clip) check.Where {
			if c.Travel.Node != nil {
				return inClip(c.Clip, c.Seconds, *c.Travel.Node)
			}
			return inClip(c.Clip, c.Seconds, c.LoopNode)
		})
		if found != nil {
			found.Measures = append(found.Measures, f.length("way", *f.Clips[found.Where.Clip].LoopMetres))
			closed(found)
		}
	},
}
