package mend

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/original"
	"rigloupe/inspect/say"
)

// Sheet is the mending slip as a person reads it.
type Sheet struct {
	Steps  []SheetStep `json:"steps"`
	Cursor int         `json:"cursor"` // steps that are done; those behind it were taken back
	Kept   int         `json:"kept"`   // of those that are done, how many are not switched off
	Says   string      `json:"says"`   // "3 mends kept · 2 flaws cleared · none planted"
	Change Change      `json:"change"`
	Stays  string      `json:"stays"` // what the file keeps of the one that was opened
	Name   string      `json:"name"`  // of the mended file
	Bytes  int         `json:"bytes"` // it holds
}

// SheetStep is one step.
type SheetStep struct {
	Mend  string `json:"mend"`
	Title string `json:"title"`
	Words string `json:"words"` // its values that are not the usual ones
	Why   string `json:"why"`   // the findings it answers
	Off   bool   `json:"off"`
	Told  *Told  `json:"told"` // null: a plan left it out, it was never tried
	Up    string `json:"up"`   // why it cannot stand one step earlier; "": it can
	Down  string `json:"down"` // or later
}

// Change is what became of the checks between the file that was opened and the mended one.
// The lists mean what those of a receipt do.
type Change struct {
	Cleared  []string `json:"cleared"`
	Shrunk   []string `json:"shrunk"`
	Planted  []string `json:"planted"`
	Revealed []string `json:"revealed"`
	Hidden   []string `json:"hidden"`
	Accepted []string `json:"accepted"` // planted ones that were insisted on
}

// Sheet examines the figure at hand, where that was not done yet, and tells the slip.
func (s *Slip) Sheet(ctx context.Context) (*Sheet, error) {
	before, err := s.start.Examine(ctx, s.limits)
	if err != nil {
		return nil, err
	}
	now, err := s.now.Examine(ctx, s.limits)
	if err != nil {
		return nil, err
	}
	out := &Sheet{Steps: []SheetStep{}, Cursor: s.cursor, Name: s.Name(), Bytes: len(s.now.Bytes)}
	var kept []*Receipt
	for i := range s.steps {
		x := &s.steps[i]
		one := SheetStep{Mend: x.step.Mend, Why: x.step.Why, Off: x.step.Off, Up: s.May(i, i-1), Down: s.May(i, i+1)}
		if m, err := Named(x.step.Mend); err == nil {
			one.Title, one.Words = m.Title, m.Words(x.step.Parameters)
		}
		if x.receipt != nil {
			one.Told = x.receipt.Told()
		}
		if i < s.cursor && !x.step.Off {
			kept = append(kept, x.receipt)
		}
		out.Steps = append(out.Steps, one)
	}
	out.Kept, out.Stays = len(kept), s.stays()
	out.Change, out.Says = Sum(before, now, kept)
	return out, nil
}

// stays tells what the mended file keeps of the one that was opened, byte for byte.
func (s *Slip) stays() string {
	text := s.keeps()
	if says := UnpackedSays(s.start.Doc); says != "" {
		text += ". " + says
	}
	return text
}

// UnpackedSays says what a mended file does not keep of one that came packed; "": nothing.
func UnpackedSays(d *original.Document) string {
	var came []string
	n, shapes := d.Unpacked(), d.UnpackedShapes()
	if n > 0 {
		came = append(came, say.Count(n, "buffer view", "buffer views")+" came packed by meshopt")
	}
	if shapes > 0 {
		came = append(came, say.Count(shapes, "shape", "shapes")+" came packed by Draco")
	}
	if len(came) == 0 {
		return ""
	}
	return fmt.Sprintf("%s; the mended file holds %s unpacked", strings.Join(came, ", "), say.Word(n+shapes, "it", "them"))
}

// keeps is how much of the file that was opened stands in the mended one.
func (s *Slip) keeps() string {
	c := original.Changes(s.start.Doc, s.now.Doc)
	if c.Untouched+len(c.Rewritten)+c.Added+len(c.Pointers) == 0 {
		return "all of it"
	}
	text := fmt.Sprintf("%s of %s of numbers, byte for byte", say.Whole(c.Untouched), say.Count(c.Untouched+len(c.Rewritten), "list", "lists"))
	if n := len(c.Pointers); n > 0 {
		return text + fmt.Sprintf("; all of the description but %s", say.Count(n, "place", "places"))
	}
	return text + "; all of the description"
}

// insistedOn are the flaws that a step planted, or made worse, and no later one cleared: also
// where as many stand as before, and elsewhere.
func insistedOn(now *inspect.Result, kept []*Receipt) map[string]bool {
	_, is := seen(now)
	out := map[string]bool{}
	for _, r := range kept {
		for _, id := range r.Cleared {
			delete(out, id)
		}
		for _, id := range r.Planted {
			out[id] = r.after(id) >= check.Flaw
		}
	}
	for id := range out {
		out[id] = out[id] && is[id].grade >= check.Flaw
	}
	return out
}

// Sum is what became of the checks over steps that were kept, and that in words, counted by
// findings: what went, but not what is no longer looked at, and what came by a mend.
func Sum(before, now *inspect.Result, kept []*Receipt) (c Change, says string) {
	var came, accepted []string
	for _, r := range kept {
		came, accepted = append(came, r.Revealed...), append(accepted, r.Accepted...)
	}
	r := &Receipt{}
	r.compare(before, now, came, insistedOn(now, kept), nil)
	list := func(ids []string) []string { return append([]string{}, ids...) }
	c = Change{list(r.Cleared), list(r.Shrunk), list(r.Planted), list(r.Revealed), list(r.Hidden), []string{}}
	for _, id := range c.Planted {
		if slices.Contains(accepted, id) {
			c.Accepted = append(c.Accepted, id)
		}
	}
	if len(kept) == 0 {
		return c, "No mend kept"
	}
	was, is := counts(before), counts(now)
	var cleared, planted [4]int
	for _, id := range slices.Concat(c.Cleared, c.Shrunk) {
		for g := check.Note; g <= check.Stop; g++ {
			cleared[g] += max(0, was[id][g]-is[id][g])
		}
	}
	for _, id := range c.Planted {
		for g := check.Note; g <= check.Stop; g++ {
			planted[g] += max(0, is[id][g]-was[id][g])
		}
	}
	nothing := "none planted"
	if len(c.Planted) > 0 { // in more places, though in no more findings
		nothing = fmt.Sprintf("%s worse", say.Count(len(c.Planted), "finding", "findings"))
	}
	text := fmt.Sprintf("%s kept · %s · %s", say.Count(len(kept), "mend", "mends"), graded(cleared, "cleared", "nothing cleared"), graded(planted, "planted", nothing))
	var light [4]int
	for _, id := range c.Revealed {
		for g := check.Flaw; g <= check.Stop; g++ {
			light[g] += max(0, is[id][g]-was[id][g])
		}
	}
	if came := graded(light, "came to light", ""); came != "" {
		text += " · " + came
	}
	return c, text
}

// counts are the findings of each check by grade.
func counts(r *inspect.Result) map[string][4]int {
	by := map[string][4]int{}
	for _, f := range r.Findings() {
		n := by[f.ID]
		n[f.Grade]++
		by[f.ID] = n
	}
	return by
}

// graded is "1 stop and 2 flaws cleared", the worst first; none: nothing.
func graded(n [4]int, done, nothing string) string {
	var parts []string
	for g := check.Stop; g >= check.Note; g-- {
		if n[g] > 0 {
			parts = append(parts, say.Regular(n[g], g.String()))
		}
	}
	if len(parts) == 0 {
		return nothing
	}
	last := len(parts) - 1
	if last > 0 {
		parts = []string{strings.Join(parts[:last], ", ") + " and " + parts[last]}
	}
	return parts[0] + " " + done
}

// Name is what the mended file is called unless somebody names it.
func (s *Slip) Name() string {
	name, _, _ := s.start.Doc.Source()
	return MendedName(name)
}
