package skeleton

import (
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var rolesMissing = check.Check[Facts]{
	ID:      "skeleton/roles",
	Title:   "Body bones missing",
	Measure: "of the 15 bones every figure must have (VRM 1.0), those that no joint was recognised as",
	Limits:  []check.Limit{{Name: "missing", Unit: say.Bones, Value: 0, Grade: check.Note}},
	Why: "Clips made for human-like figures (humanoid rigs) expect these bones. " +
		"Either the skeleton has none, or its name and place tell nobody which joint it is.",
	Remedy: "See in the table of joints which joint should have the role, and give it a plain name.\n" +
		"When there is no such joint, add one, or keep to clips made for this very skeleton.",
	Source: "VRM 1.0, humanoid: required bones",
	Needs:  needsFigure,
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("missing")
		if n := float64(len(f.Missing)); n > limit.Value {
			found := d.Found(limit, "missing", n, f.on(f.bearer("hips")))
			found.Subject = strings.Join(wordsOf(f.Missing), ", ")
			found.Measures = append(found.Measures, check.Also("recognised", float64(len(f.Bones)), say.Roles))
		}
	},
}
