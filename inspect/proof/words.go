package proof

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/say"
)

// writer writes the parts of a sheet.
type writer struct {
	*paper.Sheet
	titles map[string]string // of checks, by id
}

// mostPointers is how many JSON pointers of a step are named.
const mostPointers = 12

// verdict is the sentence on top, that of the mending slip.
func (s *Sheet) verdict(before, after *inspect.Result) string {
	var kept []*mend.Receipt
	insisted := false
	for _, d := range s.Done {
		if d.Receipt.Kept {
			kept = append(kept, d.Receipt)
			insisted = insisted || len(d.Receipt.Accepted) > 0
		}
	}
	if len(kept) == 0 {
		return "No mend kept: the figure is as it came in."
	}
	_, says := mend.Sum(before, after, kept)
	if left := len(s.Done) - len(kept); left > 0 {
		says += " · " + say.Count(left, "other not kept", "others not kept")
	}
	if insisted {
		says += " · insisted on"
	}
	return says
}

// facts is the table of the two files.
func (w *writer) facts(s *Sheet, came paper.File) {
	rows := [][2]paper.Text{{paper.Words("Came in"), paper.Files(came)}, {paper.Words("Written"), paper.Files(s.Written)}}
	if n := s.Start.Doc.Beside(); n > 0 {
		rows = append(rows, [2]paper.Text{paper.Words("Beside it"), paper.Words(say.Count(n, "file", "files") + " taken in; the hash of what came in is that of the main file alone.")})
	}
	if says := mend.UnpackedSays(s.Start.Doc); says != "" {
		rows = append(rows, [2]paper.Text{paper.Words("Packing"), paper.Words(says + ".")})
	}
	rows = append(rows, [2]paper.Text{paper.Words("Examined by"), paper.Words("rigloupe " + inspect.Version)})
	if s.Date != "" {
		rows = append(rows, [2]paper.Text{paper.Words("Date"), paper.Name(s.Date)})
	}
	rows = append(rows, [2]paper.Text{paper.Words("Limits"), paper.Limits(s.Plan.Limits)})
	w.Facts(rows)
	w.Small(paper.Words("Hashes are SHA-256 of the file’s bytes. The file that came in was not written to."))
}

// step writes one receipt.
func (w *writer) step(number int, why string, d *mend.Done, pictures []paper.Picture) {
	r := d.Receipt
	ends := "kept"
	switch {
	case r.Why == "refused":
		ends = "refused"
	case !r.Kept:
		ends = "not kept"
	case len(r.Accepted) > 0:
		ends = "kept, insisted on"
	}
	m, _ := mend.Named(r.Mend)
	w.Together(func() {
		w.Step(paper.Words(fmt.Sprintf("%d  %s: %s", number, r.Title, ends)))
		w.Pictures(pictures)
	})
	if !r.Kept && r.Why != "refused" {
		w.Say(paper.Words(w.spoken(r.Why) + "."))
	}
	w.changes(r)
	if d.Odd != "" {
		w.Say(paper.Words("Not as the plan expects: " + w.spoken(d.Odd) + "."))
	}
	var says []paper.Text
	for _, t := range r.Says {
		says = append(says, paper.Words(t))
	}
	for _, t := range r.Refused {
		says = append(says, paper.Words(t))
	}
	w.List(says)
	rows := [][2]paper.Text{}
	add := func(name string, t paper.Text) { rows = append(rows, [2]paper.Text{paper.Words(name), t}) }
	if why != "" {
		add("Asked for by", paper.Words(w.spoken(why)))
	}
	add("Settings", settings(&m, r.Parameters))
	for _, x := range r.Measures {
		add(paper.Capital(x.Name), paper.Words(x.Says))
	}
	if r.Why != "refused" {
		add("Moved", moved(&r.Moved))
		add("Bytes", stored(r))
	}
	add("Receipt", paper.Hash(r.SHA256()))
	w.Facts(rows)
}

// changes is the table of the checks that a step changed.
func (w *writer) changes(r *mend.Receipt) {
	var rows [][]paper.Text
	for _, l := range r.Outcomes() {
		for i := range r.Checks {
			c := &r.Checks[i]
			if !slices.Contains(l.IDs, c.ID) {
				continue
			}
			title := paper.Words(w.titles[c.ID])
			word := l.Word
			switch {
			case l.Word == "cleared":
				title = paper.Gone(title)
			case slices.Contains(r.Accepted, c.ID):
				word += ", insisted on"
			}
			rows = append(rows, []paper.Text{title, paper.Unbroken(paper.Words(word)), seen(&c.Before), seen(&c.After)})
		}
	}
	w.Table([]string{"Check", "Outcome", "Before", "After"}, 2, rows)
}

// seen is how a check ended.
func seen(s *mend.Seen) paper.Text {
	switch {
	case s.State == check.NotLookedAt.String():
		return paper.Words("not looked at")
	case s.Grade == "":
		return paper.Words("clear")
	}
	words := s.Grade
	if s.Value != nil {
		m := check.Measure{Name: s.Name, Value: *s.Value, Unit: s.Unit, Limit: math.NaN()}
		words = m.Says()
	}
	if s.Places > 1 {
		words += ", " + say.Count(s.Places, "place", "places")
	}
	return paper.Join(paper.Mark(gradeNamed(s.Grade)), paper.Words(words))
}

// settings are the values of a step that are not those it has when left out; all of them
// stand in the plan.
func settings(m *mend.Mend, v mend.Values) paper.Text {
	if words := m.Words(v); words != "" {
		return paper.Words(paper.Capital(words) + "; the rest as delivered")
	}
	return paper.Words("as delivered")
}

func moved(m *mend.Moved) paper.Text {
	if m.Count == 0 {
		return paper.Words(fmt.Sprintf("None of %s, at rest", say.Count(m.Of, "vertex", "vertices")))
	}
	words := fmt.Sprintf("%s of %s, at rest; at most %s", say.Whole(m.Count), say.Count(m.Of, "vertex", "vertices"), say.Quantity(m.Max, say.Metre))
	if m.Share > 0 {
		words += " (" + say.Quantity(m.Share, say.TimesHeight) + ")"
	}
	words += ", on average " + say.Quantity(m.Mean, say.Metre)
	return paper.Join(paper.Words(words+"; farthest "), paper.Name(m.Where))
}

// stored says what became of the file.
func stored(r *mend.Receipt) paper.Text {
	b := &r.Bytes
	words := fmt.Sprintf("%s %s, %s rewritten or gone, %s added", say.Count(b.Untouched, "buffer view", "buffer views"), say.Word(b.Untouched, "is as it was", "are as they were"), say.Whole(len(b.Rewritten)), say.Whole(b.Added))
	if b.AddedSize > 0 {
		words += " (" + say.Quantity(float64(b.AddedSize), say.Byte) + ")"
	}
	words += fmt.Sprintf("; the file has %s, before %s", say.Quantity(float64(b.After), say.Byte), say.Quantity(float64(b.Before), say.Byte))
	if n := len(r.Pointers); n > 0 {
		words += "; JSON differs at " + say.Count(n, "place", "places")
	}
	lines := []paper.Text{paper.Words(words + ".")}
	var pointers []paper.Text
	for i, p := range r.Pointers[:min(len(r.Pointers), mostPointers)] {
		if i > 0 {
			pointers = append(pointers, paper.Words(", "))
		}
		pointers = append(pointers, paper.Name(p))
	}
	if n := len(r.Pointers) - mostPointers; n > 0 {
		pointers = append(pointers, paper.Words(fmt.Sprintf(" and %s more", say.Whole(n))))
	}
	if pointers != nil {
		lines = append(lines, paper.Soft(paper.Join(pointers...)))
	}
	return paper.Lines(lines...)
}

// stays lists what is still found: stops and flaws one by one, notes by their titles.
func (w *writer) stays(r *inspect.Result) {
	w.Part(paper.Words("What stays"))
	var rows [][]paper.Text
	var notes []string
	count := map[string]int{}
	for _, f := range r.Findings() {
		if f.Grade < check.Flaw {
			if count[f.Title] == 0 {
				notes = append(notes, f.Title)
			}
			count[f.Title]++
			continue
		}
		value, limit := "", ""
		if len(f.Measures) > 0 {
			value, limit = f.Measures[0].Says(), f.Measures[0].LimitSays()
		}
		rows = append(rows, []paper.Text{paper.Join(paper.Mark(f.Grade), paper.Words(f.Title)), paper.Name(f.Subject), paper.Words(value), paper.Soft(paper.Words(limit))})
	}
	if rows == nil {
		w.Say(paper.Words("No stop and no flaw is found in the mended figure."))
	}
	w.Table([]string{"Finding", "Place", "Measure", "Limit"}, 2, rows)
	for i, t := range notes {
		if n := count[t]; n > 1 {
			notes[i] = fmt.Sprintf("%s (%d)", t, n)
		}
	}
	if notes != nil {
		w.Small(paper.Words(say.Count(r.Count(check.Note), "note", "notes") + ": " + strings.Join(notes, "; ") + "."))
	}
}

func (w *writer) insisted(done []mend.Done) {
	w.Part(paper.Words("Insisted on"))
	var list []paper.Text
	for i := range done {
		r := done[i].Receipt
		for _, id := range r.Accepted {
			for k := range r.Checks {
				if c := &r.Checks[k]; c.ID == id {
					list = append(list, paper.Join(paper.Words(fmt.Sprintf("Step %d, %s, plants “%s”: ", i+1, r.Title, w.titles[id])), seen(&c.After), paper.Words(", before "), seen(&c.Before), paper.Words(".")))
				}
			}
		}
	}
	if list == nil {
		w.Say(paper.Words("Nothing: no step that was kept plants a flaw or a stop."))
	}
	w.List(list)
}

// notLookedAt lists the checks that could not run on the mended figure, and says of which
// had found something before.
func (w *writer) notLookedAt(r *inspect.Result, done []mend.Done) {
	w.Part(paper.Words("Not looked at"))
	w.NotLookedAt(r, func(id string) (more string) {
		for k := range done {
			if slices.Contains(done[k].Receipt.Hidden, id) {
				more += fmt.Sprintf(" (found before step %d)", k+1)
			}
		}
		return more
	})
}

// spoken puts the titles of checks for their ids.
func (w *writer) spoken(s string) string {
	words := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '(' || r == ')' })
	for _, id := range words {
		if t, known := w.titles[id]; known {
			s = strings.Replace(s, id, "“"+t+"”", 1)
		}
	}
	return paper.Capital(s)
}
