// Package inspect examines a rig: it runs the stations of the catalogue over one
// read file and answers what they measured and found. It is the one engine behind
// the page, the command line and the JSON.
package inspect

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// Version is the program's own; FactsVersion that of the document's meanings.
const (
	Version      = "0.1.0"
	FactsVersion = 1
)

// Options of one examination. The zero value examines everything with the
// default limits.
type Options struct {
	Only   []string        // station names; empty: all
	Limits check.Overrides // see ParseLimits

	// Progress is told how far a station is; see exam.Exam. Done is called after
	// each station with the result so far, which holds only what is finished.
	Progress func(station string, done, total int)
	Done     func(*Result)

	// Clock, when set, times the stations. The engine itself reads no clock, so
	// that two runs answer the same bytes.
	Clock func() time.Time
}

// Result is one examination: the facts and findings of every station that ran.
type Result struct {
	File     rig.File
	Remarks  []string
	Stations []Outcome
	Exam     *exam.Exam // the shared values; not part of the document
}

// Outcome is what one station answered.
type Outcome struct {
	Name, Title string
	Facts       any // *intake.Facts and so on; nil when it did not run
	Findings    []check.Finding
	Checks      []check.Outcome
	Failed      string // why it did not run: left out by Options.Only, or stopped
	Took        time.Duration

	figures []any           // facts of each figure, where the file holds several; nil: not examined
	judged  []check.Finding // as the station filed them; Findings are these after settle

	written   []byte // the facts as JSON, once they were asked for
	writtenOf any    // which those were
}

// FactsOf answers what the station whose Facts have type F measured; nil: it did not run.
func FactsOf[F any](r *Result) *F {
	for i := range r.Stations {
		if f, ok := r.Stations[i].Facts.(*F); ok {
			return f
		}
	}
	return nil
}

// Examine runs the stations in the order of the work. A cancelled context ends it
// between two ticks: the result then holds the stations that were finished, and
// the error is ctx.Err(). An unknown name in Only is an error and nothing runs.
func Examine(ctx context.Context, r *rig.Rig, o Options) (*Result, error) {
	if err := CheckOptions(o); err != nil {
		return nil, err
	}
	all := Catalogue()
	e := exam.New(r)
	e.Progress = o.Progress
	defer e.Over()
	res := &Result{File: r.File, Remarks: r.Remarks, Exam: e}
	for i := range all {
		s := &all[i]
		out := Outcome{Name: s.Name, Title: s.Title}
		if len(o.Only) > 0 && !slices.Contains(o.Only, s.Name) {
			out.leftOut(s, "station left out of this examination")
			res.Stations = append(res.Stations, out)
			continue
		}
		var start time.Time
		if o.Clock != nil {
			start = o.Clock()
		}
		e.Station = s.Name
		err := guard(s.Name, func() (err error) {
			if out.Facts, err = s.Measure(ctx, e); err != nil {
				return err
			}
			if err = ctx.Err(); err != nil {
				return err // ended within the last step: what it measured is not true
			}
			if out.figures, err = measureFigures(ctx, s, e); err != nil {
				return err
			}
			out.judge(s, e, o.Limits)
			return nil
		})
		if err != nil {
			for j := i; j < len(all); j++ {
				rest := Outcome{Name: all[j].Name, Title: all[j].Title}
				rest.leftOut(&all[j], "the examination was stopped before this station was done")
				res.Stations = append(res.Stations, rest)
			}
			if ctx.Err() != nil {
				return res, ctx.Err()
			}
			return res, err // it names the station
		}
		if o.Clock != nil {
			out.Took = o.Clock().Sub(start)
		}
		res.Stations = append(res.Stations, out)
		res.settle()
		if o.Done != nil {
			o.Done(res)
		}
	}
	return res, nil
}

// Judge holds the facts against other limits, without measuring again.
func (r *Result) Judge(limits check.Overrides) {
	all := Catalogue()
	for i := range r.Stations {
		o := &r.Stations[i]
		for j := range all {
			if all[j].Name == o.Name && o.Facts != nil {
				o.judge(&all[j], r.Exam, limits)
			}
		}
	}
	r.settle()
}

// Rest gives back what stations hold beside their facts and can work out again of e when it is
// asked for; e nil: of the exam at hand.
func (r *Result) Rest(e *exam.Exam) {
	if e != nil {
		r.Exam = e
	}
	for i := range r.Stations {
		rest(r.Stations[i].Facts, e)
		for _, f := range r.Stations[i].figures { // each of an exam of its own
			rest(f, nil)
		}
	}
}

func rest(facts any, e *exam.Exam) {
	if f, can := facts.(interface{ Rest(e *exam.Exam) }); can {
		f.Rest(e)
	}
}

// Findings answers all findings, in the order of the stations. The place of one
// in this list, from 1, is its number in ledger, plate and report.
func (r *Result) Findings() (all []check.Finding) {
	for i := range r.Stations {
		all = append(all, r.Stations[i].Findings...)
	}
	return all
}

// Count answers how many findings have a grade.
func (r *Result) Count(g check.Grade) (n int) {
	for i := range r.Stations {
		for j := range r.Stations[i].Findings {
			if r.Stations[i].Findings[j].Grade == g {
				n++
			}
		}
	}
	return n
}

// Worst is the highest grade found, 0 when nothing was.
func (r *Result) Worst() (g check.Grade) {
	for i := range r.Stations {
		for j := range r.Stations[i].Findings {
			g = max(g, r.Stations[i].Findings[j].Grade)
		}
	}
	return g
}

// leftOut marks every check of a station as not looked at.
func (o *Outcome) leftOut(s *check.Station, why string) {
	o.Failed = why
	for _, e := range s.Entries {
		o.Checks = append(o.Checks, check.Outcome{ID: e.ID, State: check.NotLookedAt, Reason: why})
	}
}

// CheckOptions tells of a station in Only that does not exist.
func CheckOptions(o Options) error {
	var names []string
	for _, s := range Catalogue() {
		names = append(names, s.Name)
	}
	for _, n := range o.Only {
		if !slices.Contains(names, n) {
			return fmt.Errorf("station %q is not known; there are %s", n, strings.Join(names, ", "))
		}
	}
	return nil
}
