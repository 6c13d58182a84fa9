package mend

import (
	"bytes"
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rounds"
)

// put away and made again as another program does it: by its text alone.
func restored(t *testing.T, s *Slip, start *State, change func(*Saved)) (*Slip, map[int]string, []int) {
	t.Helper()
	text, err := json.Marshal(s.Saved())
	if err != nil {
		t.Fatal(err)
	}
	from, err := ParseSaved(text)
	if err != nil {
		t.Fatal(err)
	}
	change(from)
	out, begun := NewSlip(start, nil), []int{}
	off, err := out.Restore(context.Background(), from, func(i int) { begun = append(begun, i) })
	if err != nil {
		t.Fatal(err)
	}
	return out, off, begun
}

// A slip with a step that is off and one that was taken back, judged by a limit of its own,
// is made again: the same sheet, plan and file to the byte, and what is off or taken back
// comes back as it would have.
func TestSlipRestored(t *testing.T) {
	ctx := context.Background()
	r := sample()
	for _, f := range planted("binding/stray-island", "skeleton/name-clash") {
		r, _ = f.On(r)
	}
	slip := slipOf(t, ofRig(t, r), Step{Mend: "scale", Parameters: Values{"factor": 1.2}}, Step{Mend: "clean", Parameters: Values{"strays": true}, Why: "binding/stray-island"},
		Step{Mend: "names"}, Step{Mend: "scale", Parameters: Values{"factor": 0.9}})
	for _, err := range []error{slip.Judge(ctx, check.Overrides{"intake/odd-height": {"highest": 2.5}}), slip.Switch(ctx, 1, true)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	slip.Back(ctx)
	again, off, begun := restored(t, slip, ofRig(t, r), func(*Saved) {})
	if len(off) > 0 || !slices.Equal(begun, []int{0, 2}) {
		t.Errorf("switched off %v; begun %v", off, begun)
	}
	same := func(what string) {
		t.Helper()
		for _, f := range []func(*Slip) any{func(s *Slip) any { return sheetOf(t, s) }, func(s *Slip) any { return s.Plan() }, func(s *Slip) any { return s.Saved() }} {
			a, _ := json.Marshal(f(slip))
			b, _ := json.Marshal(f(again))
			if !bytes.Equal(a, b) {
				t.Errorf("%s:\n%s\n%s", what, a, b)
			}
		}
		if !bytes.Equal(slip.State().Bytes, again.State().Bytes) {
			t.Errorf("%s: another file", what)
		}
	}
	same("made again")
	for _, s := range []*Slip{slip, again} {
		if _, err := s.Forward(ctx); err != nil {
			t.Fatal(err)
		}
		if err := s.Switch(ctx, 1, false); err != nil {
			t.Fatal(err)
		}
	}
	same("put back and switched on")
}

// A step that builds on one that is switched off now is switched off, too, and why is said;
// the one after them stands.
func TestSlipRestoredWithout(t *testing.T) {
	slip := slipOf(t, ofRig(t, sample()), Step{Mend: "scale", Parameters: Values{"factor": 5.0}, Accept: []string{"intake/odd-height"}},
		Step{Mend: "scale", Parameters: Values{"factor": 0.2}}, Step{Mend: "scale", Parameters: Values{"factor": 1.1}})
	again, off, _ := restored(t, slip, ofRig(t, sample()), func(s *Saved) { s.Plan.Steps[0].Off = true })
	if len(off) != 1 || !strings.Contains(off[1], "not kept") {
		t.Errorf("%v", off)
	}
	if s := sheetOf(t, again); s.Kept != 1 || len(s.Steps) != 3 || !s.Steps[0].Off || !s.Steps[1].Off || s.Steps[2].Off || s.Steps[1].Told == nil {
		t.Errorf("%+v", s)
	}
	for _, text := range []string{``, `{`, `{"cursor":0}`, `{"plan":{"steps":[{"mend":"scale"}]},"cursor":2,"receipts":[null]}`, `{"plan":{"steps":[{"mend":"scale"}]},"cursor":1,"receipts":[]}`, `{"plan":{"steps":[{"mend":"no such"}]},"cursor":1,"receipts":[null]}`} {
		if _, err := ParseSaved([]byte(text)); err == nil {
			t.Errorf("%q was taken", text)
		}
	}
}

// A plan on the slip gives the file that a run of it gives; a step that it leaves out stands
// switched off, one that is not kept is not there, an unforeseen outcome ends it unless it
// is to go on, and its limits hold from then on.
func TestSlipDoesPlan(t *testing.T) {
	ctx := context.Background()
	plan := func() *Plan {
		p := &Plan{Version: 1, Limits: check.Overrides{"intake/odd-height": {"highest": 3}}, Steps: []Step{
			{Mend: "scale", Parameters: Values{"factor": 1.3}, Why: "too small"},
			{Mend: "scale", Parameters: Values{"factor": 7.0}, Off: true},
			{Mend: "scale", Parameters: Values{"factor": 100.0}},
			{Mend: "scale", Parameters: Values{"factor": 0.9}, Expects: &Expects{Cleared: []string{"intake/odd-height"}}},
			{Mend: "scale", Parameters: Values{"factor": 1.05}},
			{Mend: "scale", Parameters: Values{"factor": 8.0}, Off: true},
		}}
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		return p
	}
	for _, row := range rounds.Rows([]struct {
		goOn              bool
		begun, told, kept int
		off               []int
	}{{false, 3, 3, 2, []int{1}}, {true, 4, 4, 3, []int{1, 4}}}, 2) {
		slip := slipOf(t, ofRig(t, fine()), Step{Mend: "scale", Parameters: Values{"factor": 1.1}})
		begun, told := 0, 0
		done, ok, err := slip.Do(ctx, plan(), Options{GoOn: row.goOn, Next: func(int) { begun++ }, Each: func(Done) {
			if told++; len(slip.Saved().Plan.Steps) < told-1 {
				t.Error("the slip does not grow with the plan")
			}
		}})
		if err != nil || ok || begun != row.begun || told != row.told || len(done) != told {
			t.Errorf("%v %v, %d begun, %d told", err, ok, begun, told)
		}
		run, _, err := plan().Run(ctx, ofRig(t, fine()), Options{GoOn: row.goOn})
		if err != nil || !bytes.Equal(run[len(run)-1].State.Bytes, slip.State().Bytes) {
			t.Errorf("another file than that of a run: %v", err)
		}
		s, off := sheetOf(t, slip), []int{}
		for i, x := range s.Steps {
			if x.Off {
				off = append(off, i)
				if x.Told != nil || x.Title != "Bring to scale" {
					t.Errorf("%+v", x)
				}
			}
		}
		if s.Kept != row.kept || !slices.Equal(off, row.off) || s.Steps[0].Why != "too small" || slip.Plan().Limits["intake/odd-height"]["highest"] != 3 {
			t.Errorf("go on %v: %+v", row.goOn, s)
		}
		if err := slip.Switch(ctx, 1, false); err == nil || !strings.Contains(err.Error(), "step 2") {
			t.Errorf("seven times as large is no flaw: %v", err)
		}
		back := 0
		for more := true; more; back++ {
			if more, err = slip.Back(ctx); err != nil {
				t.Fatal(err)
			}
		}
		if back-1 != len(s.Steps) || !bytes.Equal(slip.State().Bytes, ofRig(t, fine()).Bytes) {
			t.Errorf("%d steps back is not the file that was opened", back-1)
		}
	}
}

// Stopped, a plan leaves what was done; broken off by an error it leaves the slip as it was.
func TestSlipPlanStopped(t *testing.T) {
	p := &Plan{Version: 1, Steps: []Step{{Mend: "scale", Parameters: Values{"factor": 1.3}}, {Mend: "scale", Parameters: Values{"factor": 0.9}}}}
	slip := slipOf(t, ofRig(t, sample()), Step{Mend: "scale", Parameters: Values{"factor": 1.1}})
	ctx, stop := context.WithCancel(context.Background())
	done, _, err := slip.Do(ctx, p, Options{Each: func(Done) { stop() }})
	if s := sheetOf(t, slip); len(done) != 1 || s.Kept != 1 || spaced(s.Steps[0].Words) != "factor × 1.3" {
		t.Errorf("%d done, %v, %+v", len(done), err, s)
	}
	text, _ := json.Marshal(slip.Saved())
	bad := &Plan{Version: 1, Limits: check.Overrides{"intake/odd-height": {"highest": 2}}, Steps: []Step{{Mend: "scale", Parameters: Values{"factor": 1.01}}, {Mend: "no such"}}}
	if _, _, err := slip.Do(context.Background(), bad, Options{}); err == nil {
		t.Error("a mend that is not there was done")
	}
	if now, _ := json.Marshal(slip.Saved()); !bytes.Equal(now, text) {
		t.Errorf("an error changed the slip:\n%s\n%s", text, now)
	}
}
