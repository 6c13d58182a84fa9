// Package mark holds what learners found in a faulty sample against what was planted. It
// reads and writes JSON alone and knows no figure.
package mark

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/say"
)

// Version of both documents.
const Version = 1

// Answer is what was planted.
type Answer struct {
	Answer int       `json:"answer"` // Version
	Fault  int       `json:"fault"`  // its number
	Check  string    `json:"check"`  // that finds it
	Title  string    `json:"title"`  // of that check
	Says   string    `json:"says"`   // what was done, in words
	Grade  string    `json:"grade"`
	Joints []string  `json:"joints"`  // that it is about; none: it is about a place or the whole figure
	Point  []float64 `json:"point"`   // in the middle of the place, metres, world, rest pose; none
	Reach  float64   `json:"reach_m"` // how far from Point still counts as there
	Also   []string  `json:"also"`    // checks that the same fault sets off, rightly
}

// Findings are what one learner wrote down.
type Findings struct {
	Findings int     `json:"findings"` // Version
	By       string  `json:"by"`
	Fault    int     `json:"fault"` // number of the sample that was looked at
	Found    []Found `json:"found"`
}

// Found is one of them.
type Found struct {
	Check string    `json:"check"`
	Joint string    `json:"joint"` // name; "": none was pointed at
	Point []float64 `json:"point"` // metres, world, rest pose; none
	Says  string    `json:"says"`  // in the learner's own words
}

// Outcome is how one Found fares.
type Outcome string

const (
	Hit    Outcome = "found"       // the fault, in its place
	Named  Outcome = "named"       // the fault, and no place or another one
	Effect Outcome = "consequence" // what the fault sets off
	Wrong  Outcome = "not there"
)

// Marked is one learner's list against the answer.
type Marked struct {
	By    string `json:"by"`
	Says  string `json:"says"`
	Found bool   `json:"found"` // the fault was named
	Rows  []Row  `json:"rows"`
	Count [4]int `json:"counts"` // by outcome: found, named, consequence, not there
}

// Row is one Found with its outcome.
type Row struct {
	Found
	Outcome Outcome `json:"outcome" wire:"'found' | 'named' | 'consequence' | 'not there'"`
	Because string  `json:"because"`
}

// Report is all of them.
type Report struct {
	Answer  Answer   `json:"answer"`
	Says    string   `json:"says"`
	Learner []Marked `json:"learners"`
}

// ParseAnswer reads an answer.
func ParseAnswer(data []byte) (a Answer, err error) {
	if err := read(data, &a); err != nil {
		return a, fmt.Errorf("this is no answer: %w", err)
	}
	if a.Answer != Version || a.Check == "" {
		return a, errors.New("this is no answer of version 1; “Save the answer” and rigloupe sample --answer write one")
	}
	return a, nil
}

// ParseFindings reads what a learner saved.
func ParseFindings(data []byte) (f Findings, err error) {
	if err := read(data, &f); err != nil {
		return f, fmt.Errorf("these are no findings: %w", err)
	}
	if f.Findings != Version {
		return f, errors.New("these are no findings of version 1; “Save what I found” writes them")
	}
	return f, nil
}

func read(data []byte, to any) error {
	d := json.NewDecoder(bytes.NewReader(data))
	return d.Decode(to)
}

// Of holds several lists against the answer, in the order given.
func Of(a Answer, lists []Findings) Report {
	r := Report{Answer: a, Learner: []Marked{}}
	found := 0
	for i := range lists {
		m := a.mark(&lists[i])
		if m.Found {
			found++
		}
		r.Learner = append(r.Learner, m)
	}
	r.Says = fmt.Sprintf("%s: %s of %s found it.", a.Title, say.Whole(found), say.Count(len(lists), "learner", "learners"))
	return r
}

// mark holds one list against the answer. Another sample is marked as nothing found.
func (a *Answer) mark(f *Findings) Marked {
	m := Marked{By: f.By, Rows: []Row{}}
	if f.Fault != a.Fault {
		m.Says = fmt.Sprintf("looked at sample %d, this is the answer to %d", f.Fault, a.Fault)
		return m
	}
	for _, x := range f.Found {
		r := Row{Found: x}
		r.Outcome, r.Because = a.outcome(&x)
		i := slices.Index([]Outcome{Hit, Named, Effect, Wrong}, r.Outcome)
		m.Count[i]++
		m.Rows = append(m.Rows, r)
	}
	m.Found = m.Count[0]+m.Count[1] > 0
	switch {
	case len(f.Found) == 0:
		m.Says = "wrote nothing down"
	case m.Count[0] > 0:
		m.Says = "found it, in its place"
	case m.Count[1] > 0:
		m.Says = "named it, not its place"
	case m.Count[2] > 0:
		m.Says = "saw what follows from it"
	default:
		m.Says = "did not find it"
	}
	if n := m.Count[3]; n > 0 {
		m.Says += "; " + say.Count(n, "finding", "findings") + " of what is not there"
	}
	return m
}

func (a *Answer) outcome(x *Found) (Outcome, string) {
	switch {
	case x.Check == a.Check:
		if why, there := a.there(x); !there {
			return Named, why
		}
		return Hit, a.Says
	case slices.Contains(a.Also, x.Check):
		return Effect, "follows from: " + a.Says
	}
	return Wrong, "nothing of the kind was planted"
}

// there tells whether a Found points at the place. A fault without a place is anywhere.
func (a *Answer) there(x *Found) (why string, there bool) {
	if len(a.Joints) == 0 && len(a.Point) != 3 {
		return "", true
	}
	if x.Joint != "" && slices.Contains(a.Joints, x.Joint) {
		return "", true
	}
	if len(x.Point) == 3 && len(a.Point) == 3 {
		d := math.Hypot(math.Hypot(x.Point[0]-a.Point[0], x.Point[1]-a.Point[1]), x.Point[2]-a.Point[2])
		if d <= a.Reach {
			return "", true
		}
		return say.Metres(d) + " from its place", false
	}
	if x.Joint != "" && len(a.Joints) > 0 {
		return "it is at " + strings.Join(a.Joints, ", "), false
	}
	return "no place was pointed at", false
}
