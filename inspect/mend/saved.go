package mend

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
)

// Saved is a slip as it can be put away and made again in another program: every step, also
// those that were taken back or are switched off.
type Saved struct {
	Plan     Plan       `json:"plan"`
	Cursor   int        `json:"cursor"`
	Receipts []*Receipt `json:"receipts"` // by step; null: it was never proved here
}

// Saved is the slip as it is now.
func (s *Slip) Saved() *Saved {
	out := &Saved{Plan: *s.plan(s.steps), Cursor: s.cursor, Receipts: []*Receipt{}}
	for i := range s.steps {
		out.Receipts = append(out.Receipts, s.steps[i].receipt)
	}
	return out
}

// ParseSaved reads what Saved wrote.
func ParseSaved(data []byte) (*Saved, error) {
	s := &Saved{}
	if err := json.Unmarshal(data, s); err != nil {
		return nil, fmt.Errorf("the saved slip cannot be read: %w", err)
	}
	if s.Plan.Steps == nil || s.Cursor < 0 || s.Cursor > len(s.Plan.Steps) || len(s.Receipts) != len(s.Plan.Steps) {
		return nil, errors.New("the saved slip is not whole")
	}
	return s, s.Plan.Check()
}

// Restore does a saved slip again on the figure as it was opened, and takes its limits;
// each is told the step that is begun. The same steps give the same bytes; one that is not
// kept any more (a step it built on is switched off) is switched off, and why is answered
// by step. An error leaves the slip as it was.
func (s *Slip) Restore(ctx context.Context, from *Saved, each func(step int)) (off map[int]string, err error) {
	next := make([]slipStep, len(from.Plan.Steps))
	was := s.limits
	s.judge(from.Plan.Limits)
	state := s.start
	off = map[int]string{}
	for i := range next {
		x := &next[i]
		*x = slipStep{step: from.Plan.Steps[i], receipt: from.Receipts[i], stale: i >= from.Cursor}
		if x.step.Off || x.stale {
			continue
		}
		each(i)
		again := *x
		err := again.prove(ctx, i, state, from.Plan.Limits)
		var not *notKept
		switch {
		case errors.As(err, &not):
			x.step.Off, off[i] = true, not.receipt.Sentence()
			continue
		case err != nil:
			s.judge(was)
			return nil, err
		}
		*x, state = again, again.state
	}
	s.steps, s.cursor, s.now, s.limits = next, from.Cursor, state, from.Plan.Limits
	s.thin()
	return off, nil
}

// notKept is why a step cannot stand on the slip.
type notKept struct {
	step    int
	receipt *Receipt
}

func (n *notKept) Error() string { return fmt.Sprintf("step %d: %s", n.step+1, n.receipt.Sentence()) }

// Do puts the steps of a plan on the slip in the place of what stood there: done on the
// figure as it was opened, by the plan's own limits, as Run does them. Steps that are not
// kept are left out; those that the plan leaves out stand switched off. An outcome other
// than the plan expects ends it, unless Options.GoOn; so does a stop, and what was done
// until then stays. Any other error leaves the slip as it was.
func (s *Slip) Do(ctx context.Context, p *Plan, o Options) (done []Done, ok bool, err error) {
	was, limits := *s, s.limits
	s.judge(p.Limits)
	s.steps, s.cursor, s.now, s.limits = nil, 0, s.start, p.Limits
	add := func(x slipStep) { s.steps, s.cursor = append(s.steps, x), s.cursor+1 }
	last, each := 0, o.Each
	leftOut := func(to int) { // by the plan itself
		for ; last < to; last++ {
			if p.Steps[last].Off {
				add(slipStep{step: p.Steps[last]})
			}
		}
	}
	o.Only = 0
	o.Each = func(d Done) {
		leftOut(d.Step)
		last = d.Step + 1
		if r := d.Receipt; r.Kept {
			step := Step{Mend: r.Mend, Parameters: r.Parameters, Why: p.Steps[d.Step].Why, Receipt: r.SHA256(),
				Accept: slices.Clone(r.Accepted), Expects: &Expects{Cleared: r.Cleared, Planted: r.Planted}}
			add(slipStep{step: step, receipt: r, state: d.State, size: sizeOf(d.State)})
			s.now = d.State
			s.thin()
		}
		if each != nil {
			each(d)
		}
	}
	done, ok, err = p.Run(ctx, s.start, o)
	if err != nil && ctx.Err() == nil {
		*s = was
		s.judge(limits)
		return nil, false, err
	}
	if err == nil && (len(done) == 0 || done[len(done)-1].Odd == "" || o.GoOn) {
		leftOut(len(p.Steps))
	}
	return done, ok, err
}

// PlanTold is a plan as a person reads it before it is done.
type PlanTold struct {
	Name   string   `json:"name"`   // of the file it was made for; "": it does not say
	Same   bool     `json:"same"`   // that file is the one it is to be done on
	Steps  []string `json:"steps"`  // "Bring to scale, factor 0.01"; those that it leaves out are not among them
	Limits int      `json:"limits"` // checks whose limits it moves
}

// Told puts the plan into words, for a figure.
func (p *Plan) Told(of *State) *PlanTold {
	_, sum, _ := of.Doc.Source()
	out := &PlanTold{Name: p.File.Name, Same: p.File.SHA256 == "" || p.File.SHA256 == sum, Steps: []string{}, Limits: len(p.Limits)}
	for _, x := range p.Steps {
		if m, err := Named(x.Mend); err == nil && !x.Off {
			text := m.Title
			if words := m.Words(x.Parameters); words != "" {
				text += ", " + words
			}
			out.Steps = append(out.Steps, text)
		}
	}
	return out
}
