package skeleton

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var looseChain = check.Check[Facts]{
	ID:      "skeleton/loose-chain",
	Title:   "Chain hangs on nothing",
	Measure: "chains of joints that a surface follows or that have a role, and that the figure's topmost joint does not carry; joints of a body that do not hang on the limb or trunk their role hangs on, apart those that every clip places by keys of their own; skeletons of which four fifths of the joints stand where joints of the main one do",
	Limits: []check.Limit{
		{Name: "chains", Unit: say.Chains, Value: 0, Grade: check.Flaw},
		{Name: "copies", Unit: say.Skeletons, Value: 0, Grade: check.Flaw},
		{Name: "wrong", Unit: say.Joints, Value: 0, Grade: check.Flaw},
		{Name: "roles", Unit: say.Joints, Value: 0, Grade: check.Note},
	},
	Why: "Joints move with the joint they hang on. " +
		"What hangs on nothing stays behind when the figure walks away, unless every clip moves it by hand.",
	Remedy: "Make each named joint the child of the one listed beside it, keeping its place in the world; bind matrices stay as they are.\n" +
		"Then see that clips which move it do so from the new parent.",
	Source: "common practice, no source",
	Needs:  needsJoints,
	Judge: func(f *Facts, d *check.Docket) {
		f.judgeLoose(d, d.Limit("chains"), func(l *Loose) bool { return !l.Role && l.Copy == 0 })
		f.judgeCopies(d, d.Limit("copies"))
		f.judgeLoose(d, d.Limit("wrong"), func(l *Loose) bool { return l.Role && (l.Across || !l.OwnKeys) })
		f.judgeLoose(d, d.Limit("roles"), func(l *Loose) bool { return l.Role && !l.Across && l.OwnKeys })
	},
}

func (f *Facts) judgeLoose(d *check.Docket, limit check.Limit, of func(*Loose) bool) {
	var joints []rig.Node
	var hang [][2]rig.Node
	var said []string
	ownKeys := true
	far := 0.0
	for i := range f.Loose {
		l := &f.Loose[i]
		if !of(l) {
			continue
		}
		joints = append(joints, l.Root)
		hang = append(hang, [2]rig.Node{l.Root, l.HangOn})
		ownKeys = ownKeys && l.OwnKeys
		text := f.name(l.Root)
		if l.HangsOn >= 0 {
			text += " hangs on " + f.name(l.HangsOn)
		}
		if said = append(said, text); l.Distance != nil {
			far = max(far, *l.Distance)
		}
	}
	if float64(len(joints)) <= limit.Value || len(joints) == 0 {
		return
	}
	found := d.Found(limit, "chains", float64(len(joints)), f.on(joints...))
	found.Where.Hang = hang
	found.Subject = exam.Listed(said)
	found.Measures = append(found.Measures, check.Also("farthest from its bone", far, say.Metre))
	switch limit.Name {
	case "chains":
		if f.Axes.Hand {
			found.Why = "These are the joints of WebXR Hand Input, whose poses come one by one in one space: a program that sets each by itself wants them side by side, as they are. " +
				"Turned as a skeleton, by hand or by a clip, the wrist leaves the fingers behind."
			found.Remedy = "Leave them as they are for a program that sets every joint by itself.\n" +
				"For a skeleton that is posed or animated, make each named joint the child of the one listed beside it in a copy, keeping its place in the world; bind matrices stay as they are."
		}
		if ownKeys {
			found.Why += " Here every clip places it by keys of its own."
		}
		return
	case "wrong":
		found.Title = "Joint on wrong limb"
	default:
		found.Title = "Joint hangs elsewhere"
	}
	found.Measures[0].Name = "joints"
	found.Why = "A part of a body that does not hang on its limb or trunk (its parent, in the tree of nodes) stays where it is when that is bent, by hand or by motion made for another figure."
	if limit.Name == "roles" {
		found.Why += " Every clip of this file places it by keys of its own, so these are sound."
	}
}

// judgeCopies files skeletons that stand where the main one does: a coat's, saved with it.
func (f *Facts) judgeCopies(d *check.Docket, limit check.Limit) {
	var joints []rig.Node
	var said []string
	copied := 0
	for i := range f.Loose {
		if l := &f.Loose[i]; l.Copy > 0 {
			joints, copied = append(joints, l.Root), copied+l.Copy
			said = append(said, fmt.Sprintf("%s with %s", f.name(l.Root), say.Count(l.Joints, "joint", "joints")))
		}
	}
	if float64(len(joints)) <= limit.Value {
		return
	}
	found := d.Found(limit, "skeletons", float64(len(joints)), f.on(joints...))
	found.Title = "Skeleton stands twice"
	found.Subject = exam.Listed(said)
	found.Measures = append(found.Measures, check.Also("joints where the first has one", float64(copied), say.Joints))
	found.Why = "A second skeleton (rig) stands where the first does, and a part of the surface follows it. " +
		"A pose or a clip made for the first leaves that part behind, unless it moves both alike."
	found.Remedy = "Bind what follows the second skeleton to the joints of the first that stand at the same places, with the same weights; then take the second out.\n" +
		"Do not hang the second on the first: clips that move both would move that part twice."
}
