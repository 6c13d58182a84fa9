package skeleton

import (
	"fmt"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// WrongSide is a joint whose name says the one side and that stands on the other.
type WrongSide struct {
	Node   rig.Node `json:"node"`
	Named  string   `json:"named"`    // left, right
	Stands string   `json:"stands"`   // likewise
	Across float64  `json:"across_m"` // beyond the middle plane, > 0
}

var sideLabel = check.Check[Facts]{
	ID:      "skeleton/side-label",
	Title:   "Name of wrong side",
	Measure: "how far a joint that is named left or right stands beyond the middle, on the other side, ÷ height",
	Limits:  []check.Limit{{Name: "across", Unit: say.TimesHeight, Value: 0.02, Grade: check.Flaw}},
	Why: "Whoever mirrors a pose, or carries a clip over from another figure, goes by the names (the naming convention). " +
		"A joint with the wrong one moves with the wrong limb.",
	Remedy: "Exchange the names of the joint and its partner, in the skeleton and in the weights together.\n" +
		"When all of them are exchanged, the figure itself may be mirrored: see whether a negative scale stands above it.",
	Source: "common practice, no source",
	Needs: func(f *Facts) string {
		if reason := needsJoints(f); reason != "" {
			return reason
		}
		if !f.SidesTold {
			return "nothing tells the figure's left from its right"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("across")
		if !(f.Height > 0) {
			return
		}
		where, worst, named := check.Nowhere(), 0.0, f.Sided.Named
		var first *WrongSide
		for i := range f.WrongSide {
			w := &f.WrongSide[i]
			if w.Across/f.Height <= limit.Value {
				continue
			}
			if w.Across/f.Height > worst {
				worst, first = w.Across/f.Height, w
			}
			where.Joints = append(where.Joints, w.Node)
		}
		if first == nil {
			return
		}
		f.point(&where)
		found := d.Found(limit, "across", worst, where)
		found.Subject = fmt.Sprintf("%s, on the %s of the figure", f.names(where.Joints), first.Stands)
		if len(where.Joints) > 1 {
			found.Subject = f.names(where.Joints)
			if 5*len(where.Joints) > 4*named {
				found.Subject = fmt.Sprintf("%s of %s", say.Whole(len(where.Joints)), say.Count(named, "sided name", "sided names"))
			}
		}
		found.Measures = append(found.Measures, check.Also("joints", float64(len(where.Joints)), say.Joints))
	},
}

// measureSides finds the joints that stand beyond the middle.
func (f *Facts) measureSides() {
	for i := range f.Joints {
		part := &f.roles.Of[f.Joints[i].Node]
		if part.Named == anatomy.Left || part.Named == anatomy.Right {
			f.Sided.Named++
		}
		switch part.Side {
		case anatomy.Left:
			f.Sided.Left++
		case anatomy.Right:
			f.Sided.Right++
		}
	}
	f.SidesTold = f.middle.known && f.middle.sidesOK
	if !f.middle.known {
		return
	}
	for i := range f.Joints {
		n := f.Joints[i].Node
		a := f.middle.across(f.Joints[i].Position)
		switch s := f.roles.Of[n].Named; {
		case !f.Joints[i].Placed:
		case s == anatomy.Left && a < 0:
			f.WrongSide = append(f.WrongSide, WrongSide{n, s.String(), s.Other().String(), -a})
		case s == anatomy.Right && a > 0:
			f.WrongSide = append(f.WrongSide, WrongSide{n, s.String(), s.Other().String(), a})
		}
	}
}
