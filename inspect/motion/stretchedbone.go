package motion

import (
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
)

var stretchedBone = check.Check[Facts]{
	ID:      "motion/stretched-bone",
	Title:   "Bones that change their length",
	Measure: "change of the distance between a joint and the joint above it by translation keys, in lengths at rest; joints with influence (all in a file without a surface), hips left out",
	Limits: []check.Limit{
		{Name: "change", Unit: "× length", Value: 0.02, Grade: check.Note},
		{Name: "limb", Unit: "× length", Value: 0.2, Grade: check.Note},
	},
	Why: "Translation keys on a joint inside the body pull its bone longer or shorter: the arm grows in the middle of a move. " +
		"It may be meant, as in a drawn figure; often it is a clip made for other proportions.",
	Remedy: "Where it is not meant, take the translation channels off the named joints and leave rotations only.\n" +
		"Where the joint is placed by a control outside its limb, hang it on the limb instead.",
	Source: "common practice, no source",
	Needs:  needsBones,
	Judge: func(f *Facts, d *check.Docket) {
		change, limb := d.Limit("change"), d.Limit("limb")
		file := func(l check.Limit, name string, takes func(*Stretched) bool) *check.Finding {
			worst := func(c *Clip) (best *Stretched) {
				for i := range c.Stretched {
					if s := &c.Stretched[i]; takes(s) && (best == nil || s.Ratio > best.Ratio) {
						best = s
					}
				}
				return best
			}
			found := f.worstClips(d, l, name, func(c *Clip) (float64, bool) {
				if s := worst(c); s != nil {
					return s.Ratio, true
				}
				return 0, false
			}, func(c *Clip) check.Where { return inClip(c.Clip, worst(c).Time, worst(c).Node) })
			if found == nil {
				return nil
			}
			for i := range f.Clips {
				for k := range f.Clips[i].Stretched {
					if s := &f.Clips[i].Stretched[k]; takes(s) && !slices.Contains(found.Where.Joints, s.Node) {
						found.Where.Joints = append(found.Where.Joints, s.Node)
					}
				}
			}
			slices.Sort(found.Where.Joints[1:])
			found.Subject = f.nodeNames(append([]rig.Node{}, found.Where.Joints...)) + " in " + found.Subject
			return found
		}
		isLimb := func(s *Stretched) bool { return s.Limb && s.Ratio > limb.Value }
		if found := file(limb, "change of a limb's bone", isLimb); found != nil {
			found.Title = "A limb's bone changes its length by much"
		}
		file(change, "change", func(s *Stretched) bool { return s.Ratio > change.Value && !isLimb(s) })
	},
}
