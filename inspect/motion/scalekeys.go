package motion

import (
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// scaleError is how far from 1 a scale key may be: what float32 and export leave.
const scaleError = 1e-3

var scaleKeys = check.Check[Facts]{
	ID:      "motion/scale-keys",
	Title:   "Keys that scale",
	Measure: "nodes with scale keys other than 1; largest difference from 1",
	Limits:  []check.Limit{{Name: "nodes", Unit: say.Nodes, Value: 0, Grade: check.Note}},
	Why: "Scale on a joint goes on to everything below it, and uneven scale shears what turns below. " +
		"Dual quaternion skinning, many game players and all motion files of rotations drop it.",
	Remedy: "Where it is left over from the export, set it to 1.\n" +
		"Where it is meant (squash and stretch, a blink), keep it and make sure that the player takes it.",
	Source: "glTF 2.0, Animations and Transformations; what players drop is common practice, no source",
	Needs:  needsClip,
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("nodes")
		found := f.worstClips(d, l, "nodes", func(c *Clip) (float64, bool) {
			return float64(len(c.Scaled)), float64(len(c.Scaled)) > l.Value
		}, func(c *Clip) check.Where { return inClip(c.Clip, c.Start, c.Scaled...) })
		if found == nil {
			return
		}
		most := 0.0
		var all []rig.Node
		for i := range f.Clips {
			most = max(most, f.Clips[i].ScaleOff)
			for _, n := range f.Clips[i].Scaled {
				if !slices.Contains(all, n) {
					all = append(all, n)
				}
			}
		}
		found.Where.Joints = all
		found.Measures[0].Value = float64(len(all)) // a node counts once, in however many clips
		found.Measures = append(found.Measures, check.Also("largest difference from 1", finite(most), say.Unit{}))
	},
}
