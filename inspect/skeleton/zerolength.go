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
		for _, g := range f.Coincide {
			if f.Diagonal > 0 && g.Metres >= limit.Value*f.Diagonal {
				continue
			}
			joints = append(joints, g.Node)
			worst = max(worst, g.Metres)
		}
		if len(joints) == 0 {
			return
		}
		value := 0.0
		if f.Diagonal > 0 {
			value = worst / f.Diagonal
		}
		found := d.Found(limit, "length", value, f.on(joints...))
		found.Subject = f.names(joints)
		found.Measures = append(found.Measures, check.Also("joints", float64(len(joints)), say.Joints))
	},
}

// Gap is how far a joint stands from the one it hangs on.
type Gap struct {
	Node   rig.Node `json:"node"`
	Metres float64  `json:"metres"`
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
		if gap := p.Position.Sub(j.Position).Len(); j.Placed && p.Placed && gap <= 1e4*zeroShare*f.Diagonal {
			f.Coincide = append(f.Coincide, Gap{j.Node, gap})
		}
	}
}
