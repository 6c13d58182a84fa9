// Package check is the vocabulary of an examination: what a limit, a check, a
// finding and a station are. It knows no single check; the stations fill it and
// package inspect lists them.
package check

import (
	"context"
	"math"
	"strings"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Grade says how bad a finding is.
type Grade uint8

const (
	Note Grade = iota + 1 // worth knowing
	Flaw                  // will show
	Stop                  // will fail
)

func (g Grade) String() string { return [...]string{"", "note", "flaw", "stop"}[g] }

// Limit is one figure that a measure is held against. It is passed by more than Value.
type Limit struct {
	Name    string // key in a limits file: "share"
	Unit    say.Unit
	Value   float64
	Grade   Grade   // of the finding when the limit is passed
	Below   bool    // it is passed by less than Value
	Reached bool    // Value itself passes it as well
	Per     int     // it moves in steps of 1/Per, others count as the step under them; 0: freely
	Least   float64 // asked for less, it counts as this: less was not measured; 0: it was
}

// Check is one row of the catalogue. Judge compares the station's facts with the
// limits and files what it finds; it measures nothing.
type Check[F any] struct {
	ID      string // "station/subject"
	Title   string // one line, names the fault, no verdict: "Scale left on the root"
	Measure string // what is compared, with its unit: "share of vertices without a partner"
	Limits  []Limit
	Why     string          // two sentences a learner understands
	Remedy  string          // what to do in any program, none named; steps parted by "\n"
	Source  string          // standard and section, paper, handbook, or "common practice, no source"
	Lens    string          // what the figure is best coloured by where this is found; "": as it is
	Needs   func(*F) string // "" when it can run, else why not: "no skin in this file"
	Judge   func(*F, *Docket)
}

// Entry is a check without its function: what the catalogue prints.
type Entry struct {
	ID, Title, Measure, Why, Remedy, Source, Lens string
	Limits                                        []Limit
}

// Measure is one figure of a finding.
type Measure struct {
	Name  string
	Value float64
	Unit  say.Unit
	Limit float64 // NaN: none
	Below bool    // the limit is passed by less
	Whole float64 // metres that 1 stands for where Unit is a share of a length; 0: not known
}

// Held is one more measure of a finding, with the limit that it is held against.
func Held(l Limit, name string, value float64) Measure {
	return Measure{Name: name, Value: value, Unit: l.Unit, Limit: l.Value, Below: l.Below}
}

// Also is one more measure of a finding, without a limit.
func Also(name string, value float64, u say.Unit) Measure {
	return Measure{Name: name, Value: value, Unit: u, Limit: math.NaN()}
}

// Finding is one fault: a measure, a place, a reason and a remedy. The first
// measure is the one that graded it. With a Cause it is a note without a remedy,
// whatever its measure says: what mends the cause mends it, or shows what is left.
type Finding struct {
	ID                  string
	Grade               Grade
	Title               string
	Subject             string // what or where in words: "hat brim", a node's name; may be empty
	Measures            []Measure
	Where               Where
	Why, Remedy, Source string
	Cause               *Cause // the finding it follows from; nil: it stands by itself
	Rows                []Row  // where it is one of several alike: all of them, the worst first; nil: it alone
	Figure              string // of several in one file, the one it is about, in words; "": all or the only one
}

// Words are title and first measure as they stand within a sentence: "sides not alike
// (7.09 %)".
func (f *Finding) Words() string {
	words := strings.ToLower(f.Title[:1]) + f.Title[1:]
	if len(f.Measures) > 0 {
		words += " (" + strings.NewReplacer(" (", ", ", ")", "").Replace(f.Measures[0].Says()) + ")"
	}
	return words
}

// Row is one place of a finding that stands in several: the Where of the finding holds the
// joints and vertices of all rows, and the pose and the point of the first.
type Row struct {
	Subject  string
	Measures []Measure
	Where    Where
}

// Cause names a finding of the same examination that another follows from. A cause
// has no cause of its own.
type Cause struct{ ID, Title, Subject string }

// Where is the place of a finding, in the file's own indices. New fills in that
// nothing is named yet.
type Where struct {
	Nodes   []rig.Node
	Skin    rig.Skin
	Joints  []rig.Node
	Hang    [][2]rig.Node // joints that hang wrongly: child, and the parent it should have or None
	Clip    rig.Clip
	Clips   []rig.Clip // all that it is found in, Clip the first; nil: Clip alone, or none
	Time    float64    // seconds into Clip; used only with Clip
	Spots   []Spot     // vertices, by surface
	Point   *space.Vec // metres, world, rest pose
	Extent  float64    // metres: radius around Point that holds the place
	Pointer string     // JSON pointer into the file; "": worked out from the rest
	Move    *Move      // the pose it shows in, when that is one joint turned; nil: rest, or Clip and Time
}

// Move is one joint turned from rest about one of the axes of the bend set.
type Move struct {
	Joint   rig.Node
	Axis    string // flexion, abduction, rotation; x, y, z without a role
	Degrees float64
}

// Spot is a set of vertices (and edges between them) of one surface. Vertices
// index the mesh, all its primitives in order.
type Spot struct {
	Surface  int // place in Rig.Surfaces
	Vertices []rig.Vertex
	Edges    [][2]rig.Vertex
}

// Nowhere names no place.
func Nowhere() Where { return Where{Skin: rig.None, Clip: rig.None} }

// Outcome is how one check ended.
type Outcome struct {
	ID     string
	State  State
	Reason string // for NotLookedAt
}

// State of a check.
type State uint8

const (
	Clear State = iota
	Found
	NotLookedAt
)

func (s State) String() string { return [...]string{"clear", "found", "not-looked-at"}[s] }

// Overrides replace default limits: check id → limit name → value.
type Overrides map[string]map[string]float64

// Docket collects what one check finds.
type Docket struct {
	entry     *Entry
	overrides map[string]float64
	findings  []Finding
	skipped   string
}

// Limit answers the limit of that name, with the override of this examination.
// An unknown name is our own mistake and panics.
func (d *Docket) Limit(name string) Limit {
	for _, l := range d.entry.Limits {
		if l.Name == name {
			if v, ok := d.overrides[name]; ok {
				if l.Value = l.onStep(v); l.Least > 0 {
					l.Value = max(l.Value, l.Least)
				}
			}
			return l
		}
	}
	panic("check " + d.entry.ID + " has no limit " + name)
}

// Found files a finding graded by a limit that a value passed. More measures and
// a subject may be set on the answer.
func (d *Docket) Found(l Limit, name string, value float64, where Where) *Finding {
	f := Finding{
		ID: d.entry.ID, Grade: l.Grade, Title: d.entry.Title, Where: where,
		Measures: []Measure{Held(l, name, value)},
		Why:      d.entry.Why, Remedy: d.entry.Remedy, Source: d.entry.Source,
	}
	d.findings = append(d.findings, f)
	return &d.findings[len(d.findings)-1]
}

// NotLookedAt says that the check could not run after all, and why.
func (d *Docket) NotLookedAt(reason string) { d.skipped = reason }

// Unfinished says that part was left out, and why: what was found stands, but where
// nothing was the check is not clear.
func (d *Docket) Unfinished(reason string) {
	if len(d.findings) == 0 {
		d.skipped = reason
	}
}

// Station is one part of the examination with its type erased, so that the
// catalogue is a slice.
type Station struct {
	Name    string // "intake"
	Title   string // "Intake"
	Entries []Entry
	measure func(context.Context, *exam.Exam) (any, error)
	judge   func(facts any, entry int, o Overrides) ([]Finding, Outcome)
	blank   func() any
}

// NewStation joins a measure with the checks that read its facts.
func NewStation[F any](name, title string, measure func(context.Context, *exam.Exam) (*F, error), checks []Check[F]) Station {
	s := Station{Name: name, Title: title}
	for _, c := range checks {
		s.Entries = append(s.Entries, Entry{ID: c.ID, Title: c.Title, Measure: c.Measure, Why: c.Why, Remedy: c.Remedy, Source: c.Source, Lens: c.Lens, Limits: c.Limits})
	}
	s.measure = func(ctx context.Context, e *exam.Exam) (any, error) { return measure(ctx, e) }
	s.judge = func(facts any, i int, o Overrides) ([]Finding, Outcome) {
		f, c := facts.(*F), &checks[i]
		d := Docket{entry: &s.Entries[i], overrides: o[c.ID]}
		if c.Needs != nil {
			d.skipped = c.Needs(f)
		}
		if d.skipped == "" {
			c.Judge(f, &d)
		}
		out := Outcome{ID: c.ID}
		switch {
		case d.skipped != "":
			out.State, out.Reason = NotLookedAt, d.skipped
		case len(d.findings) > 0:
			out.State = Found
		}
		return d.findings, out
	}
	s.blank = func() any { return new(F) }
	return s
}

// Measure works the facts out; the answer is the station's *Facts.
func (s *Station) Measure(ctx context.Context, e *exam.Exam) (any, error) { return s.measure(ctx, e) }

// Judge holds facts against limits. It may be called again with other limits.
func (s *Station) Judge(facts any, o Overrides) (found []Finding, outcomes []Outcome) {
	for i := range s.Entries {
		of, out := s.judge(facts, i, o)
		found, outcomes = append(found, of...), append(outcomes, out)
	}
	return found, outcomes
}

// Blank answers facts that nothing was measured of yet, to read saved ones into.
func (s *Station) Blank() any { return s.blank() }
