package skeleton

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

var looseChain = check.Check[Facts]{
	ID:      "skeleton/loose-chain",
	Title:   "A chain that hangs on nothing",
	Measure: "chains of joints that a surface follows or that have a role, and that the figure's topmost joint does not carry; joints of a body that do not hang on the limb or trunk their role hangs on",
	Limits: []check.Limit{
		{Name: "chains", Value: 0, Grade: check.Flaw},
		{Name: "roles", Value: 0, Grade: check.Note},
	},
	Why: "Joints move with the joint they hang on. " +
		"What hangs on nothing stays behind when the figure walks away, unless every clip moves it by hand.",
	Remedy: "Make the named joint the child of the one beside it, keeping its place in the world; bind matrices stay as they are.\n" +
		"Then see that clips which move it do so from the new parent.",
	Source: "common practice, no source",
	Needs:  needsJoints,
	Judge: func(f *Facts, d *check.Docket) {
		f.judgeLoose(d, d.Limit("chains"), false)
		f.judgeLoose(d, d.Limit("roles"), true)
	},
}

func (f *Facts) judgeLoose(d *check.Docket, limit check.Limit, role bool) {
	var joints, on []rig.Node
	var said []string
	ownKeys := true
	far := 0.0
	for i := range f.Loose {
		l := &f.Loose[i]
		if l.Role != role {
			continue
		}
		joints = append(joints, l.Root)
		ownKeys = ownKeys && l.OwnKeys
		text := f.name(l.Root)
		if l.HangOn >= 0 {
			text += " on " + f.name(l.HangOn)
			on = append(on, l.HangOn)
			if l.Distance != nil {
				text += fmt.Sprintf(" (%.3g m away; %s)", *l.Distance, l.Why)
				far = max(far, *l.Distance)
			} else {
				text += " (" + l.Why + ")"
			}
		}
		said = append(said, text)
	}
	if float64(len(joints)) <= limit.Value || len(joints) == 0 {
		return
	}
	found := d.Found(limit, "chains", float64(len(joints)), f.on(joints...))
	found.Where.Nodes = on
	found.Subject = f.names(joints)
	found.Remedy = "To hang: " + exam.Listed(said) + ".\n" + found.Remedy
	found.Measures = append(found.Measures, figure("farthest from its bone", far, "m"))
	if ownKeys {
		found.Why += " Here clips do move it by its own keys."
	}
	if role {
		found.Title = "A joint of the body that hangs elsewhere"
		found.Why = "A hand or foot that does not hang on its limb stays where it is when the limb is bent by hand, or by motion made for another figure."
		if ownKeys {
			found.Why += " The clips of this file move it by its own keys, so they are sound."
		}
	}
}
