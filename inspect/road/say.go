package road

import (
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/say"
)

// judge tells how far each step is: first by what the figure is, then by what was found.
func (w *walk) judge() {
	surface, bound := w.intake.Vertices > 0, w.verdict.State == inspect.Bound || w.verdict.State == inspect.Moving
	joints := w.intake.Joints
	if w.r.Exam.OnParts() {
		joints += w.intake.PartJoints
	}
	if joints == 0 { // a skeleton may stand by, with nothing bound to it
		joints = len(mend.SkeletonOf(w.r.Exam.Rig))
	}
	for i := range w.road.Steps {
		s := &w.road.Steps[i]
		switch s.ID {
		case "choose":
			w.step(i, Done, w.kind())
		case "scale":
			w.step(i, Done, say.Metres(w.intake.BodyHeight)+" high")
		case "weld":
			if surface {
				w.clean(i, "nothing to close")
			} else {
				s.Says = "no surface"
			}
		case "even":
			if surface && w.looked("surface/lopsided") {
				w.clean(i, "sides alike")
			} else {
				s.Says = "no two sides to hold against each other"
			}
		case "fit":
			if joints > 0 {
				w.step(i, Done, say.Count(joints, "joint", "joints"))
			} else {
				w.step(i, ToDo, "no skeleton yet")
			}
		case "bind":
			switch {
			case !surface:
				s.Says = "no surface to bind"
			case w.r.Exam.OnParts() && !w.r.Exam.Bound():
				w.step(i, Done, "stiff parts on their joints")
			case bound:
				w.step(i, Done, "bound")
			case joints > 0:
				w.step(i, ToDo, "not bound to its joints")
			default:
				w.step(i, ToDo, "after the skeleton")
			}
		case "rest":
			w.rest(i)
		case "parts":
			if joints > 0 {
				w.clean(i, "each hangs where it should")
			} else {
				s.Says = "after the skeleton"
			}
		case "motion":
			w.moved(i)
		}
	}
	w.handOver()
}

// step gives a step its state and words, unless findings say otherwise.
func (w *walk) step(i int, state State, says string) {
	s := &w.road.Steps[i]
	s.State, s.Says = state, says
	if state == ToDo || len(s.Findings) == 0 {
		return
	}
	all := w.r.Findings()
	if w.grades[i][0] == check.Note { // worth knowing: the work itself is done
		notes := say.Count(len(s.Findings), "note", "notes")
		if says != "" {
			notes = says + ", " + notes
		}
		s.Says = notes
		return
	}
	s.State, s.Says = ToDo, all[s.Findings[0]-1].Words()
	if n := w.grave(i); n > 1 {
		s.Says += " and " + say.Whole(n-1) + " more"
	}
}

// clean is a step of which the words hold only where nothing at all was found.
func (w *walk) clean(i int, says string) {
	if len(w.road.Steps[i].Findings) > 0 {
		says = ""
	}
	w.step(i, Done, says)
}

// grave counts the stops and flaws of a step.
func (w *walk) grave(i int) (n int) {
	for _, g := range w.grades[i] {
		if g != check.Note {
			n++
		}
	}
	return n
}

// looked tells that a check was looked at.
func (w *walk) looked(id string) bool {
	for i := range w.r.Stations {
		for _, c := range w.r.Stations[i].Checks {
			if c.ID == id {
				return c.State != check.NotLookedAt
			}
		}
	}
	return false
}

// kind is what was chosen: "a person".
func (w *walk) kind() string {
	lead, _, _ := strings.Cut(w.verdict.Says, ",")
	lead, _, _ = strings.Cut(lead, ".")
	return strings.ToLower(lead[:1]) + lead[1:]
}

// rest is a choice where arms are not level: motion made for one rest is off on another.
func (w *walk) rest(i int) {
	s := &w.road.Steps[i]
	pose := w.skeleton.ArmPose.Class
	if pose == nil && w.intake.FromSurface != nil {
		pose = w.intake.FromSurface.ArmPose.Class
	}
	switch {
	case pose == nil:
		s.Says = "no arm pose was recognised"
		if len(s.Findings) > 0 {
			w.step(i, Done, "as it stands")
		}
	case *pose == "T":
		w.step(i, Done, "a T-pose")
	default:
		says := map[string]string{"A": "an A-pose", "hanging": "arms hang", "between": "between T and A"}[*pose]
		if w.step(i, Choice, says); s.State == Done {
			s.State = Choice
		}
	}
}

// moved tells of clips: a figure without any still stands.
func (w *walk) moved(i int) {
	moving := 0
	for c := range w.motion.Clips {
		if w.motion.Clips[c].Moving > 0 {
			moving++
		}
	}
	if moving == 0 {
		w.step(i, ToDo, "no clip moves it yet")
		return
	}
	w.step(i, Done, say.Count(moving, "clip", "clips"))
}

// handOver comes when no stop and no flaw is left, and the surface is bound.
func (w *walk) handOver() {
	i := len(steps) - 1
	s := &w.road.Steps[i]
	stops, flaws := w.r.Count(check.Stop), w.r.Count(check.Flaw)
	left := func(id string) bool {
		return slices.ContainsFunc(w.road.Steps, func(s Step) bool { return s.ID == id && s.State == ToDo })
	}
	switch {
	case stops+flaws > 0 && w.grave(i) == stops+flaws:
		w.step(i, Done, "")
	case stops > 0:
		s.State, s.Says = ToDo, "not yet: "+say.Count(stops, "stop", "stops")
	case flaws > 0:
		s.State, s.Says = ToDo, "not yet: "+say.Count(flaws, "flaw", "flaws")
	case left("fit") || left("bind"):
		s.State, s.Says = ToDo, "not yet: nothing is bound"
	default:
		s.State, s.Says = Choice, "nothing stands in the way"
	}
}

// say sums the road up: what is next, and how much is done.
func (w *walk) say() {
	done, of, own := 0, 0, -1
	for i := range w.road.Steps {
		s := &w.road.Steps[i]
		switch s.State {
		case Needless:
			continue
		case Done, Choice:
			done++
		case ToDo:
			if own < 0 {
				own = i
			}
		}
		of++
	}
	switch {
	case w.verdict.State == inspect.Empty:
		w.road.Says = "Nothing in this file can be seen or moved."
	case own < 0:
		w.road.Says = "Nothing is left that must be done: it can be handed over."
	default:
		s := &w.road.Steps[own]
		w.road.Next = s.ID
		w.road.Says = "Next: " + strings.ToLower(s.Title) + ", " + s.Says + ". " + say.Whole(done) + " of " + say.Count(of, "step needs", "steps need") + " nothing more."
	}
}
