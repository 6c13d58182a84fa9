// Package lineup sets several examined models side by side: a row a model, a
// column for each thing that decides which of them to rig, and one sentence that
// argues for the best. It measures nothing: every number is a fact of the model's
// own examination, and every cell names the check and the finding behind it.
package lineup

import (
	"cmp"
	"path"
	"slices"
	"strconv"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/binding"
	"rigloupe/inspect/check"
	"rigloupe/inspect/intake"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/skeleton"
	"rigloupe/inspect/surface"
)

// Row is one model. It crosses as JSON: the page examines one model a worker and
// joins the rows afterwards.
type Row struct {
	Path  string `json:"path,omitempty"` // as it was named or dropped; New makes File of it and takes it out
	From  int    `json:"-"`              // of a table: which of the rows given to New this one was
	File  string `json:"file"`
	Place int    `json:"place"` // 1: the best; models on one place stand level; 0: not placed
	State string `json:"state"` // Examined, Part, Unread
	Error string `json:"error,omitempty"`
	Bytes int64  `json:"bytes"`
	Kind  string `json:"kind"`

	Reason string `json:"reason"` // why it stands where it stands, in a line; of a table

	// What the argument reckons with.
	Bound   bool     `json:"bound"`           // a surface of it has a skin and hangs on its joints
	Body    string   `json:"body"`            // human, four-legged, hand; "": none was recognised
	Fit     bool     `json:"fit"`             // nothing stands in the way of rigging it
	Counted Counted  `json:"counted"`         // findings that count for rigging; see counts
	Steps   []string `json:"steps"`           // what to mend before a surface that is not bound is bound, in order
	Missing []string `json:"bones_missing"`   // of a bound figure: bones that every body must have
	Brief   []Brief  `json:"findings"`        // all of its findings
	Cells   Cells    `json:"cells,omitempty"` // by column; none where it was not read
}

// States of a row.
const (
	Examined = "examined"
	Part     = "part"   // a station that the argument needs was left out or stopped
	Unread   = "unread" // Error says why
)

// Counted is how many findings count for rigging.
type Counted struct {
	Stop int `json:"stop"`
	Flaw int `json:"flaw"`
	Note int `json:"note"`
}

// Brief is a finding in short.
type Brief struct {
	Number  int    `json:"number"` // in the model's own ledger
	ID      string `json:"id"`
	Grade   string `json:"grade"`
	Title   string `json:"title"`
	Subject string `json:"subject"`
	Counts  bool   `json:"counts"` // for rigging
}

// Cells holds a row's cells by the key of their column.
type Cells map[string]Cell

// Cell is one value and what stands behind it.
type Cell struct {
	Value   any    `json:"value" wire:"number | string | boolean | null"` // number or word; null: Reason says why
	Words   string `json:"words,omitempty"`                               // of a word that a person reads otherwise
	Reason  string `json:"reason,omitempty"`
	AtLeast bool   `json:"at_least,omitempty"` // there are more, too many to count
	Check   string `json:"check"`              // that it leads to; "": none
	State   string `json:"state,omitempty"`    // of that check
	Grade   string `json:"grade,omitempty"`    // of its worst finding
	Finding int    `json:"finding,omitempty"`  // number of that, in the model's own ledger
}

// Table is the line-up. Rows stand best first, then those not placed, by name.
type Table struct {
	Columns  []Column
	Rows     []Row
	Argument Argument
}

// facts are those of one examination, nil where a station did not run.
type facts struct {
	intake   *intake.Facts
	surface  *surface.Facts
	skeleton *skeleton.Facts
	binding  *binding.Facts
	motion   *motion.Facts
	why      map[string]string // station → why it did not run
	res      *inspect.Result
}

// Of makes the row of an examination. name is what the person calls the file.
func Of(name string, res *inspect.Result) Row {
	f := facts{
		intake: inspect.FactsOf[intake.Facts](res), surface: inspect.FactsOf[surface.Facts](res), skeleton: inspect.FactsOf[skeleton.Facts](res),
		binding: inspect.FactsOf[binding.Facts](res), motion: inspect.FactsOf[motion.Facts](res), why: map[string]string{}, res: res,
	}
	row := Row{Path: name, State: Examined, Bytes: res.File.Bytes, Kind: res.File.Kind, Steps: []string{}, Missing: []string{}, Brief: []Brief{}, Cells: Cells{}}
	for i := range res.Stations {
		if s := &res.Stations[i]; s.Facts == nil {
			f.why[s.Name] = s.Failed
		}
	}
	row.Bound = isBound(f.intake)
	if f.intake != nil {
		row.Body = f.intake.Figure.Kind
	}
	if f.intake == nil || f.surface == nil || row.Bound && (f.skeleton == nil || f.binding == nil) {
		row.State = Part
	}
	if f.surface != nil && !row.Bound {
		for _, s := range f.surface.Ready.Steps {
			row.Steps = append(row.Steps, s.What)
		}
	}
	if f.skeleton != nil && row.Bound && f.skeleton.Figure {
		row.Missing = append(row.Missing, f.skeleton.Missing...)
	}
	row.note(res)
	for i := range columns {
		row.Cells[columns[i].Key] = columns[i].cell(&f, &row)
	}
	row.Fit = row.State == Examined && row.Counted.Stop == 0 &&
		(row.Bound || f.surface.Ready.Verdict == "ready" || f.surface.Ready.Verdict == "after-steps")
	return row
}

// UnreadRow makes the row of a file that could not be read.
func UnreadRow(name, why string) Row {
	return Row{Path: name, State: Unread, Error: why, Steps: []string{}, Missing: []string{}, Brief: []Brief{}}
}

// isBound tells a model that moves by joints from one that is still to be bound:
// a skin that no vertex follows binds nothing.
func isBound(f *intake.Facts) bool {
	return f != nil && slices.ContainsFunc(f.PerSurface, func(p intake.PerSurface) bool { return p.Skin >= 0 && p.JointsUsed > 0 })
}

// counts tells whether a finding counts for rigging. Clips do not: they are put on
// afterwards.
func counts(id string) bool { return !strings.HasPrefix(id, "motion/") }

func (r *Row) note(res *inspect.Result) {
	for i, f := range res.Findings() {
		b := Brief{Number: i + 1, ID: f.ID, Grade: f.Grade.String(), Title: f.Title, Subject: f.Subject, Counts: counts(f.ID)}
		r.Brief = append(r.Brief, b)
		if !b.Counts {
			continue
		}
		switch f.Grade {
		case check.Stop:
			r.Counted.Stop++
		case check.Flaw:
			r.Counted.Flaw++
		case check.Note:
			r.Counted.Note++
		}
	}
}

// worst answers the worst finding of a check, the first of those; nil: none.
func (r *Row) worst(id string) (w *Brief) {
	for i := range r.Brief {
		if b := &r.Brief[i]; b.ID == id && (w == nil || gradeOf(b.Grade) > gradeOf(w.Grade)) {
			w = b
		}
	}
	return w
}

func gradeOf(s string) check.Grade {
	return map[string]check.Grade{"note": check.Note, "flaw": check.Flaw, "stop": check.Stop}[s]
}

// New joins rows to a table: names them, orders them and argues for the best. The
// answer does not depend on the order of the rows.
func New(rows []Row) *Table {
	t := &Table{Columns: columns, Rows: slices.Clone(rows)}
	for i := range t.Rows {
		t.Rows[i].From = i
	}
	// By path first, so that equal names get their numbers the same way every time.
	slices.SortStableFunc(t.Rows, func(a, b Row) int { return cmp.Or(cmp.Compare(a.Path, b.Path), compare(&a, &b)) })
	name(t.Rows)
	slices.SortStableFunc(t.Rows, func(a, b Row) int { return cmp.Or(compare(&a, &b), cmp.Compare(a.File, b.File)) })
	for i := range t.Rows {
		r := &t.Rows[i]
		switch {
		case r.State != Examined:
			r.Place = 0
		case i > 0 && compare(&t.Rows[i-1], r) == 0:
			r.Place = t.Rows[i-1].Place
		default:
			r.Place = i + 1
		}
	}
	for i := range t.Rows {
		t.Rows[i].Reason = reason(t.Rows[:i], &t.Rows[i])
	}
	t.Argument = argue(t.Rows)
	return t
}

// name calls every row by the last part of its path; by the whole path where that
// is not its alone, and by path and a number where even the paths are equal.
func name(rows []Row) {
	base, whole := map[string]int{}, map[string]int{}
	last := func(r *Row) string { return path.Base(strings.ReplaceAll(r.Path, `\`, "/")) }
	for i := range rows {
		base[last(&rows[i])]++
		whole[rows[i].Path]++
	}
	seen := map[string]int{}
	for i := range rows {
		r := &rows[i]
		r.File = last(r)
		if base[r.File] > 1 {
			r.File = r.Path
		}
		if whole[r.Path] > 1 {
			seen[r.Path]++
			r.File += " (" + strconv.Itoa(seen[r.Path]) + ")"
		}
		r.Path = ""
	}
}

// Worst is the worst grade of a finding that counts for rigging in the first row
// that is placed, Stop where it is not fit or none is placed; 0: it has no such finding.
func (t *Table) Worst() check.Grade {
	for i := range t.Rows {
		switch c := t.Rows[i].Counted; {
		case t.Rows[i].Place != 1:
		case c.Stop > 0 || !t.Rows[i].Fit:
			return check.Stop
		case c.Flaw > 0:
			return check.Flaw
		case c.Note > 0:
			return check.Note
		default:
			return 0
		}
	}
	return check.Stop
}
