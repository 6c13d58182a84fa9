package motion

import (
	"cmp"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// On real figures: of ten of the knight's clips whose arm "grew" by up to 44 % every one
// slides the upper arm at the shoulder. The robot's feet hang on controls; measured from
// the knee they part from it by up to 62 %.
var stretchedBone = check.Check[Facts]{
	ID:      "motion/stretched-bone",
	Title:   "Bone changes its length",
	Measure: "change of the distance between the two joints of a bone by translation keys, in lengths at rest: bones of arms and legs (by their roles, wherever the joints hang), of trunk, fingers and chains. Sockets are left out: hips, shoulder, hip joint, palm, jaw, eye, helpers and what hangs on the body without a role",
	Limits: []check.Limit{
		{Name: "change", Unit: say.TimesLength, Value: 0.02, Grade: check.Note},
		{Name: "limb", Unit: say.TimesLength, Value: 0.2, Grade: check.Note},
	},
	Why: "Translation keys on a joint inside the body pull its bone longer or shorter: the arm grows in the middle of a move (bone stretching). " +
		"It may be meant, as in a drawn figure; often it is a clip made for other proportions.",
	Remedy: "Where it is not meant, take the translation channels off the named joints and leave rotations only.\n" +
		"Where the joint is placed by a control outside its limb, hang it on the limb instead.",
	Source: "common practice, no source",
	Needs: func(f *Facts) string {
		if why := needsBones(f); why != "" {
			return why
		}
		found := slices.ContainsFunc(f.Clips, func(c Clip) bool { return len(c.Stretched) > 0 })
		if n := f.Of.FarBones; n > 0 && !found {
			return say.Count(n, "bone reaches", "bones reach") + " over more than 64 nodes and could not be watched; the others keep their length"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		change, limb := d.Limit("change"), d.Limit("limb")
		isLimb := func(s *Stretched) bool { return s.Bone == LimbBone && s.Ratio > limb.Value }
		takes := func(s *Stretched) bool { return s.Bone != Socket && s.Ratio > change.Value || isLimb(s) }
		// The bone that changes most; a limb's by much comes before all others.
		order := func(a, b *Stretched) int {
			if isLimb(a) != isLimb(b) {
				return map[bool]int{true: 1, false: -1}[isLimb(a)]
			}
			return cmp.Compare(a.Ratio, b.Ratio)
		}
		worst := func(c *Clip) (best *Stretched) {
			for i := range c.Stretched {
				if s := &c.Stretched[i]; takes(s) && (best == nil || order(s, best) > 0) {
					best = s
				}
			}
			return best
		}
		var top *Stretched
		for i := range f.Clips {
			if s := worst(&f.Clips[i]); s != nil && (top == nil || order(s, top) > 0) {
				top = s
			}
		}
		if top == nil {
			return
		}
		l, name := change, "change"
		if isLimb(top) {
			l, name = limb, "change of a limb's bone"
		}
		found := f.worstClips(d, l, name, func(c *Clip) (float64, bool) {
			s := worst(c)
			switch {
			case s == nil:
				return 0, false
			case isLimb(top) && !isLimb(s):
				return 0, true // changes too, but less
			}
			return s.Ratio, true
		}, func(c *Clip) check.Where { return inClip(c.Clip, worst(c).Time, worst(c).Node) })
		if isLimb(top) {
			found.Title = "Limb changes its length"
		}
		most := map[rig.Node]float64{}
		for i := range f.Clips {
			for k := range f.Clips[i].Stretched {
				if s := &f.Clips[i].Stretched[k]; takes(s) {
					most[s.Node] = max(most[s.Node], s.Ratio)
				}
			}
		}
		for n := range most {
			if n != found.Where.Joints[0] {
				found.Where.Joints = append(found.Where.Joints, n)
			}
		}
		slices.SortFunc(found.Where.Joints[1:], func(a, b rig.Node) int {
			return cmp.Or(cmp.Compare(most[b], most[a]), cmp.Compare(a, b))
		})
		found.Subject = f.nodeNames(slices.Clone(found.Where.Joints)) + " in " + found.Subject
		found.Measures = append(found.Measures, check.Also("bones", float64(len(most)), say.Bones))
	},
}
