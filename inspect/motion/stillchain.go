package motion

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/say"
)

// A body limb is still "in every clip" only where there are two clips at least.
var stillChain = check.Check[Facts]{
	ID:      "motion/still-chain",
	Title:   "Chain that stays still",
	Measure: "joints with influence that no key of a clip moves from the rest pose, a whole run of them to the next branch or the end, while the joint above moves",
	Limits: []check.Limit{
		{Name: "joints", Unit: say.Joints, Value: 2, Grade: check.Flaw, Reached: true},
		{Name: "sprung", Unit: say.Joints, Value: 2, Grade: check.Note, Reached: true},
		{Name: "lone", Unit: say.Joints, Value: 1, Grade: check.Note, Reached: true},
	},
	Why: "A chain that was bound to swing (for secondary motion), and gets no keys, is carried along like a stick: the cable does not hang, the tail does not wag. " +
		"It shows most where everything else moves.",
	Remedy: "Key the named joints in the named clips.\n" +
		"If they hang by themselves in the program that shows the figure (simulated there), nothing is amiss.",
	Source: "common practice, no source; a joint without a channel keeps its rest value: glTF 2.0, Animations; springs: VRMC_springBone 1.0",
	Needs:  needsBody,
	Judge: func(f *Facts, d *check.Docket) {
		joints, sprung, lone := d.Limit("joints"), d.Limit("sprung"), d.Limit("lone")
		done := make([]bool, len(f.Chains))
		for i := range f.Chains {
			first := &f.Chains[i]
			limit := joints
			if first.Sprung {
				limit = sprung
			}
			var group []*Chain
			for k := i; k < len(f.Chains); k++ {
				c := &f.Chains[k]
				if !done[k] && float64(len(c.Joints)) >= limit.Value && (k == i || sameClips(c, first) && c.Reason == first.Reason && c.Of == first.Of && c.Sprung == first.Sprung) {
					done[k] = true
					group = append(group, c)
				}
			}
			if len(group) > 0 {
				f.fileStill(d, limit, group)
			}
		}
		if n := float64(len(f.Stiff)); n >= lone.Value {
			where := check.Nowhere()
			where.Joints = f.Stiff
			found := d.Found(lone, "joints", n, where)
			found.Title = "Joints no clip moves"
			found.Subject = f.nodeNames(f.Stiff)
			found.Measures = append(found.Measures, check.Also("of them held in another pose than at rest", float64(f.StiffHeld), say.Joints),
				check.Also("clips that move what they hang on", float64(f.StiffClips), say.Clips))
			found.Why = "These joints have influence and are carried along, but no key of any clip turns them against the joint above. " +
				"In fingers or armour that may be meant; a paw or a wrist that never gives looks wooden."
		}
	},
}

func (f *Facts) fileStill(d *check.Docket, l check.Limit, group []*Chain) {
	first := group[0]
	where := inClip(first.Clips[0], f.Clips[first.Clips[0]].Start)
	var names []string
	n := 0
	for _, c := range group {
		n += len(c.Joints)
		where.Joints = append(where.Joints, c.Joints...)
		names = append(names, f.Of.run(c.Joints))
	}
	where.Clips = first.Clips
	found := d.Found(l, "still joints", float64(n), where)
	found.Subject = exam.Listed(names)
	found.Measures = append(found.Measures,
		check.Also("chains", float64(len(group)), say.Chains),
		check.Also("clips they are still in", float64(len(first.Clips)), say.Clips),
		check.Also("clips that move what they hang on", float64(first.Of), say.Clips))
	if first.Body {
		found.Why = "These joints are the body's own: what hangs on them is carried along on a stiff trunk or limb, in every clip."
	}
	if first.Sprung {
		found.Title = "Chain left to springs"
		found.Why = "No keyframe moves these joints, but the file gives them springs: a player that simulates those will move them. In any other the chain is carried along like a stick."
		found.Remedy = "Nothing, where every player that shows the figure simulates springs.\n" +
			"Else let the chain follow, so that its movement stands in the clips."
		return
	}
	found.Why = f.whyStill(first) + " " + found.Why
	found.Remedy = f.remedyStill(first)
}

func (f *Facts) whyStill(c *Chain) string {
	in := "in " + f.clipNames(c.Clips)
	switch c.Reason {
	case Constant:
		return "The channels of these joints say the rest pose from the first key to the last " + in + "."
	case Outside:
		return fmt.Sprintf("No key moves these joints %s, but %s, which is in no skin, moves in their place.", in, f.Of.name(c.Other))
	case Twin:
		return fmt.Sprintf("The keys %s move another node of the same name, node %d, and not these joints.", in, c.Other)
	}
	return "No channel names these joints " + in + "."
}

func (f *Facts) remedyStill(c *Chain) string {
	const simulated = "\nIf they hang by themselves in the program that shows the figure (simulated there), nothing is amiss."
	switch c.Reason {
	case Constant:
		return "Look whether the movement sits on a layer or a control that was not carried onto the joints; put it onto them, key for key, before the export.\n" +
			"Else key the named joints in the named clips." + simulated
	case Outside:
		return "Put the movement of " + f.Of.name(c.Other) + " and its like onto the joints of the skin, key for key, before the export." + simulated
	case Twin:
		return "Give every node a name of its own and assign the clip to the joints of the skin again.\n" +
			"Or move the channels from the twin onto the joints." + simulated
	}
	return "Key the named joints in the named clips.\n" +
		"Look whether they were left out of the export because no control was chosen for them." + simulated
}
