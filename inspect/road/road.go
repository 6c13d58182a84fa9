// Package road says where a figure stands on the way from a download to a moving character
// that is handed over: ten steps in the order of the work, what is left to do in each, and
// what does it. Nothing is measured here: a step stands on the findings and the facts of an
// examination, and on the table of mends.
package road

import (
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/intake"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/skeleton"
)

// Road is the steps of one figure.
type Road struct {
	Says  string `json:"says"` // where the figure stands; "" while stations are missing
	Next  string `json:"next"` // id of the first step with something to be done; "": none
	Steps []Step `json:"steps"`
}

// Step is one of ten.
type Step struct {
	ID       string   `json:"id" wire:"'choose' | 'scale' | 'weld' | 'even' | 'fit' | 'bind' | 'rest' | 'parts' | 'motion' | 'hand-over'"`
	Title    string   `json:"title"`
	State    State    `json:"state" wire:"'done' | 'to-do' | 'choice' | 'needless'"`
	Says     string   `json:"says"`     // what there is, or what is left: a few words
	Findings []int    `json:"findings"` // that are put right in it, by number, the gravest first
	Mends    []string `json:"mends"`    // ids of the mends that work in it, in the order of the work
}

// State is how far a step is.
type State string

const (
	Done     State = "done"     // nothing is left that must be done; there may be notes
	ToDo     State = "to-do"    // a stop or a flaw is left, or the step itself was not taken
	Choice   State = "choice"   // a matter of what the figure is for
	Needless State = "needless" // this figure has no use for it
)

type row struct {
	id, title string
	stages    []mend.Stage
	stations  []string
	checks    []string // that belong here whatever answers them
	mends     []string // that work here whatever their stage
}

// steps are the rows of every road: which mends work in each, by their stage, and which
// station's findings belong to it where no mend answers them.
var steps = []row{
	{id: "choose", title: "Choose"},
	{id: "scale", title: "Scale", stages: []mend.Stage{mend.Scale}},
	{id: "weld", title: "Weld", stages: []mend.Stage{mend.Weld}, stations: []string{"surface"}},
	{id: "even", title: "Even", stages: []mend.Stage{mend.Even}},
	{id: "fit", title: "Fit", stages: []mend.Stage{mend.Fit}, stations: []string{"skeleton"},
		checks: []string{"skeleton/name-clash", "skeleton/fragile-name"}, mends: []string{"names"}},
	{id: "bind", title: "Bind", stages: []mend.Stage{mend.Bind, mend.Clean}, stations: []string{"binding", "bends"},
		checks: []string{"skeleton/bind-lost", "skeleton/bind-mixed"}},
	{id: "rest", title: "Rest", stages: []mend.Stage{mend.Rest}},
	{id: "parts", title: "Parts and chains", stages: []mend.Stage{mend.Hang, mend.Part}, checks: []string{"motion/still-chain"}},
	{id: "motion", title: "Motion", stages: []mend.Stage{mend.Motion, mend.Thin}, stations: []string{"motion"}},
	{id: "hand-over", title: "Hand over", stations: []string{"intake"}},
}

// Of is the road of an examined figure. Where a station did not run all steps are empty.
func Of(r *inspect.Result) Road {
	w := walk{
		r: r, intake: inspect.FactsOf[intake.Facts](r), skeleton: inspect.FactsOf[skeleton.Facts](r), motion: inspect.FactsOf[motion.Facts](r),
		road: Road{Steps: make([]Step, len(steps))},
	}
	for i := range steps {
		s := &w.road.Steps[i]
		*s = Step{ID: steps[i].id, Title: steps[i].title, State: Needless, Findings: []int{}, Mends: []string{}}
		for _, m := range mend.Table() {
			if place(m) == i {
				s.Mends = append(s.Mends, m.ID)
			}
		}
	}
	w.verdict = r.Verdict()
	if w.verdict.State == "" {
		return w.road
	}
	w.sort()
	if w.verdict.State != inspect.Empty {
		w.judge()
	}
	w.say()
	return w.road
}

// walk is one road being made.
type walk struct {
	r        *inspect.Result
	road     Road
	verdict  inspect.Verdict
	intake   *intake.Facts
	skeleton *skeleton.Facts
	motion   *motion.Facts
	grades   [][]check.Grade // by step: of its findings
}

// place answers the step that a mend works in.
func place(m mend.Mend) int {
	if i := slices.IndexFunc(steps, func(s row) bool { return slices.Contains(s.mends, m.ID) }); i >= 0 {
		return i
	}
	return slices.IndexFunc(steps, func(s row) bool { return slices.Contains(s.stages, m.Stage) })
}

// home answers the step that a check's findings belong to: where a mend answers them, else
// where its station's work is done.
func home(id string) int {
	station, _, _ := strings.Cut(id, "/")
	for i := range steps {
		if slices.Contains(steps[i].checks, id) {
			return i
		}
	}
	for _, m := range mend.Table() {
		if slices.Contains(m.Answers, id) {
			return place(m)
		}
	}
	for i := range steps {
		if slices.Contains(steps[i].stations, station) {
			return i
		}
	}
	return len(steps) - 1
}

// sort puts every finding that stands by itself on the one step it belongs to.
func (w *walk) sort() {
	all := w.r.Findings()
	w.grades = make([][]check.Grade, len(steps))
	for _, g := range []check.Grade{check.Stop, check.Flaw, check.Note} {
		for i := range all {
			if all[i].Cause == nil && all[i].Grade == g {
				s := home(all[i].ID)
				w.road.Steps[s].Findings, w.grades[s] = append(w.road.Steps[s].Findings, i+1), append(w.grades[s], g)
			}
		}
	}
}
