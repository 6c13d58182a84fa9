// Package mend puts right on a copy what was found, examines the copy, and says what that
// changed. A mend is a pure function: (figure, parameters) → (figure, receipt). It knows
// checks by their ids and outcomes alone; no check knows a mend.
//
// Table lists the mends, one file each. What several of them need:
//
//	work.go      Work: the document to change, the rig as it was, the joints' roles, refusals
//	values.go    parameters with default, least, most and unit, and the values a step gives
//	poses.go     moments of the clips, poses of the bend set, where vertices are in them
//	write.go     Work.Write: a rig that was made of the old one, into the document
//	vertices.go  vertices named by content, so that a plan survives a new export
//	state.go     a figure after some steps: file, rig, examination
//	receipt.go   what a step did, check by check, and whether it is kept
//	plan.go      steps in their order, and a run of them
//	second.go    other files at hand, by name and hash
//	slip.go      kept steps with undo, redo, switching off and moving
//
// Changes go through inspect/original: untouched views stay byte-equal, shared accessors
// change for the surfaces named alone. Integer weights: original.Weights. Heavy algorithms
// stand in packages of their own and know neither documents nor words.
package mend

import (
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect"
)

// Mend is one row of the table.
type Mend struct {
	ID         string // "scale": one word, the key in a plan
	Title      string // at most four words: "Bring to scale"
	Stage      Stage
	Answers    []string // ids of the checks whose findings it puts right
	Beside     []string // of others beside whose findings a person may want it; it is never suggested for them
	Does       string   // what it does, in two or three sentences a person understands
	Source     string   // of the algorithm
	Parameters []Parameter

	// Suggest looks at an examination and answers values for which the mend would put
	// something right; none: there is nothing for it to do. Values it leaves out stand at
	// their default.
	Suggest func(*Findings) []Values

	// Aims are those of Answers that a step with these values is about; nil: all. A step is
	// kept where one of them clears: what it was never to touch does not count against it.
	Aims func(Values) []string

	// Apply changes w.Doc. An error of w.Refuse says in words why it cannot be done
	// rightly; any other is a fault of the program or of the file.
	Apply func(w *Work) error
}

// Stage is a mend's place in the order of the work: what comes earlier changes what later
// ones measure.
type Stage uint8

const (
	Scale Stage = iota
	Weld
	Even
	Fit
	Bind
	Clean
	Rest
	Hang
	Part
	Motion
	Thin
)

func (s Stage) String() string {
	return [...]string{"scale", "weld", "even", "fit", "bind", "clean", "re-rest", "hang", "part", "motion", "thin"}[s]
}

// Table is every mend, in the order of the work.
func Table() []Mend {
	return []Mend{
		bringToScale,
		weldPlaces,
		makeEven,
		fitSkeleton,
		bindSurface,
		cleanWeights,
		nameRoles,
		restOnly,
		restAndBind,
		hangOn,
		takePart,
		cutGear,
		carryOver,
		trimClip,
		splitTravel,
		closeLoop,
		letFollow,
		swayByHand,
		giveSprings,
		thinOut,
		makeLighter,
		dropUnused,
	}
}

// Named answers a mend by its id.
func Named(id string) (Mend, error) {
	var ids []string
	for _, m := range Table() {
		if m.ID == id {
			return m, nil
		}
		ids = append(ids, m.ID)
	}
	return Mend{}, fmt.Errorf("there is no mend %q; there are %s", id, strings.Join(ids, ", "))
}

// Findings are those of one examination that a mend's Suggest may look at.
type Findings struct {
	All    []Found
	Result *inspect.Result
}

// Found is one finding as a mend sees it.
type Found struct {
	ID, Grade, Subject string
	Measures           map[string]float64 // by name; the one that graded it first in the finding
	Number             int                // its place in the ledger, from 1
}

// Look lists the findings that stand by themselves: what follows from another goes when
// that does.
func Look(r *inspect.Result) *Findings {
	f := &Findings{Result: r}
	for i, x := range r.Findings() {
		if x.Cause != nil {
			continue
		}
		one := Found{ID: x.ID, Grade: x.Grade.String(), Subject: x.Subject, Measures: map[string]float64{}, Number: i + 1}
		for _, m := range x.Measures {
			if _, twice := one.Measures[m.Name]; !twice {
				one.Measures[m.Name] = m.Value
			}
		}
		f.All = append(f.All, one)
	}
	return f
}

// Of answers the findings of some checks.
func (f *Findings) Of(ids ...string) (out []Found) {
	for _, x := range f.All {
		if slices.Contains(ids, x.ID) {
			out = append(out, x)
		}
	}
	return out
}
