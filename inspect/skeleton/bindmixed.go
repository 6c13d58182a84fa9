package skeleton

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// On real figures: six, each with its matrices lost, exchanged, shifted, reversed, in a
// ring, not inverted, are told so by name; posed figures and surfaces kept joint by
// joint are not. A rest pose may be any, so only an order in which all matrices agree,
// or joints that were bound far from what they hold, counts as evidence.
var bindMixedUp = check.Check[Facts]{
	ID:      "skeleton/bind-mixed",
	Title:   "Bind matrices mixed up",
	Measure: "joints with influence whose inverse bind matrix is another's: with the matrices in another order all joints agree on where the skin was bound (to 0.2 % of the diagonal); share of the skin's vertices that stand off their place by more than 2 % of the diagonal",
	Limits: []check.Limit{
		{Name: "torn", Unit: say.Share, Value: 0.1, Grade: check.Stop},
		{Name: "joints", Unit: say.Joints, Value: 0, Grade: check.Flaw},
	},
	Why: "Inverse bind matrices stand in the order of the skin's joints. " +
		"A joint with the matrix of another carries its part of the surface to a wrong place before anything moves.",
	Remedy: "Write the file again from the program in which the figure was bound.\n" +
		"If only the file is left, put the matrices into the order of the joints; which belongs to which is named here.",
	Source: "glTF 2.0, Skins (matrices in the order of joints); the limits are common practice, no source",
	Needs:  needsBinds,
	Judge: func(f *Facts, d *check.Docket) {
		for i := range f.BindWrong {
			w := &f.BindWrong[i]
			if w.What == bindMissing || w.What == bindIdentity {
				continue
			}
			if found := f.bindFound(d, w); found != nil {
				found.Subject = f.saysMixed(w)
				if w.What == bindExchanged {
					found.Title = "Bind matrices exchanged"
				} else if w.What == bindShifted {
					found.Title = "Bind matrices shifted"
				} else if w.What == bindForward {
					found.Title = "Bind matrices not inverted"
					found.Why = "An inverse bind matrix leads from the place of a joint back to the origin. These lead the other way, so every part of the surface is carried off twice as far as it stands."
					found.Remedy = "Write the file again from the program in which the figure was bound.\nIf only the file is left, invert each matrix."
				}
			}
		}
	},
}

// saysMixed tells who has whose matrix.
func (f *Facts) saysMixed(w *BindWrong) string {
	switch w.What {
	case bindForward:
		return fmt.Sprintf("skin %d: the matrices of all %s", w.Skin, say.Count(len(w.Joints), "joint", "joints"))
	case bindExchanged:
		if len(w.Joints) == 2 {
			return f.names(w.Joints) + " have each other's"
		}
	case bindShifted:
		way, n := "before", w.Places
		if n > 0 {
			way = "behind"
		} else {
			n = -n
		}
		places := "1 place"
		if n != 1 {
			places = fmt.Sprintf("%d places", n)
		}
		return fmt.Sprintf("skin %d: %s of %s joints have the matrix of the joint %s %s them in its list", w.Skin, say.Whole(len(w.Joints)), say.Whole(w.Of), places, way)
	}
	var said []string
	for i, n := range w.Joints {
		if h := w.Has[i]; h != rig.None {
			said = append(said, fmt.Sprintf("%s has that of %s", f.name(n), f.name(h)))
		} else {
			said = append(said, fmt.Sprintf("%s has one of no joint", f.name(n)))
		}
	}
	return exam.Listed(said)
}
