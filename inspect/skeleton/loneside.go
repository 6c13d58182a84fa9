package skeleton

import (
	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var loneSide = check.Check[Facts]{
	ID:      "skeleton/lone-side",
	Title:   "Sided joint without partner",
	Measure: "joints of the left or right that have no partner on the other side",
	Limits:  []check.Limit{{Name: "joints", Unit: say.Joints, Value: 0, Grade: check.Note}},
	Why: "Mirroring a pose finds nobody on the other side to give it to. " +
		"Often a name is spelt differently on one side.",
	Remedy: "Compare the names of both sides; they should differ in the word for the side alone.\n" +
		"When the joint is one-sided on purpose (a scabbard, a satchel), take the side out of its name.",
	Source: "common practice, no source",
	Needs: func(f *Facts) string {
		if reason := needsJoints(f); reason != "" {
			return reason
		}
		if f.Sided.Left == 0 || f.Sided.Right == 0 {
			return "only one side is here, or no joint has a side"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("joints")
		if float64(len(f.Unpaired)) <= limit.Value {
			return
		}
		where := f.on(f.Unpaired...)
		d.Found(limit, "joints", float64(len(f.Unpaired)), where).Subject = f.names(f.Unpaired)
	},
}

// measureLone lists the sided joints that have no partner.
func (f *Facts) measureLone() {
	for i := range f.Joints {
		p := &f.roles.Of[f.Joints[i].Node]
		if (p.Side == anatomy.Left || p.Side == anatomy.Right) && p.Partner < 0 {
			f.Unpaired = append(f.Unpaired, f.Joints[i].Node)
		}
	}
}
