package skeleton

import (
	"math"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var restPose = check.Check[Facts]{
	ID:      "skeleton/rest-pose",
	Title:   "Unusual rest pose",
	Measure: "angle of the upper arms below horizontal, degrees: T up to 10, A from 20 to 65, hanging beyond; their difference; how far a knee stands behind the line from hip to ankle, degrees",
	Limits: []check.Limit{
		{Name: "difference", Unit: say.Degree, Value: 5, Grade: check.Note},
		{Name: "level", Unit: say.Degree, Value: levelArm, Grade: check.Note},
		{Name: "steep", Unit: say.Degree, Value: flattestA, Grade: check.Note, Below: true},
		{Name: "knee", Unit: say.Degree, Value: kneeBehind, Grade: check.Note},
	},
	Why: "Motion stores turns from the rest pose of the figure it was made for. " +
		"When the arms of this one start elsewhere, they end elsewhere, by the same angle.",
	Remedy: "Set the arms to a clean T- or A-pose, both alike, and make that the rest pose.\n" +
		"Or tell the two rest poses to whatever carries the motion over.",
	Source: "VRM 1.0, humanoid (T-pose); the other classes are common practice, no source",
	Needs: func(f *Facts) string {
		if reason := needsFigure(f); reason != "" {
			return reason
		}
		if f.ArmPose.Left == nil && f.ArmPose.Right == nil {
			return "no arms were recognised"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		p := &f.ArmPose
		arms := []rig.Node{f.bearer("leftUpperArm"), f.bearer("rightUpperArm")}
		if p.Left != nil && p.Right != nil {
			l := d.Limit("difference")
			// A figure that leans sideways as a whole has one arm higher for that alone.
			if diff := math.Abs(*p.Left - *p.Right + 2*f.Lean); diff > l.Value {
				f.poseFound(d.Found(l, "difference", diff, f.on(arms...)))
			}
		}
		var sum, n float64
		var one []rig.Node
		for i, a := range []*float64{p.Left, p.Right} {
			if a != nil {
				sum, n = sum+*a, n+1
				one = append(one, arms[i])
			}
		}
		level, steep := d.Limit("level"), d.Limit("steep")
		if mean := sum / n; mean > level.Value && mean < steep.Value {
			f.poseFound(d.Found(level, "below level", mean, f.on(one...)))
		}
		f.judgeKnees(d)
	},
}

// poseFound adds both angles and what they mean.
func (f *Facts) poseFound(found *check.Finding) {
	found.Subject = "arms"
	for _, s := range []struct {
		name  string
		angle *float64
	}{{"left arm below level", f.ArmPose.Left}, {"right arm below level", f.ArmPose.Right}} {
		if s.angle != nil {
			found.Measures = append(found.Measures, check.Also(s.name, *s.angle, say.Degree))
		}
	}
	found.Why += " " + f.ArmPose.Says
}

func (f *Facts) judgeKnees(d *check.Docket) {
	l := d.Limit("knee")
	var joints []rig.Node
	worst := 0.0
	for i := range f.Limbs {
		if b := f.Limbs[i].Back; b != nil && *b > l.Value {
			joints = append(joints, f.bearer(strings.Replace(f.Limbs[i].Bone, "Leg", "LowerLeg", 1)))
			worst = max(worst, *b)
		}
	}
	if len(joints) == 0 {
		return
	}
	found := d.Found(l, "behind", worst, f.on(joints...))
	found.Title = "Knee bent backward"
	found.Why = "Whatever solves a leg from hip to foot bends the knee the way it is bent already. " +
		"This one is bent to the back by " + say.Quantity(worst, say.Degree) + "."
	found.Remedy = "Move the knee forward, in front of the line from hip to ankle, and renew its inverse bind matrix."
	found.Source = "common practice, no source"
	found.Subject = f.names(joints)
}
