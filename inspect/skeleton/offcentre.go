package skeleton

import (
	"cmp"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// It looks at trunk and head sideways only (the spine of H-Anim's example lies 8 cm
// behind the middle) and leaves out joints whose section is wider than their bone, and
// loops that go round both partners at once (a coat at the knees).
var offCentre = check.Check[Facts]{
	ID:      "skeleton/off-centre",
	Title:   "Joint off its middle",
	Measure: "distance of a joint from the middle of the surface's section around it, cut across the bone, ÷ the radius of a circle of that area; of trunk and head the distance sideways alone. Outside: no section goes round it, and the surface in space less than half",
	Limits: []check.Limit{
		{Name: "offset", Unit: say.TimesRadius, Value: 0.5, Grade: check.Note},
		{Name: "outside", Unit: say.Winding, Value: insideOf, Grade: check.Flaw, Below: true},
	},
	Why: "A limb turns about its joint (its pivot). " +
		"From beside the middle, one side of it is stretched and the other folds up.",
	Remedy: "Move the joint to the middle of the section, in the rest pose before binding; where the limb bends, a little towards the outside of the bend.\n" +
		"Bind again, or renew its inverse bind matrix where it stands.",
	Source: "common practice, no source; winding number after Jacobson, Kavan and Sorkine-Hornung 2013",
	Lens:   "section-depth",
	Needs: func(f *Facts) string {
		if reason := needsJoints(f); reason != "" {
			return reason
		}
		if f.NoRoom != "" {
			return f.NoRoom
		}
		if len(f.Sections) == 0 {
			return "the surface is open around every joint"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		offset, outside := d.Limit("offset"), d.Limit("outside")
		f.judgeOutside(d, outside)
		joints, worst := f.beyond(func(s *Section) float64 {
			if !s.Inside || !(s.Offset > offset.Value) {
				return 0
			}
			return s.Offset
		})
		if worst == nil {
			return
		}
		where := f.on(joints...)
		if len(joints) == 1 {
			where = f.around(worst)
		}
		found := d.Found(offset, "offset", worst.Offset, where)
		found.Subject = f.names(joints)
		found.Measures = append(found.Measures, check.Also("worst joint off by", worst.Offset*worst.Radius, say.Metre), check.Also("radius of its section", worst.Radius, say.Metre), check.Also("joints", float64(len(joints)), say.Joints))
	},
}

// beyond lists the joints whose section has a measure above 0, the worst first.
func (f *Facts) beyond(measure func(*Section) float64) (joints []rig.Node, worst *Section) {
	var found []*Section
	for i := range f.Sections {
		if measure(&f.Sections[i]) > 0 {
			found = append(found, &f.Sections[i])
		}
	}
	slices.SortStableFunc(found, func(a, b *Section) int { return cmp.Compare(measure(b), measure(a)) })
	for _, s := range found {
		joints = append(joints, s.Joint)
	}
	if len(found) > 0 {
		worst = found[0]
	}
	return joints, worst
}

// judgeOutside files the joints outside the surface, the farthest first.
func (f *Facts) judgeOutside(d *check.Docket, outside check.Limit) {
	joints, worst := f.beyond(func(s *Section) float64 {
		if s.Inside || !(s.Winding < outside.Value) {
			return 0
		}
		return s.Away
	})
	if worst == nil {
		return
	}
	where := f.on(joints...)
	if len(joints) == 1 {
		where = f.around(worst)
	}
	found := d.Found(outside, "winding number", worst.Winding, where)
	found.Title, found.Subject = "Joint outside the surface", f.names(joints)
	found.Why = "A limb turns about its joint (its pivot). From outside the surface it swings like a door instead of bending."
	found.Measures = append(found.Measures, check.Also("distance from the section beside it", worst.Away, say.Metre), check.Also("joints", float64(len(joints)), say.Joints))
}

// around makes a place of a section.
func (f *Facts) around(s *Section) check.Where {
	w := check.Nowhere()
	w.Joints = []rig.Node{s.Joint}
	w.Nodes = []rig.Node{s.Node}
	at := s.Place
	w.Point, w.Extent = &at, 2*max(s.Radius, s.Away)
	return w
}
