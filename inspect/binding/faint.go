package binding

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var faint = check.Check[Facts]{
	ID:      "binding/faint",
	Title:   "Negligible weights",
	Measure: "share of the non-zero weights that lie below 0.01",
	Limits:  []check.Limit{{Name: "share", Unit: say.Share, Value: 0.05, Grade: check.Note}},
	Why: "A weight below 0.01 moves its vertex by less than a hundredth of what the joint does. " +
		"It still takes one of the few places a player has, and may push out one that is needed.",
	Remedy: "Take out (prune) weights below 0.01 and make the rest whole.",
	Source: "common practice, no source",
	Lens:   "influence",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("share")
		for i := range f.Skins {
			k := &f.Skins[i]
			if k.Weights == 0 {
				continue
			}
			share := float64(k.Faint) / float64(k.Weights)
			if !(share > limit.Value) {
				continue
			}
			found := d.Found(limit, "share", share, k.FaintAt.where(k.Skin))
			found.Subject = fmt.Sprintf("%s of %s", say.Whole(k.Faint), say.Count(k.Weights, "weight", "weights"))
			if len(f.Skins) > 1 {
				found.Subject = fmt.Sprintf("skin %d, %s", k.Skin, found.Subject)
			}
			found.Measures = append(found.Measures, check.Also("faint", float64(k.Faint), say.Weights))
		}
	},
}
