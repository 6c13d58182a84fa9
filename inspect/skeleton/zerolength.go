package skeleton

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var zeroLength = check.Check[Facts]{
	ID:      "skeleton/zero-length",
	Title:   "Two joints coincide",
	Measure: "distance of a joint from the joint it hangs on ÷ diagonal, for joints that a surface follows or that have a role",
	Limits:  []check.Limit{{Name: "length", Unit: say.TimesDiagonal, Value: zeroShare, Grade: check.Note, Below: true}},
	Why: "A zero-length bone has no direction. " +
		"Whatever turns a bone towards something, or measures it, has nothing to go by there.",
	Remedy: "Where the two do the same, leave one out and give its weights to the other.\n" +
		"Where one of them is a helper (a twist, a socket), move it along the bone.",
	Source: "common practice, no source",
	Needs:  needsJoints,
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("length")
		var joints []rig.Node
		worst := 0.0
		for _, p := range f.zero {
			gap := f.at(p[0]).Position.Sub(f.at(p[1]).Position).Len()
			if f.diagonal > 0 && gap >= limit.Value*f.diagonal {
				continue
			}
			joints = append(joints, p[1])
			worst = max(worst, gap)
		}
		if len(joints) == 0 {
			return
		}
		value := 0.0
		if f.diagonal > 0 {
			value = worst / f.diagonal
		}
		found := d.Found(limit, "length", value, f.on(joints...))
		found.Subject = f.names(joints)
		found.Measures = append(found.Measures, check.Also("joints", float64(len(joints)), say.Joints))
	},
}

// zeroShare of the diagonal is no length.
const zeroShare = 1e-5

// measureZero lists the joints that may stand where their parent does, nearer than
// a tenth of the diagonal: the limit may be moved up to there.
func (f *Facts) measureZero() {
	for i := range f.Joints {
		j := &f.Joints[i]
		if j.Parent == nil || !f.matters(j.Node) || !f.matters(*j.Parent) {
			continue
		}
		p := f.at(*j.Parent)
		if j.hasRealSpot && p.hasRealSpot && j.Position.Sub(p.Position).Len() <= 1e4*zeroShare*f.diagonal {
			f.zero = append(f.zero, [2]rig.Node{p.Node, j.Node})
		}
	}
}
