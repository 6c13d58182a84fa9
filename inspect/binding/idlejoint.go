package binding

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/say"
)

var idleJoint = check.Check[Facts]{
	ID:      "binding/idle-joint",
	Title:   "Idle joints",
	Measure: "joints without influence that are no end, carry no part and have no joint with influence below them",
	Limits:  []check.Limit{{Name: "joints", Unit: say.Joints, Value: 0, Grade: check.Note}},
	Why: "A joint that no vertex hangs on costs a place in the skin, and players have few. " +
		"Most are handles and leaf joints left from building the rig; now and then it is a joint whose weights were forgotten.",
	Remedy: "See whether the named joints should move something: if so, bind that part to them.\n" +
		"Else leave them out of the skin when exporting (deforming joints alone).",
	Source: "common practice, no source",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("joints")
		where := check.Nowhere()
		var names []string
		count := map[string]int{}
		for _, j := range f.Idle {
			count[j.Class]++
			if j.Class == ClassHelper {
				where.Joints = append(where.Joints, j.Node)
				names = append(names, j.Name)
			}
		}
		if n := float64(len(names)); n > limit.Value {
			found := d.Found(limit, "joints", n, where)
			found.Subject = exam.Listed(names)
			for _, c := range []struct{ name, class string }{
				{"ends, not counted", ClassEnd}, {"with a rigid part, not counted", ClassCarries}, {"structural, not counted", ClassStructural},
			} {
				if count[c.class] > 0 {
					found.Measures = append(found.Measures, check.Also(c.name, float64(count[c.class]), say.Joints))
				}
			}
		}
	},
}
