package mend

import (
	"slices"

	"rigloupe/inspect/carry"
	"rigloupe/inspect/check"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var carryOver = Mend{
	ID:     "carry",
	Title:  "Carry clips over",
	Stage:  Motion,
	Beside: []string{"motion/no-clip"},
	Does: "Clips of another file, a figure's or motion capture, move this one: joint by joint, by the turns that each makes in the world from its rest; " +
		"feet that stand there stand here. They come behind the figure's own clips, and nothing else of the file changes.",
	Source: "as rigloupe carry: pairs by one assignment over names, places and branches, clips by turns since rest (common practice, no source)",
	Parameters: []Parameter{
		{Name: "from", Title: "From", Kind: File, Says: "The second file, by name; none: the only one at hand."},
		{Name: "clips", Title: "Clips to carry", Kind: List, Default: []string{}, Says: "Of the second file, by name or number, from 0; none: all."},
		{Name: "feet", Title: "Feet stay", Kind: Truth, Default: true, Says: "Feet that stand in the source are kept where they stand; off: the turns alone."},
		{Name: "pins", Title: "Pairs by hand", Kind: Text, Default: "", Says: "Which joint moves which, where a person set it: a table as rigloupe match saves it, JSON or CSV."},
	},
	Suggest: func(*Findings) []Values { return nil }, // only a person knows how a figure is to move
	Apply: func(w *Work) error {
		b, err := w.second("from")
		if err != nil {
			return err
		}
		from, _ := b.named()
		clips, err := w.clipsOf(b.Rig, from)
		if err != nil {
			return err
		}
		var pins []match.Pin
		if text := w.Values.Text("pins"); text != "" {
			if pins, err = match.ReadPins([]byte(text), b.Rig, w.Rig); err != nil {
				return w.Refuse("The pairs that are set cannot be used: %s.", sentence(err))
			}
		}
		m := match.Find(b.Rig, w.Rig, pins...)
		if len(m.Pairs) == 0 {
			return w.Refuse("No joint of %q has its like here: there is nothing that it could move.", from)
		}
		done, reports, err := carry.All(w.Context, m, clips, carry.Options{FreeFeet: !w.Values.Is("feet"), Tick: func(int, int) error { return w.Context.Err() }})
		if err != nil {
			if e := w.Context.Err(); e != nil {
				return e
			}
			return w.Refuse("It cannot be carried over: %s.", sentence(err))
		}
		for i := range done {
			if _, err := w.Doc.AddClip(&done[i].Clip); err != nil {
				return w.Refuse("%s.", sentence(err))
			}
			w.tellCarried(&reports[i])
		}
		w.Measure(check.Also("clips carried over", float64(len(done)), say.Clips))
		w.Measure(check.Also("joints that are moved", float64(len(m.Pairs)), say.Joints))
		return nil
	},
}

// clipsOf are the clips of a second file that are wanted.
func (w *Work) clipsOf(r *rig.Rig, from string) (out []rig.Clip, err error) {
	if len(r.Clips) == 0 {
		return nil, w.Refuse("%q holds no clip: there is nothing to carry over.", from)
	}
	for _, name := range w.Values.List("clips") {
		i, err := findClip(r, name)
		if err != nil {
			return nil, w.Refuse("%s, of %q.", sentence(err), from)
		}
		if !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	if len(out) == 0 {
		for i := range r.Clips {
			out = append(out, rig.Clip(i))
		}
	}
	return out, nil
}

// tellCarried says of one clip what is to be looked at.
func (w *Work) tellCarried(r *carry.Report) {
	w.Say("Clip %q, %s: %s", r.Name, say.Quantity(r.Seconds, say.Second), r.Said)
	for _, row := range r.Rows {
		if row.Grade != "" {
			w.Say("Look at %q: %s", r.Name, row.Text)
		}
	}
}
