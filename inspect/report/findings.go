package report

import (
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/say"
)

// writer writes the parts of a report.
type writer struct {
	*paper.Sheet
	r *inspect.Result
}

// mostRows is how many places of one finding are told; all of them stand in the JSON.
const mostRows = 8

// findings is a table of all and then one by one, each with its place.
func (w *writer) findings(draw Draw) error {
	w.Part(paper.Words("What was found"))
	all := w.r.Findings()
	if len(all) == 0 {
		w.Say(paper.Words("Nothing: every check that ran is clear."))
		return nil
	}
	v := w.r.Verdict()
	if len(v.Matter) > 0 {
		var list []string
		for _, n := range v.Matter {
			list = append(list, fmt.Sprintf("%d, %s", n, all[n-1].Title))
		}
		w.Say(paper.Words("Look first at " + strings.Join(list, "; ") + ". Numbers are those on the figure."))
	}
	var rows [][]paper.Text
	for _, n := range v.Order {
		f := &all[n-1]
		value, limit := measured(f)
		rows = append(rows, []paper.Text{paper.Join(paper.Mark(f.Grade), paper.Words(fmt.Sprintf("%d  %s", n, f.Title))), paper.Name(f.Subject), paper.Words(value), paper.Soft(paper.Words(limit))})
	}
	w.Table([]string{"Finding", "Place", "Measure", "Limit"}, 2, rows)
	for _, n := range v.Order {
		if err := w.finding(n, &all[n-1], draw); err != nil {
			return err
		}
	}
	return nil
}

// measured is the measure that graded a finding and its limit, in words.
func measured(f *check.Finding) (value, limit string) {
	if len(f.Measures) > 0 {
		m := &f.Measures[0]
		value, limit = m.Says(), m.LimitSays()
		if limit == "" {
			limit = "listed"
		}
	}
	return value, limit
}

// finding is one whole: its place, why it matters and what mends it.
func (w *writer) finding(number int, f *check.Finding, draw Draw) (err error) {
	var picture *paper.Picture
	if draw.Finding != nil {
		p, has, err := draw.Finding(w.r, number)
		if err != nil {
			return err
		}
		if has {
			picture = &p
		}
	}
	w.Beside(picture, f.Grade >= check.Flaw, func() {
		w.Step(paper.Join(paper.Mark(f.Grade), paper.Words(fmt.Sprintf("%d  %s", number, f.Title))))
		if f.Subject != "" {
			w.Say(paper.Name(f.Subject))
		}
		if f.Figure != "" {
			w.Say(paper.Join(paper.Words("Of "), paper.Name(f.Figure), paper.Words(".")))
		}
		var rows [][2]paper.Text
		for i := range f.Measures {
			m := &f.Measures[i]
			t := paper.Words(m.Beside())
			if words := m.LimitSays(); words != "" {
				t = paper.Join(t, paper.Soft(paper.Words(", "+m.Against())))
			}
			rows = append(rows, [2]paper.Text{paper.Words(m.Name), t})
		}
		for i := range f.Rows[:min(len(f.Rows), mostRows)] {
			row := &f.Rows[i]
			value := ""
			if len(row.Measures) > 0 {
				value = row.Measures[0].Says()
			}
			rows = append(rows, [2]paper.Text{paper.Words(fmt.Sprintf("Place %d", i+1)), paper.Join(paper.Name(row.Subject), paper.Soft(paper.Words(" "+value)))})
		}
		if n := len(f.Rows) - mostRows; n > 0 {
			rows = append(rows, [2]paper.Text{paper.Words("And"), paper.Words(say.Count(n, "more place", "more places"))})
		}
		if rows != nil {
			w.Facts(rows)
		}
		if c := f.Cause; c != nil {
			w.Say(paper.Words(fmt.Sprintf("Follows from %d, %s.", w.r.NumberOf(c), c.Title)))
		}
		w.Say(paper.Words(f.Why))
		if f.Remedy != "" {
			var steps []paper.Text
			for t := range strings.SplitSeq(f.Remedy, "\n") {
				steps = append(steps, paper.Words(t))
			}
			w.List(steps)
		}
		w.Small(paper.Words("Source: " + f.Source + "."))
	})
	return nil
}

// checks lists what was looked at and by which limits.
func (w *writer) checks(o check.Overrides) {
	w.Part(paper.Words("Checks and limits"))
	var rows [][]paper.Text
	for i, st := range inspect.Catalogue() {
		out := &w.r.Stations[i]
		for _, e := range st.Entries {
			ends, grade := "not looked at", check.Grade(0)
			if k := slices.IndexFunc(out.Checks, func(c check.Outcome) bool { return c.ID == e.ID }); k >= 0 && out.Checks[k].State != check.NotLookedAt {
				ends = "clear"
				n := 0
				for j := range out.Findings {
					if f := &out.Findings[j]; f.ID == e.ID {
						n++
						grade = max(grade, f.Grade)
					}
				}
				if n > 0 {
					ends = say.Count(n, "finding", "findings")
				}
			}
			var limits []string
			for _, l := range e.Limits {
				if v, moved := o[e.ID][l.Name]; moved {
					l.Value = v
				}
				limits = append(limits, fmt.Sprintf("%s: %s %s", strings.ReplaceAll(l.Name, "_", " "), l.Grade, l.Says()))
			}
			if limits == nil {
				limits = append(limits, "listed")
			}
			rows = append(rows, []paper.Text{paper.Words(e.Title), paper.Words(st.Title), paper.Join(paper.Mark(grade), paper.Words(ends)), paper.Soft(paper.Words(strings.Join(limits, " · ")))})
		}
	}
	w.Table([]string{"Check", "Station", "Outcome", "Limits"}, 4, rows)
}
