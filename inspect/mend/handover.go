package mend

import (
	"context"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/say"
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

// Done answers the steps up to the cursor that are not switched off, as a run of Plan
// would.
func (s *Slip) Done(ctx context.Context) (done []Done, err error) {
	for i := range s.steps[:s.cursor] {
		x := &s.steps[i]
		if x.step.Off {
			continue
		}
		d := Done{Step: i, Receipt: x.receipt, State: x.state}
		if d.State == nil {
			if d.State, err = s.replay(ctx, i+1); err != nil {
				return nil, err
			}
		}
		done = append(done, d)
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

// Between compares two examinations as a receipt does: of a whole run, say. revealed are
// checks that steps on the way brought to light: they are not planted.
func Between(before, after *inspect.Result, revealed []string) *Receipt {
	r := &Receipt{}
	r.compare(before, after, revealed)
	return r
}

// Words is a value of the parameter for a person: "0.4 mm", "yes", "the smoother side".
func (p *Parameter) Words(x any) string {
	switch v := x.(type) {
	case float64:
		return say.Quantity(v, p.Unit)
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case string:
		return v
	case []string:
		if len(v) == 0 {
			return "none"
		}
		return strings.Join(v, ", ")
	case map[string]string:
		var out []string
		for _, k := range slices.Sorted(maps.Keys(v)) {
			out = append(out, k+" → "+v[k])
		}
		if len(out) == 0 {
			return "none"
		}
		return strings.Join(out, ", ")
	}
	return fmt.Sprint(x)
}
