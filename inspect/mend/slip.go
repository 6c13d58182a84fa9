package mend

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"rigloupe/inspect/check"
)

// Slip is the mending slip of a page: the steps that were kept, and a cursor. Steps behind
// the cursor were taken back and can be done again. Every state is held until all together
// are over 64 MB, then every fourth; one between is made again from the last before it,
// which gives the same bytes, since a mend is a pure function.
type Slip struct {
	limits check.Overrides
	start  *State
	steps  []slipStep
	cursor int // steps that are done
	now    *State
	most   int64 // bytes that states may hold together
	large  int64 // bytes from which on a state that is not at hand gives back what can be worked out again
}

type slipStep struct {
	step    Step
	receipt *Receipt // nil: a plan left it out, it was never tried
	state   *State   // nil: made again when asked for
	size    int64    // bytes that the state holds
	stale   bool     // taken back, and what is before it has changed since: proved anew when it is put back
}

const (
	checkpointSteps = 4        // of so many steps one state is kept whatever it holds: at most three are done again
	largeBytes      = 16 << 20 // of one state: see State.rest
	heldBytes       = 64 << 20 // of states in all; beyond it those between are dropped, the oldest first, and made again when asked for
)

// NewSlip starts with a figure as it was opened.
func NewSlip(s *State, limits check.Overrides) *Slip {
	return &Slip{start: s, now: s, limits: limits, most: heldBytes, large: largeBytes}
}

// Changed tells that a step is done and not switched off.
func (s *Slip) Changed() bool {
	return slices.ContainsFunc(s.steps[:s.cursor], func(x slipStep) bool { return !x.step.Off })
}

// State is the figure with the steps up to the cursor.
func (s *Slip) State() *State { return s.now }

// Steps are those up to the cursor and behind it, with their receipts.
func (s *Slip) Steps() (steps []Step, receipts []*Receipt, cursor int) {
	for i := range s.steps {
		steps, receipts = append(steps, s.steps[i].step), append(receipts, s.steps[i].receipt)
	}
	return steps, receipts, s.cursor
}

// Keep puts a trial of the state at hand on the slip, if its receipt says that it is kept. Steps behind the cursor are
// forgotten.
func (s *Slip) Keep(t *Trial, r *Receipt, why string) error {
	if t.Before != s.now {
		return fmt.Errorf("the trial was made of another state than the one at hand")
	}
	if t.After == nil {
		return fmt.Errorf("the mend was refused: %s", t.reason)
	}
	if !r.Kept {
		return fmt.Errorf("%s is not kept: %s", t.Mend.Title, r.Why)
	}
	step := Step{Mend: t.Mend.ID, Parameters: t.Values, Why: why, Receipt: r.SHA256(), Accept: slices.Clone(r.Accepted),
		Expects: &Expects{Cleared: r.Cleared, Planted: r.Planted}}
	s.steps = append(s.steps[:s.cursor:s.cursor], slipStep{step: step, receipt: r, state: t.After, size: sizeOf(t.After)})
	s.now.rest(s.large)
	s.cursor, s.now = s.cursor+1, t.After
	s.thin()
	return nil
}

// thin drops states where all that are held together are over 64 MB: those between
// checkpoints, the oldest first, never the one at hand. Every fourth step stays.
func (s *Slip) thin() {
	held := int64(0)
	for i := range s.steps {
		if s.steps[i].state != nil {
			held += s.steps[i].size
		}
	}
	for i := range s.steps {
		x := &s.steps[i]
		if held <= s.most {
			return
		}
		if x.state != nil && i != s.cursor-1 && (i+1)%checkpointSteps != 0 {
			x.state = nil
			held -= x.size
		}
	}
}

// sizeOf is about what a state holds by itself: bytes of its document, the file written,
// and the rig read from that.
func sizeOf(s *State) int64 { return s.Doc.Size() + 3*int64(len(s.Bytes)) }

// Back and Forward move the cursor by one step; false at the end. The state is that of
// before, to the byte, unless steps before it were changed: then the step is proved anew,
// and an error says that it would not be kept.
func (s *Slip) Back(ctx context.Context) (bool, error) { return s.to(ctx, s.cursor-1) }
func (s *Slip) Forward(ctx context.Context) (bool, error) {
	if s.cursor == len(s.steps) || !s.steps[s.cursor].stale || s.steps[s.cursor].step.Off {
		return s.to(ctx, s.cursor+1)
	}
	x := s.steps[s.cursor]
	if err := x.prove(ctx, s.cursor, s.now, s.limits); err != nil {
		return false, err
	}
	s.steps[s.cursor] = x
	return s.to(ctx, s.cursor+1)
}

func (s *Slip) to(ctx context.Context, cursor int) (bool, error) {
	if cursor < 0 || cursor > len(s.steps) {
		return false, nil
	}
	state, err := s.replay(ctx, cursor)
	if err != nil {
		return false, err
	}
	s.now.rest(s.large)
	s.cursor, s.now = cursor, state
	if cursor > 0 {
		s.steps[cursor-1].state = state
	}
	s.thin()
	return true, nil
}

// replay makes the state after so many steps from the last checkpoint before it.
func (s *Slip) replay(ctx context.Context, cursor int) (*State, error) {
	from, state := 0, s.start
	for i := cursor; i > 0; i-- {
		if s.steps[i-1].state != nil {
			from, state = i, s.steps[i-1].state
			break
		}
	}
	for i := from; i < cursor; i++ {
		var err error
		if state, err = s.after(ctx, state, i); err != nil {
			return nil, err
		}
	}
	return state, nil
}

// after makes the state after step i of the one before it.
func (s *Slip) after(ctx context.Context, state *State, i int) (*State, error) {
	x := &s.steps[i]
	if x.step.Off {
		return state, nil
	}
	m, err := Named(x.step.Mend)
	if err != nil {
		return nil, err
	}
	t, err := state.Try(ctx, m, x.step.Parameters)
	if err != nil {
		return nil, err
	}
	if t.After == nil {
		return nil, fmt.Errorf("step %d, %s: %s", i+1, m.Title, t.reason)
	}
	return t.After, nil
}

// Switch leaves a step out or takes it in again, and Move puts it elsewhere; both prove
// the steps from there on anew. An error leaves the slip as it was: the order of the work
// does not allow it, or a later step cannot be done without. Steps that were taken back
// stay so.
func (s *Slip) Switch(ctx context.Context, i int, off bool) error {
	if i < 0 || i >= s.cursor {
		return fmt.Errorf("there is no step %d", i+1)
	}
	next := slices.Clone(s.steps)
	next[i].step.Off = off
	return s.again(ctx, next, i, s.limits)
}

// May tells why step i cannot be put in the place of step to; "": it can. Only what it
// passes counts: a step that was kept out of order holds no other in its place.
func (s *Slip) May(i, to int) (why string) {
	switch {
	case i < 0 || i >= len(s.steps) || i == to:
		return fmt.Sprintf("there is no step %d to move", i+1)
	case to < 0:
		return "it is the first step"
	case to >= len(s.steps):
		return "it is the last step"
	}
	if max(i, to) >= s.cursor {
		return "steps that were taken back are put back first"
	}
	m, err := Named(s.steps[i].step.Mend)
	if err != nil {
		return err.Error()
	}
	for k := min(i, to); k <= max(i, to); k++ {
		x, err := Named(s.steps[k].step.Mend)
		switch {
		case err != nil:
			return err.Error()
		case k == i || s.steps[i].step.Off || s.steps[k].step.Off:
		case k < i && x.Stage < m.Stage:
			return fmt.Sprintf("%s comes before %s in the order of the work", x.Stage, m.Stage)
		case k > i && x.Stage > m.Stage:
			return fmt.Sprintf("%s comes before %s in the order of the work", m.Stage, x.Stage)
		}
	}
	return ""
}

// Move puts step i in the place of step to.
func (s *Slip) Move(ctx context.Context, i, to int) error {
	if why := s.May(i, to); why != "" {
		return errors.New(why)
	}
	next := slices.Clone(s.steps)
	x := next[i]
	next = slices.Insert(slices.Delete(next, i, i+1), to, x)
	return s.again(ctx, next, min(i, to), s.limits)
}

// Judge holds all steps against other limits. An error leaves the slip, its limits and
// what they judge as they were: with these a step would not be kept.
func (s *Slip) Judge(ctx context.Context, limits check.Overrides) error {
	was := s.limits
	s.judge(limits)
	if err := s.again(ctx, slices.Clone(s.steps), 0, limits); err != nil {
		s.judge(was)
		return err
	}
	s.limits = limits
	return nil
}

func (s *Slip) judge(limits check.Overrides) {
	s.start.judge(limits)
	for i := range s.steps {
		if x := s.steps[i].state; x != nil {
			x.judge(limits)
		}
	}
	s.now.judge(limits)
}

// again does the steps from one on anew, up to the cursor; those behind it are done when
// they are put back.
func (s *Slip) again(ctx context.Context, next []slipStep, from int, limits check.Overrides) error {
	state, err := (&Slip{start: s.start, steps: next}).replay(ctx, min(from, s.cursor))
	if err != nil {
		return err
	}
	for i := from; i < len(next); i++ {
		x := &next[i]
		x.state, x.stale = nil, i >= s.cursor
		if x.step.Off || x.stale {
			continue
		}
		if err := x.prove(ctx, i, state, limits); err != nil {
			return err
		}
		state = x.state
	}
	s.steps, s.now = next, state
	s.thin()
	return nil
}

// prove does step i on a state and takes its new receipt.
func (x *slipStep) prove(ctx context.Context, i int, state *State, limits check.Overrides) error {
	m, err := Named(x.step.Mend)
	if err != nil {
		return err
	}
	t, err := state.Try(ctx, m, x.step.Parameters)
	if err != nil {
		return err
	}
	r, err := t.Prove(ctx, limits, x.step.Accept)
	if err != nil {
		return err
	}
	if !r.Kept {
		return &notKept{i, r}
	}
	x.step.Receipt, x.step.Expects = r.SHA256(), &Expects{Cleared: r.Cleared, Planted: r.Planted}
	x.receipt, x.state, x.size, x.stale = r, t.After, sizeOf(t.After), false
	return nil
}

// Suggest keeps what the findings call for, as the plan of Suggest does it: each step is
// told when it is kept, and each that was tried and is not. What was kept before an error
// stays.
func (s *Slip) Suggest(ctx context.Context, told func(*Receipt)) error {
	_, _, _, err := suggest(ctx, s.now, s.limits, func(t *Trial, r *Receipt, why string) error {
		if r.Kept {
			if err := s.Keep(t, r, why); err != nil {
				return err
			}
		}
		told(r)
		return nil
	})
	return err
}

// Plan is the slip as a plan: the steps up to the cursor.
func (s *Slip) Plan() *Plan { return s.plan(s.steps[:s.cursor]) }

func (s *Slip) plan(steps []slipStep) *Plan {
	p := &Plan{Version: planVersion, MadeWith: madeWith, File: s.start.source(), Steps: []Step{}, Limits: s.limits}
	last := Stage(0)
	for _, x := range steps {
		p.Steps = append(p.Steps, x.step)
		if m, err := Named(x.step.Mend); err == nil && !x.step.Off {
			if m.Stage < last {
				p.Order = "free"
			}
			last = m.Stage
		}
	}
	return p
}
