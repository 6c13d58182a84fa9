package mend

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
)

// Plan is steps to be done on a file, one after the other.
type Plan struct {
	Version  int             `json:"rigloupe_plan"`
	MadeWith string          `json:"made_with"`
	File     PlanFile        `json:"file"`
	Order    string          `json:"order,omitempty"` // "free": steps may stand in any order
	Steps    []Step          `json:"steps"`
	Limits   check.Overrides `json:"limits,omitempty"`
}

// PlanFile is the file that a plan was made for. On another one it may be tried.
type PlanFile struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// Step is one mend with its values.
type Step struct {
	Mend       string   `json:"mend"`
	Parameters Values   `json:"parameters"`
	Why        string   `json:"why,omitempty"`            // the findings it answers, in words
	Expects    *Expects `json:"expects,omitempty"`        // nil: anything
	Receipt    string   `json:"receipt_sha256,omitempty"` // of the receipt it gave when the plan was made
	Accept     []string `json:"accept,omitempty"`         // checks whose planted findings the person insists on
	Off        bool     `json:"off,omitempty"`            // left out
}

// Expects is the outcome that was seen when the plan was made.
type Expects struct {
	Cleared []string `json:"cleared"`
	Planted []string `json:"planted"`
}

const (
	planVersion = 1 // raised where a program of before would read a plan wrong
	madeWith    = "rigloupe " + inspect.Version
)

// ParsePlan reads a plan and checks mends, values and order. Unknown members are an error:
// a misspelt one would be a step that silently does something else.
func ParsePlan(data []byte) (*Plan, error) {
	if err := isPlan(data); err != nil {
		return nil, fmt.Errorf("plan: %w", err)
	}
	p := &Plan{}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(p); err != nil {
		return nil, fmt.Errorf("plan: %s", strings.TrimPrefix(err.Error(), "json: "))
	}
	if p.Version != planVersion {
		return nil, fmt.Errorf(`plan: "rigloupe_plan" is %d; this program reads %d`, p.Version, planVersion)
	}
	if p.Limits != nil {
		data, err := json.Marshal(p.Limits)
		if err == nil {
			_, err = inspect.ParseLimits(data)
		}
		if err != nil {
			return nil, fmt.Errorf("plan: %w", err)
		}
	}
	return p, p.Check()
}

// isPlan tells in words why a text cannot be a plan at all.
func isPlan(data []byte) error {
	var head struct {
		Version *json.Number `json:"rigloupe_plan"`
	}
	err := json.Unmarshal(data, &head)
	var broken *json.SyntaxError
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return errors.New("the file is empty")
	case errors.As(err, &broken) && broken.Offset >= int64(len(data)):
		return errors.New("it ends in the middle: the file is not whole")
	case errors.As(err, &broken) && bytes.HasPrefix(bytes.TrimSpace(data), []byte("{")):
		line := 1 + bytes.Count(data[:broken.Offset], []byte("\n"))
		return fmt.Errorf("line %d is no JSON: %w", line, err)
	case err != nil || head.Version == nil:
		return errors.New(`this is no plan: it has no "rigloupe_plan"`)
	}
	return nil
}

// Check completes the values of every step and tells of one that cannot be: an unknown
// mend, a value outside its range, a step before its turn.
func (p *Plan) Check() error {
	last := Stage(0)
	for i := range p.Steps {
		s := &p.Steps[i]
		m, err := Named(s.Mend)
		if err == nil {
			s.Parameters, err = m.Complete(s.Parameters)
		}
		if err != nil {
			return fmt.Errorf("plan, step %d: %w", i+1, err)
		}
		if s.Off {
			continue
		}
		if p.Order != "free" && m.Stage < last {
			return fmt.Errorf(`plan, step %d: %s comes before %s in the order of the work; set "order": "free" to do it all the same`, i+1, m.Stage, last)
		}
		last = m.Stage
	}
	if p.Order != "" && p.Order != "free" {
		return fmt.Errorf(`plan: "order" is %q; want "free" or none`, p.Order)
	}
	return nil
}

// JSON writes the plan for people: indented, with a newline at its end.
func (p *Plan) JSON() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(p)
	return b.Bytes(), err
}

// Done is one step of a run.
type Done struct {
	Step    int // its place in the plan, from 0
	Receipt *Receipt
	State   *State // after it; the one before where it is not kept; nil: see After
	Odd     string // how its outcome differs from what the plan expects; "": it does not

	again func(ctx context.Context, before *State) (*State, error)
}

// After is the state after the step, done again on the one before it where that is not held: of
// a large figure all together take gigabytes. The last of several is always held.
func (d *Done) After(ctx context.Context, before *State) (*State, error) {
	if d.State != nil {
		return d.State, nil
	}
	return d.again(ctx, before)
}

// Options of a run.
type Options struct {
	Only int  // this step alone, from 1; 0: all
	GoOn bool // past a step whose outcome is not the expected one
	Each func(Done)
	Next func(step int) // before each that is tried, from 0
}

// Run does the steps of a plan on a figure. A step that is not kept leaves the figure as it
// was and the run goes on; one whose outcome differs from what the plan expects ends it
// unless Options.GoOn. The answer holds all steps that were tried; ok tells that all were
// kept and none was odd.
func (p *Plan) Run(ctx context.Context, s *State, o Options) (done []Done, ok bool, err error) {
	if o.Only < 0 || o.Only > len(p.Steps) {
		return nil, false, fmt.Errorf("there is no step %d, the plan has %d", o.Only, len(p.Steps))
	}
	ok = true
	for i := range p.Steps {
		step := &p.Steps[i]
		if step.Off || o.Only > 0 && o.Only != i+1 {
			continue
		}
		m, err := Named(step.Mend)
		if err != nil {
			return done, false, err
		}
		if o.Next != nil {
			o.Next(i)
		}
		t, err := s.Try(ctx, m, step.Parameters)
		if err != nil {
			return done, false, fmt.Errorf("step %d: %w", i+1, err)
		}
		r, err := t.Prove(ctx, p.Limits, step.Accept)
		if err != nil {
			return done, false, fmt.Errorf("step %d: %w", i+1, err)
		}
		d := Done{Step: i, Receipt: r, State: s, Odd: step.odd(r)}
		if r.Kept {
			s = t.After
			d.State = s
		}
		done = append(done, d)
		if o.Each != nil {
			o.Each(d)
		}
		ok = ok && r.Kept && d.Odd == ""
		if d.Odd != "" && !o.GoOn {
			break
		}
	}
	return done, ok, nil
}

// odd tells how an outcome differs from what is expected.
func (s *Step) odd(r *Receipt) string {
	if s.Expects == nil {
		return ""
	}
	var out []string
	for _, l := range []struct {
		word      string
		want, got []string
	}{{"clear", s.Expects.Cleared, r.Cleared}, {"plant", s.Expects.Planted, r.Planted}} {
		for _, id := range l.want {
			if !slices.Contains(l.got, id) {
				out = append(out, fmt.Sprintf("it was to %s %s and did not", l.word, id))
			}
		}
		for _, id := range l.got {
			if l.word == "plant" && !slices.Contains(l.want, id) {
				out = append(out, "it plants "+id)
			}
		}
	}
	return strings.Join(out, "; ")
}

// mostTries bounds how often one mend is suggested anew while a plan is made, and mostPasses
// how often the table is gone through.
const (
	mostTries  = 6
	mostPasses = 2
)

// Suggest makes the plan that the findings call for: every mend of the table in the order
// of the work, tried on the figure as the ones before it left it, and taken in where it is
// kept. What a later mend brought to light is answered in a second pass: a step that then
// comes before its turn makes the order of the plan free. left are the receipts of those
// that were tried and not kept.
func Suggest(ctx context.Context, s *State, limits check.Overrides) (p *Plan, end *State, left []*Receipt, err error) {
	return suggest(ctx, s, limits, func(*Trial, *Receipt, string) error { return nil })
}

// suggest tells every trial with its receipt and the findings it answers.
func suggest(ctx context.Context, s *State, limits check.Overrides, each func(t *Trial, r *Receipt, why string) error) (p *Plan, end *State, left []*Receipt, err error) {
	p = &Plan{Version: planVersion, MadeWith: madeWith, File: s.source(), Steps: []Step{}, Limits: limits}
	vain, last := map[string]map[string]bool{}, Stage(0) // by mend the values that were not kept
	for range mostPasses {
		steps := len(p.Steps)
		for _, m := range Table() {
			if m.Suggest == nil {
				continue
			}
			if vain[m.ID] == nil {
				vain[m.ID] = map[string]bool{}
			}
			tried := maps.Clone(vain[m.ID]) // in vain before, and since the last that was kept
			for range mostTries {
				r, err := s.Examine(ctx, limits)
				if err != nil {
					return p, s, left, err
				}
				found := Look(r)
				var next Values
				var key string
				for _, v := range m.Suggest(found) {
					if text, _ := json.Marshal(v); !tried[string(text)] {
						key, next = string(text), v
						break
					}
				}
				if next == nil {
					break
				}
				t, err := s.Try(ctx, m, next)
				if err != nil {
					return p, s, left, err
				}
				receipt, err := t.Prove(ctx, limits, nil)
				if err != nil {
					return p, s, left, err
				}
				if err := each(t, receipt, why(&m, found)); err != nil {
					return p, s, left, err
				}
				if !receipt.Kept {
					tried[key], vain[m.ID][key] = true, true
					left = append(left, receipt)
					continue
				}
				p.Steps = append(p.Steps, Step{Mend: m.ID, Parameters: t.Values, Why: why(&m, found), Receipt: receipt.SHA256(),
					Expects: &Expects{Cleared: receipt.Cleared, Planted: receipt.Planted}})
				if m.Stage < last {
					p.Order = "free"
				}
				s, last = t.After, max(last, m.Stage)
				tried = map[string]bool{key: true}
			}
		}
		if len(p.Steps) == steps {
			break
		}
	}
	return p, s, left, nil
}

// why names the findings that a mend answers.
func why(m *Mend, f *Findings) string {
	var out []string
	for _, x := range f.Of(m.Answers...) {
		s := x.ID
		if x.Subject != "" {
			s += " (" + x.Subject + ")"
		}
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return strings.Join(out, "; ")
}

func (s *State) source() PlanFile {
	name, sum, size := s.Doc.Source()
	return PlanFile{name, sum, size}
}
