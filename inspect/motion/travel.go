package motion

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var travel = check.Check[Facts]{
	ID:      "motion/travel",
	Title:   "Clip carries figure away",
	Measure: "level shift from the first key to the last of the node that carries the figure (hips, else the topmost joint that moves), in heights",
	Limits:  []check.Limit{{Name: "shift", Unit: say.TimesHeight, Value: travelShare, Grade: check.Note}},
	Why: "Whoever plays the clip has to know whether it walks in place or goes somewhere (root motion), since the player moves the figure in the first case and must not in the second. " +
		"Where only the hips go, the root stays behind and the figure jumps back at the end.",
	Remedy: "If the clip should stay in place, take the level part of the shift off the named node's keys.\n" +
		"If it should go along and the root has no keys, move that part from the hips onto the root.",
	Source: "common practice, no source",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("shift")
		for _, hips := range []bool{false, true} {
			found := f.worstClips(d, l, "shift", func(c *Clip) (float64, bool) {
				return c.Travel.Heights, c.Travel.Heights > l.Value && c.Travel.HipsCarry == hips
			}, func(c *Clip) check.Where { return inClip(c.Clip, c.Seconds, *c.Travel.Node) })
			if found == nil {
				continue
			}
			t := &f.Clips[found.Where.Clip].Travel
			if f.Of.Bare { // else the first measure says it
				found.Measures = append(found.Measures, f.length("way", t.Metres))
			}
			found.Measures = append(found.Measures, check.Also("turn", t.Degrees, say.Degree), f.speed("mean speed", t.Speed))
			if hips {
				found.Title = "Hips travel, root stays"
				found.Where.Nodes = append(found.Where.Nodes, t.Above)
			}
		}
	},
}
