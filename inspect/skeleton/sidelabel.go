package skeleton

import (
	"fmt"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// wrongSide is a joint whose name says the one side and that stands on the other.
type wrongSide struct {
	node   rig.Node
	named  anatomy.Side
	across float64 // metres beyond the middle plane, > 0
}

var sideLabel = check.Check[Facts]{
	ID:      "skeleton/side-label",
	Title:   "Name of wrong side",
	Measure: "how far a joint that is named left or right stands beyond the middle, on the other side, ÷ height",
	Limits:  []check.Limit{{Name: "across", Unit: say.TimesHeight, Value: 0.02, Grade: check.Flaw}},
	Why: "Whoever mirrors a pose, or carries a clip over from another figure, goes by the names. " +
		"A joint with the wrong one moves with the wrong limb.",
	Remedy: "Exchange the names of the joint and its partner, in the skeleton and in the weights together.\n" +
		"When all of them are exchanged, the figure itself may be mirrored: see whether a negative scale stands above it.",
	Source: "common practice, no source",
	Needs: func(f *Facts) string {
		if reason := needsJoints(f); reason != "" {
			return reason
		}
		if !f.middle.known || !f.middle.sidesOK {
			return "nothing tells the figure's left from its right"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("across")
		if !(f.height > 0) {
			return
		}
		where, worst, named := check.Nowhere(), 0.0, 0
		var first *wrongSide
		for i := range f.wrongSide {
			w := &f.wrongSide[i]
			if w.across/f.height <= limit.Value {
				continue
			}
			if w.across/f.height > worst {
				worst, first = w.across/f.height, w
			}
			where.Joints = append(where.Joints, w.node)
		}
		if first == nil {
			return
		}
		for i := range f.Joints {
			if s := f.roles.Of[f.Joints[i].Node].Named; s == anatomy.Left || s == anatomy.Right {
				named++
			}
		}
		f.point(&where)
		found := d.Found(limit, "across", worst, where)
		found.Subject = fmt.Sprintf("%s, on the %s of the figure", f.names(where.Joints), first.named.Other())
		if len(where.Joints) > 1 {
			found.Subject = f.names(where.Joints)
			if 5*len(where.Joints) > 4*named {
				found.Subject = fmt.Sprintf("%d of %d sided names", len(where.Joints), named)
			}
		}
		found.Measures = append(found.Measures, check.Also("joints", float64(len(where.Joints)), say.Joints))
	},
}

// measureSides finds the joints that stand beyond the middle.
func (f *Facts) measureSides() {
	if !f.middle.known {
		return
	}
	for i := range f.Joints {
		n := f.Joints[i].Node
		a := f.middle.across(f.Joints[i].Position)
		switch s := f.roles.Of[n].Named; {
		case !f.Joints[i].hasRealSpot:
		case s == anatomy.Left && a < 0:
			f.wrongSide = append(f.wrongSide, wrongSide{n, s, -a})
		case s == anatomy.Right && a > 0:
			f.wrongSide = append(f.wrongSide, wrongSide{n, s, a})
		}
	}
}
