package mend

import (
	"errors"
	"slices"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/even"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
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
		{Name: "weights", Title: "Weights too", Kind: Truth, Default: true, Where: where("form", "draw"), Says: "Drawing even also mirrors the weights."},
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
	Aims:  evenAims,
	Apply: applyEven,
}

func evenAims(v Values) []string {
	if v.Text("form") == "weights" {
		return []string{"binding/mirror-mismatch"}
	}
	return []string{"surface/lopsided", "binding/mirror-mismatch"}
}

func applyEven(w *Work) error {
	v := w.Values
	wants := even.Wants{Places: v.Text("form") != "weights"}
	wants.Weights = !wants.Places || v.Is("weights")
	wants.Limits.Move, _ = v.Number("move")
	wants.Limits.Uneven, _ = v.Number("uneven")
	apart := map[int]bool{}
	for _, name := range v.List("leave") {
		i := SurfaceNamed(w.Rig, name)
		if i < 0 {
			return w.Refuse("There is no surface %q.", name)
		}
		apart[i] = true
	}
	all, err := w.evenFigures()
	if err != nil {
		return err
	}
	made := &evened{w: w, is: copyMeshes(w.Rig), maps: make([][]float32, len(w.Rig.Meshes)), from: map[rig.Mesh][][]int32{}}
	var first error
	for i := range all {
		f := &all[i]
		one := wants
		for at, s := range f.surfaces {
			if apart[s] {
				one.Apart = append(one.Apart, at)
			}
		}
		if err := made.figure(f, one); err != nil {
			why, refused := Refused(err)
			switch {
			case !refused:
				return err
			case len(all) == 1:
				return err
			case first == nil:
				first = w.Refuse("%s: %s", capital(f.name), why)
			}
			w.Leave("%s: %s", capital(f.name), why)
			continue
		}
		made.figures++
	}
	if made.figures == 0 {
		return first
	}
	return made.write()
}

// evenFigure is one of the figures whose sides are made alike by themselves.
type evenFigure struct {
	name     string // "" where it is the only one
	e        *exam.Exam
	surfaces []int // places in the file's list, by place in its own
}

// evenFigures are the figures that have what the mend aims at, each with a mirror plane of
// its own; all where none has. Figures that share a mesh or a skin with another are refused:
// what is written for one would change both.
func (w *Work) evenFigures() (out []evenFigure, err error) {
	var whole []int
	for i := range w.Rig.Surfaces {
		whole = append(whole, i)
	}
	all := w.Exam.Figures()
	if len(all) == 0 {
		return []evenFigure{{"", w.Exam, whole}}, nil
	}
	aimed := map[string]bool{}
	for _, station := range []string{"surface", "binding"} {
		r, err := w.findings(station)
		if err != nil {
			return nil, err
		}
		for _, f := range r.Findings() {
			if slices.Contains(evenAims(w.Values), f.ID) {
				aimed[f.Figure] = true
			}
		}
	}
	for i := range all {
		f := &all[i]
		if len(aimed) > 0 && !aimed[f.Name] {
			continue
		}
		if f.Exam == nil {
			w.Leave("%s repeats %s: left as it is.", capital(f.Name), all[max(0, f.Like)].Name)
			continue
		}
		if slices.ContainsFunc(f.Exam.Rig.Surfaces, func(s rig.Surface) bool { return int(s.Mesh) >= len(w.Rig.Meshes) }) {
			w.Leave("%s shares a mesh or a skin with another figure: left as it is.", capital(f.Name))
			continue
		}
		out = append(out, evenFigure{f.Name, f.Exam, f.Surfaces})
	}
	if len(out) == 0 {
		return nil, w.Refuse("No figure stands by itself: each repeats another, or shares a mesh or a skin with it.")
	}
	return out, nil
}

// evened is what was made of one figure after the other.
type evened struct {
	w       *Work
	is      *rig.Rig // drawn
	maps    [][]float32
	edits   []original.Edit        // halved
	from    map[rig.Mesh][][]int32 // of them, by mesh and primitive: Work.Renumbered
	figures int
}

// figure makes the sides of one alike.
func (x *evened) figure(g *evenFigure, wants even.Wants) error {
	w := x.w
	from, err := w.giver(g.e, wants)
	if err != nil {
		return w.evenRefusal(err)
	}
	wants.From = from
	if w.Values.Text("form") == "halve" {
		return x.halve(g, wants)
	}
	f, err := even.Alike(g.e, wants)
	if err != nil {
		return w.evenRefusal(err)
	}
	if len(f.Meshes) == 0 {
		return w.Refuse("%s", nothingEven(f))
	}
	for m, maps := range f.Maps(g.e.Rig) {
		if m < len(x.maps) && maps != nil {
			x.maps[m] = maps
		}
	}
	for _, m := range f.Meshes {
		x.is.Meshes[m] = f.Rig.Meshes[m]
	}
	if g.name != "" {
		w.Say("%s is made even.", capital(g.name))
	}
	c := f.Pairs.Count
	w.Say("%d vertices have a sure partner or lie on the plane, %d one by the shell they are of, %d one by their neighbours.", c[even.Sure], c[even.OfShell], c[even.Grown])
	if to, behind := g.e.SideNames(); from != even.Mean {
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
	w.leaveUneven(g.e, f)
	return nil
}

// write brings the document to what was made.
func (x *evened) write() error {
	if x.w.Values.Text("form") != "halve" {
		return x.w.Write(x.is, x.maps)
	}
	if err := x.w.Doc.RewriteAll(x.edits); err != nil {
		return err
	}
	for m, lists := range x.from {
		x.w.Renumbered(m, slices.Concat(lists...))
	}
	return nil
}

// giver is the side that stays.
func (w *Work) giver(e *exam.Exam, wants even.Wants) (even.Giver, error) {
	to, _ := e.SideNames()
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
	shape, _, err := even.ShapeOf(e, wants.Apart)
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
		if g := even.SounderWeights(e, shape, pairs); g != even.Mean {
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
func (w *Work) leaveUneven(e *exam.Exam, f *even.Figure) {
	for _, s := range f.LeftWhole {
		w.Leave("%s. Left as it is.", capital(s))
	}
	var names []string
	for i := range e.Rig.Surfaces {
		names = append(names, e.SurfaceName(i))
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
	const most = 6 // names in a line
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
