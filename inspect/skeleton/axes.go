package skeleton

import (
	"fmt"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var axes = check.Check[Facts]{
	ID:      "skeleton/axes",
	Title:   "Axes differ between sides",
	Measure: "share of pairs of joints with a role whose frames are neither mirrored nor copied (within 20°, bones laid on each other), or are some the one and some the other, apart for the body and for fingers, eyes and jaw; share of joints with a role whose bone lies more than 45° off the axis that most bones lie along; degrees of −Z off the bone in a hand named as WebXR names it; rest rotation of VRM 0.x bones",
	Limits: []check.Limit{
		{Name: "pairs", Unit: say.Share, Value: 0, Grade: check.Flaw},
		{Name: "small pairs", Unit: say.Share, Value: 0, Grade: check.Note},
		{Name: "outliers", Unit: say.Share, Value: 0.2, Grade: check.Note},
		{Name: "hand", Unit: say.Degree, Value: 20, Grade: check.Flaw},
		{Name: "vrm0", Unit: say.Degree, Value: 0.5, Grade: check.Flaw},
	},
	Why: "A pose is mirrored by one rule for all joints: which signs of a turn change. " +
		"A pair whose axes (joint orientation) follow another rule bends the wrong way on one side.",
	Remedy: "Set the axes of one side right and mirror its joints, axes included, to the other.\n" +
		"Do it before binding; afterwards inverse bind matrices and clips must be renewed.",
	Source: "WebXR Hand Input (−Z along the bone to the tip); VRM 0.x (no rest rotation); the rest is common practice, no source",
	Needs:  needsJoints,
	Judge: func(f *Facts, d *check.Docket) {
		f.judgeFrames(d, d.Limit("pairs"), true)
		f.judgeFrames(d, d.Limit("small pairs"), false)
		f.judgeOutliers(d, d.Limit("outliers"))
		f.judgeWorst(d, d.Limit("hand"), f.Axes.HandOff, "−Z off the bone", "Hand axes off bones",
			"A WebXR hand is posed joint by joint, −Z from each joint to the tip. A joint with other axes turns its part of the hand across the finger.")
		f.judgeWorst(d, d.Limit("vrm0"), f.Axes.OldOff, "rest rotation", "Rest rotation in VRM",
			"VRM 0.x has no rotation on bones at rest. Players take the stored turn for motion and show the figure bent.")
	},
}

// judgeFrames grades the pairs of the body, or those of fingers, eyes and jaw: a
// thumb that is rolled otherwise is a small matter beside a forearm.
func (f *Facts) judgeFrames(d *check.Docket, l check.Limit, body bool) {
	var mirrored, copied, neither, all int
	for i := range f.Pairs {
		if p := &f.Pairs[i]; p.Known && p.Frames != "" && anatomy.IsBodyRole(f.roleOf(p.Left)) == body {
			all++
			switch p.Frames {
			case "mirrored":
				mirrored++
			case "copied":
				copied++
			case "neither":
				neither++
			}
		}
	}
	if all == 0 {
		return
	}
	odd := "copied"
	if copied > mirrored {
		odd = "mirrored"
	}
	count := neither + min(mirrored, copied)
	share := float64(count) / float64(all)
	if share <= l.Value {
		return
	}
	var joints []rig.Node
	for i := range f.Pairs {
		if p := &f.Pairs[i]; p.Known && anatomy.IsBodyRole(f.roleOf(p.Left)) == body && (p.Frames == "neither" || mirrored > 0 && copied > 0 && p.Frames == odd) {
			joints = append(joints, p.Left, p.Right)
		}
	}
	found := d.Found(l, "pairs", share, f.on(joints...))
	var off []string
	if neither > 0 {
		off = append(off, fmt.Sprintf("%s neither mirrored nor copied", say.Whole(neither)))
	}
	if n := min(mirrored, copied); n > 0 {
		as := "mirrored"
		if odd == as {
			as = "copied"
		}
		off = append(off, fmt.Sprintf("%s %s and not %s", say.Whole(n), odd, as))
	}
	found.Subject = fmt.Sprintf("%s: of %s, %s", f.names(joints), say.Count(all, "pair", "pairs"), strings.Join(off, ", "))
}

func (f *Facts) judgeOutliers(d *check.Docket, l check.Limit) {
	if f.Axes.Of == 0 {
		return
	}
	share := float64(f.Axes.Outliers) / float64(f.Axes.Of)
	if share <= l.Value {
		return
	}
	found := d.Found(l, "joints off", share, f.on(f.Axes.Off...))
	found.Title = "Bones along different axes"
	found.Subject = fmt.Sprintf("%s of %s %s not lie along %s", say.Whole(f.Axes.Outliers), say.Count(f.Axes.Of, "bone", "bones"), say.Word(f.Axes.Outliers, "does", "do"), f.Axes.Majority)
	found.Why = "Most bones lie along one own axis of their joints, these along another. Turning a joint about its axes by hand, or limiting it, needs care then."
	if f.Axes.Parallel {
		found.Title = "Axes along the world"
		found.Why = "No joint has axes of its own: all are the world's. That is allowed, and VRM 0.x asks for it; turning a joint about its bone takes two axes at once."
	}
	found.Remedy = "Nothing is to be done for playing clips.\nTo pose by hand, lay one axis of every joint along its bone before binding."
	found.Source = "common practice, no source"
}

// judgeWorst files the joints of a list that are off by more than the limit.
func (f *Facts) judgeWorst(d *check.Docket, l check.Limit, list []OffBone, measure, title, why string) {
	var joints []rig.Node
	var names []string
	worst := 0.0
	for _, b := range list {
		if b.Degrees > l.Value {
			joints, names = append(joints, b.Node), append(names, exam.Called(string(b.Name), b.Node))
			worst = max(worst, b.Degrees)
		}
	}
	if len(joints) == 0 {
		return
	}
	found := d.Found(l, measure, worst, f.onNodes(joints))
	found.Title, found.Subject, found.Why = title, exam.Listed(names), why
	found.Measures = append(found.Measures, check.Also("joints", float64(len(joints)), say.Joints))
}
