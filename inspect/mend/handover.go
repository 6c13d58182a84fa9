package mend

import (
	"context"
	"path"
	"slices"
	"strings"
)

// Kept is the plan of what a run kept: done again on the figure it started with, it gives
// the same file, step by step with the same receipts. What was tried and not kept, or
// switched off, is not in it.
func (p *Plan) Kept(start *State, done []Done) *Plan {
	out := &Plan{Version: planVersion, MadeWith: madeWith, File: start.source(), Order: p.Order, Steps: []Step{}, Limits: p.Limits}
	for _, d := range done {
		if r := d.Receipt; r.Kept {
			out.Steps = append(out.Steps, Step{Mend: r.Mend, Parameters: r.Parameters, Why: p.Steps[d.Step].Why, Receipt: r.SHA256(),
				Expects: &Expects{Cleared: r.Cleared, Planted: r.Planted}, Accept: slices.Clone(r.Accepted)})
		}
	}
	return out
}

// Done answers the steps up to the cursor that are not switched off, as a run of Plan would;
// the states of a large figure that are not held are made again when they are asked for.
func (s *Slip) Done(ctx context.Context) (done []Done, err error) {
	state, large := s.start, sizeOf(s.start) >= s.large
	for i := range s.steps[:s.cursor] {
		x := &s.steps[i]
		d := Done{Step: i, Receipt: x.receipt, State: x.state, again: func(ctx context.Context, before *State) (*State, error) { return s.after(ctx, before, i) }}
		if x.state == nil && !large {
			if d.State, err = s.after(ctx, state, i); err != nil {
				return nil, err
			}
		}
		if state = d.State; !x.step.Off {
			done = append(done, d)
		}
	}
	if n := len(done); n > 0 {
		done[n-1].State = s.now
	}
	return done, nil
}

// Start is the figure as it was opened.
func (s *Slip) Start() *State { return s.start }

// MendedName is what a mended file is called unless somebody names it.
func MendedName(source string) string {
	source = path.Base(source)
	ext, end := path.Ext(source), ".glb"
	if strings.EqualFold(ext, ".vrm") {
		end = ext
	}
	return strings.TrimSuffix(source, ext) + "-mended" + end
}
