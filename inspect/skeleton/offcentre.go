package skeleton

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

var offCentre = check.Check[Facts]{
	ID:      "skeleton/off-centre",
	Title:   "A joint beside the middle of its limb",
	Measure: "distance of a joint from the middle of the surface's section around it, cut across the bone, ÷ the radius of a circle of that area; of trunk and head the distance sideways alone. Outside: no section goes round it, and the surface in space less than half",
	Limits: []check.Limit{
		{Name: "offset", Unit: "× radius", Value: 0.5, Grade: check.Note},
		{Name: "outside", Unit: "winding number", Value: insideOf, Grade: check.Flaw},
	},
	Why: "A limb turns about its joint. " +
		"From beside the middle, one side of it is stretched and the other folds up.",
	Remedy: "Move the joint to the middle of the section, in the rest pose before binding; where the limb bends, a little towards the outside of the bend.\n" +
		"Bind again, or renew its inverse bind matrix where it stands.",
	Source: "common practice, no source; winding number after Jacobson, Kavan and Sorkine-Hornung 2013",
	Needs: func(f *Facts) string {
		if reason := needsJoints(f); reason != "" {
			return reason
		}
		if f.noRoom != "" {
			return f.noRoom
		}
		if len(f.Sections) == 0 {
			return "the surface is open around every joint"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		offset, outside := d.Limit("offset"), d.Limit("outside")
		f.judgeOutside(d, outside)
		var joints []rig.Node
		var names []string
		var worst *Section
		for i := range f.Sections {
			s := &f.Sections[i]
			if !s.Inside || !(s.Offset > offset.Value) {
				continue
			}
			joints = append(joints, s.Joint)
			names = append(names, f.name(s.Joint))
			if worst == nil || s.Offset > worst.Offset {
				worst = s
			}
		}
		if worst == nil {
			return
		}
		where := f.on(joints...)
		if len(joints) == 1 {
			where = f.around(worst)
		}
		found := d.Found(offset, "offset", worst.Offset, where)
		found.Subject = exam.Listed(names)
		found.Measures = append(found.Measures, figure("worst joint off by", worst.Offset*worst.Radius, "m"), figure("radius of its section", worst.Radius, "m"), figure("joints", float64(len(joints)), ""))
	},
}

// judgeOutside files the joints outside the surface, the farthest first in words.
func (f *Facts) judgeOutside(d *check.Docket, outside check.Limit) {
	var joints []rig.Node
	var worst *Section
	for i := range f.Sections {
		s := &f.Sections[i]
		if s.Inside || !(s.Winding < outside.Value) {
			continue
		}
		joints = append(joints, s.Joint)
		if worst == nil || s.Away > worst.Away {
			worst = s
		}
	}
	if worst == nil {
		return
	}
	where := f.on(joints...)
	if len(joints) == 1 {
		where = f.around(worst)
	}
	found := d.Found(outside, "winding number", worst.Winding, where)
	found.Title, found.Subject = "A joint outside the surface", f.names(joints)
	found.Why = "A limb turns about its joint. From outside the surface it swings like a door instead of bending."
	found.Measures = append(found.Measures, figure("distance from the section beside it", worst.Away, "m"), figure("joints", float64(len(joints)), ""))
}

// around makes a place of a section.
func (f *Facts) around(s *Section) check.Where {
	w := check.Nowhere()
	w.Joints = []rig.Node{s.Joint}
	w.Nodes = []rig.Node{f.e.Rig.Surfaces[s.Surface].Node}
	at := s.Place
	w.Point, w.Extent = &at, 2*max(s.Radius, s.Away)
	return w
}
