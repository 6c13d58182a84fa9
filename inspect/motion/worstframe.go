package motion

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// A flaw only where the 99th percentile passes the limit by count and by area: a few
// fold triangles of a coarse figure pass it by count alone.
var worstFrame = check.Check[Facts]{
	ID:      "motion/worst-frame",
	Title:   "Surface stretched in motion",
	Measure: "99th percentile of the principal stretch of the triangles (longest side of the ellipse that a circle becomes) at the worst moment of a clip that was looked at",
	Limits: []check.Limit{
		{Name: "stretch", Unit: say.Factor, Value: 2, Grade: check.Note},
		{Name: "torn", Unit: say.Factor, Value: 4, Grade: check.Flaw},
	},
	Why: "Where joints part further than the surface between them can follow, triangles are drawn out and the texture smears. " +
		"This is the frame with the worst deformation, to look at first.",
	Remedy: "Go to the named moment and look at the named joint.\n" +
		"Ease the pose there, or spread the weights over a longer stretch so that more of the surface shares the turn.",
	Source: "principal stretch: larger singular value of the map from a triangle at rest to the posed one; the limits are common practice, no source. Method: moments (at most 200 a clip) are ranked by how far joints that share surface part; the four highest that lie a twelfth of the clip apart are worked out exactly. On real clips that was 94 % of the largest or more",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		stretch, torn := d.Limit("stretch"), d.Limit("torn")
		file := func(l check.Limit, takes func(*WorstFrame) bool) {
			found := f.worstClips(d, l, "stretch", func(c *Clip) (float64, bool) {
				if c.Worst == nil {
					return 0, false
				}
				return c.Worst.P99, takes(c.Worst)
			}, func(c *Clip) check.Where {
				w := inClip(c.Clip, c.Worst.Time, c.Worst.Joint)
				if c.Worst.surface >= 0 && len(c.Worst.corners) > 0 {
					w.Spots = []check.Spot{{Surface: c.Worst.surface, Vertices: c.Worst.corners}}
				}
				return w
			})
			if found == nil {
				return
			}
			w := f.Clips[found.Where.Clip].Worst
			found.Subject = f.nodeNames(found.Where.Joints) + " in " + found.Subject
			found.Measures = append(found.Measures, check.Also("stretch that 1 % of the area passes", w.Area, say.Factor), check.Also("largest stretch", w.Max, say.Factor), check.Also("time", w.Time, say.Second))
		}
		// A flaw shows: as much of the area must be stretched, not only of the triangles,
		// of which a coarse figure has its smallest in the folds.
		isTorn := func(w *WorstFrame) bool { return w.P99 > torn.Value && w.Area > torn.Value }
		file(torn, isTorn)
		file(stretch, func(w *WorstFrame) bool { return w.P99 > stretch.Value && !isTorn(w) })
	},
}
