package motion

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var noClip = check.Check[Facts]{
	ID:      "motion/no-clip",
	Title:   "No clip",
	Measure: "clips in the file",
	Limits:  []check.Limit{{Name: "clips", Unit: say.Clips, Value: 1, Grade: check.Note, Below: true}},
	Why: "A bound figure is proven by moving it, and this file holds no movement. " +
		"How the clips that will be used on it fit cannot be told from here.",
	Remedy: "If clips were meant to be in the file, export again with animation on.\n" +
		"If they come in files of their own, nothing is amiss.",
	Source: "common practice, no source",
	Judge: func(f *Facts, d *check.Docket) {
		if limit, n := d.Limit("clips"), float64(len(f.Clips)); n < limit.Value {
			d.Found(limit, "clips", n, check.Nowhere())
		}
	},
}
