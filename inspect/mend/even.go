package mend

import (
	"errors"
	"slices"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/even"
	"rigloupe/inspect/say"
)

var makeEven = Mend{
	ID:      "even",
	Title:   "Make even",
	Stage:   Even,
	Answers: []string{"surface/lopsided", "binding/mirror-mismatch"},
	Does: "The two sides become alike. Drawn even, the vertices of one side go to the mirror images of the other's and no triangle changes. " +
		"Halved, one half goes and the mirror image of the other comes in its place, stitched along the plane. " +
		"Weights alone are mirrored with left and right joints exchanged. Gear is left alone, and so is whatever differs too much.",
	Source: "mirror plane: Mitra, Guibas, Pauly 2006; pairs grown along edges and guards: common practice, no source",
	Parameters: []Parameter{
		{Name: "form", Title: "Form", Kind: Choice, Default: "draw", Choices: []string{"draw", "halve", "weights"}, Says: "draw: the same triangles, places, weights and morph targets; halve: one half is cut off and made anew from the other; weights: these alone."},
		{Name: "from", Title: "Side that stays", Kind: Choice, Default: "smoother", Choices: []string{"smoother", "left", "right", "mean"}, Says: "The other side becomes its mirror image; smoother: the side without dents and bumps, or whose vertices hang on nearer joints; mean: both meet half way."},
		{Name: "weights", Title: "Weights too", Kind: Truth, Default: true, Says: "Drawing even also mirrors the weights."},
		{Name: "move", Title: "Longest move", Kind: Number, Unit: say.TimesHeight, Default: even.Usual.Move, Least: 0, Most: 0.2, Says: "Pairs that would move farther are left."},
		{Name: "uneven", Title: "Most uneven", Kind: Number, Unit: say.Share, Default: even.Usual.Uneven, Least: 0, Most: 1, Says: "Parts of which more has no partner are left."},
		{Name: "leave", Title: "Leave alone", Kind: List, Default: []string{}, Says: "Names of surfaces that differ on purpose."},
	},
	Suggest: func(f *Findings) (out []Values) {
		for _, x := range f.Of("surface/lopsided") {
			_, share := x.Measures["share"]
			if _, largest := x.Measures["largest mismatch"]; share || largest {
				out = append(out, Values{"form": "draw"}, Values{"form": "draw", "move": 0.05})
				if !f.Result.Exam.Bound() { // of a bound figure only a person chooses that
					out = append(out, Values{"form": "halve"})
				}
			}
		}
		if len(f.Of("binding/mirror-mismatch")) > 0 {
			out = append(out, Values{"form": "weights"}, Values{"form": "weights", "from": "left"}, Values{"form": "weights", "from": "right"})
		}
		return out
	},
	Aims: func(v Values) []string {
		if v.Text("form") == "weights" {
			return []string{"binding/mirror-mismatch"}
		}
		return []string{"surface/lopsided", "binding/mirror-mismatch"}
	},
	Apply: applyEven,
}

func applyEven(w *Work) error {
	v := w.Values
	wants := even.Wants{Places: v.Text("form") != "weights"}
	wants.Weights = !wants.Places || v.Is("weights")
	wants.Limits.Move, _ = v.Number("move")
	wants.Limits.Uneven, _ = v.Number("uneven")
	for _, name := range v.List("leave") {
		i := SurfaceNamed(w.Rig, name)
		if i < 0 {
			return w.Refuse("There is no surface %q.", name)
		}
		wants.Apart = append(wants.Apart, i)
	}
	from, err := w.giver(wants)
	if err != nil {
		return w.evenRefusal(err)
	}
	wants.From = from
	if v.Text("form") == "halve" {
		return w.halve(wants)
	}
	f, err := even.Alike(w.Exam, wants)
	if err != nil {
		return w.evenRefusal(err)
	}
	if len(f.Meshes) == 0 {
		return w.Refuse("%s", nothingEven(f))
	}
	c := f.Pairs.Count
	w.Say("With a sure partner, or on the plane: %s. With one by the shell they are of: %s. With one by their neighbours: %s.",
		say.Count(c[even.Sure], "vertex", "vertices"), say.Whole(c[even.OfShell]), say.Whole(c[even.Grown]))
	if to, behind := w.Exam.SideNames(); from != even.Mean {
		if from == even.Behind {
			to = behind
		}
		w.Say("The %s side stays as it is.", to)
	}
	if wants.Places {
		w.Measure(check.Also("places moved", float64(len(f.Drawn.Moved)), say.Vertices))
		w.Measure(check.Also("longest move", f.Drawn.Most, say.Metre))
		w.Measure(check.Also("mean move", f.Drawn.Mean, say.Metre))
	}
	if wants.Weights {
		w.Measure(check.Also("vertices with new weights", float64(f.Weighted), say.Vertices))
	}
	w.leaveUneven(f)
	return w.Write(f.Rig, f.Maps(w.Rig))
}

// giver is the side that stays.
func (w *Work) giver(wants even.Wants) (even.Giver, error) {
	to, _ := w.Exam.SideNames()
	switch w.Values.Text("from") {
	case "mean":
		if !wants.Places {
			return 0, w.Refuse("Weights are copied from one side: choose which.")
		}
		return even.Mean, nil
	case "left", "right":
		if (w.Values.Text("from") == "right") == (to == "right") || to != "left" && to != "right" && w.Values.Text("from") == "left" {
			return even.To, nil
		}
		return even.Behind, nil
	}
	shape, _, err := even.ShapeOf(w.Exam, wants.Apart)
	if err != nil {
		return 0, err
	}
	pairs := even.Pair(shape, wants.Limits)
	if wants.Places {
		if g := even.Smoother(shape, pairs); g != even.Mean {
			return g, nil
		}
	}
	if wants.Weights {
		if g := even.SounderWeights(w.Exam, shape, pairs); g != even.Mean {
			return g, nil
		}
	}
	return even.To, nil
}

func (w *Work) evenRefusal(err error) error {
	var r *even.Refused
	if errors.As(err, &r) {
		return w.Refuse("%s", r.Words)
	}
	return err
}

// nothingEven says why nothing was done.
func nothingEven(f *even.Figure) string {
	if len(f.Drawn.LetGo) > 0 {
		return "No pair can be drawn even: each " + f.Drawn.LetGo[0].Why.String() + "."
	}
	return "Nothing is to be done: every pair is alike already, and the rest has no partner."
}

// leaveUneven lists what was left as it is.
func (w *Work) leaveUneven(f *even.Figure) {
	for _, s := range f.LeftWhole {
		w.Leave("%s. Left as it is.", capital(s))
	}
	var names []string
	for i := range w.Rig.Surfaces {
		names = append(names, w.Exam.SurfaceName(i))
	}
	if s := f.Unpaired(names); s != "" {
		w.Leave("%s", s)
	}
	for g := even.TooFar; g <= even.Stretched; g++ {
		n := 0
		for _, x := range f.Drawn.LetGo {
			if x.Why == g {
				n++
			}
		}
		if n > 0 {
			w.Leave("%s let go: each %s.", say.Count(n, "pair", "pairs"), g)
		}
	}
	if f.NoRoom > 0 {
		w.Leave("The weights of %s do not fit into their slots: left as they are.", say.Count(f.NoRoom, "vertex", "vertices"))
	}
	if f.NoJoint > 0 {
		w.Leave("%s would need joints that their skin does not have: left as they are.", say.Count(f.NoJoint, "vertex", "vertices"))
	}
	morphs := slices.Compact(slices.Sorted(slices.Values(f.LeftMorph)))
	if len(morphs) > 0 {
		w.Leave("Morph targets that differ by side on purpose: %s. Left as they are.", listed(morphs))
	}
}

func listed(names []string) string {
	const most = 6
	s := ""
	for i, n := range names[:min(len(names), most)] {
		if i > 0 {
			s += ", "
		}
		s += n
	}
	if len(names) > most {
		s += " and more"
	}
	return s
}

// capital begins a sentence.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
