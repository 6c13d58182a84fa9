package mend

import (
	"context"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

// slipOf keeps steps by their own receipts.
func slipOf(t *testing.T, s *State, steps ...Step) *Slip {
	t.Helper()
	slip := NewSlip(s, nil)
	for _, x := range steps {
		tr := try(t, slip.State(), x.Mend, x.Parameters)
		r, err := tr.Prove(context.Background(), nil, x.Accept)
		if err != nil {
			t.Fatal(err)
		}
		if err := slip.Keep(tr, r, x.Why); err != nil {
			t.Fatal(err)
		}
	}
	return slip
}

func sheetOf(t *testing.T, s *Slip) *Sheet {
	t.Helper()
	out, err := s.Sheet(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// The head counts findings that went by their grade and not what is hidden; what is planted
// is named; a step that is off or taken back counts for nothing.
func TestSheetSays(t *testing.T) {
	ctx := context.Background()
	r := sample()
	for _, f := range planted("binding/stray-island", "skeleton/name-clash") {
		r, _ = f.On(r)
	}
	start := ofRig(t, r)
	first, err := start.Examine(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	flaws := func(r *inspect.Result) (n int) {
		for _, f := range r.Findings() {
			if f.Grade == check.Flaw {
				n++
			}
		}
		return n
	}
	before := flaws(first)
	slip := slipOf(t, start, Step{Mend: "clean", Parameters: Values{"strays": true}, Why: "binding/stray-island"})
	s := sheetOf(t, slip)
	now, _ := slip.State().Examine(ctx, nil)
	want := map[int]string{1: "1 flaw ", 2: "2 flaws ", 3: "3 flaws ", 4: "4 flaws ", 5: "5 flaws "}[before-flaws(now)]
	if before-flaws(now) < 1 || !strings.HasPrefix(s.Says, "1 mend kept · "+want) || !strings.HasSuffix(s.Says, " · none planted") {
		t.Errorf("%d flaws before, %d now: %q", before, flaws(now), s.Says)
	}
	if s.Steps[0].Words != "stray patches" || s.Steps[0].Told.Receipt == nil || !slices.Contains(s.Change.Cleared, "binding/stray-island") || s.Bytes != len(slip.State().Bytes) {
		t.Errorf("%+v", s)
	}
	slip = slipOf(t, ofRig(t, sample()), Step{Mend: "scale", Parameters: Values{"factor": 5.0}, Accept: []string{"intake/odd-height"}})
	if s := sheetOf(t, slip); !strings.Contains(s.Says, "1 flaw planted") || !slices.Equal(s.Change.Accepted, []string{"intake/odd-height"}) || spaced(s.Steps[0].Words) != "factor × 5" {
		t.Errorf("%q, %+v, %q", s.Says, s.Change, s.Steps[0].Words)
	}
	if err := slip.Switch(ctx, 0, true); err != nil {
		t.Fatal(err)
	}
	if s := sheetOf(t, slip); s.Says != "No mend kept" || s.Kept != 0 || s.Cursor != 1 || slip.Changed() {
		t.Errorf("switched off: %+v", s)
	}
}

// What a limit moves out of the way of a mend is judged again in every state.
func TestSlipJudge(t *testing.T) {
	ctx := context.Background()
	slip := slipOf(t, ofRig(t, sample()), Step{Mend: "scale", Parameters: Values{"factor": 1.2}}, Step{Mend: "scale", Parameters: Values{"factor": 0.9}})
	plan, _ := slip.Plan().JSON()
	low := check.Overrides{"intake/odd-height": {"highest": 2}}
	if err := slip.Judge(ctx, low); err == nil || !strings.Contains(err.Error(), "step 1") {
		t.Errorf("the first step plants a figure of more than 2 m: %v", err)
	}
	if after, _ := slip.Plan().JSON(); string(after) != string(plan) {
		t.Error("a limit that is refused changed the plan")
	}
	if s := sheetOf(t, slip); s.Kept != 2 || !strings.HasSuffix(s.Says, "none planted") {
		t.Errorf("%+v", s)
	}
	if err := slip.Judge(ctx, check.Overrides{"intake/odd-height": {"highest": 2.5}}); err != nil || slip.Plan().Limits["intake/odd-height"]["highest"] != 2.5 {
		t.Error(err, slip.Plan().Limits)
	}
}

// A step passes only steps that the order of the work lets it pass; one that was kept out
// of order holds no other in its place, and the plan says that its order is free.
func TestSlipOrder(t *testing.T) {
	ctx := context.Background()
	r, _ := lamplighter.Fault{Plant: lamplighter.Shake(1e-4)}.On(sample())
	slip := slipOf(t, ofRig(t, r), Step{Mend: "weld"}, Step{Mend: "scale", Parameters: Values{"factor": 1.1}}, Step{Mend: "scale", Parameters: Values{"factor": 1.05}})
	if slip.Plan().Order != "free" {
		t.Error("weld before scale is not the order of the work")
	}
	for _, row := range []struct {
		i, to int
		want  string
	}{{0, 1, ""}, {1, 0, ""}, {1, 2, ""}, {2, 3, "the last"}, {0, -1, "the first"}, {-1, 0, "no step"}} {
		if why := slip.May(row.i, row.to); (why == "") != (row.want == "") || !strings.Contains(why, row.want) {
			t.Errorf("%d to %d: %q", row.i+1, row.to+1, why)
		}
	}
	if err := slip.Switch(ctx, 1, true); err != nil {
		t.Errorf("out of order, nothing can be switched off: %v", err)
	}
	if err := slip.Switch(ctx, 1, false); err != nil {
		t.Error(err)
	}
	if err := slip.Move(ctx, 0, 2); err != nil {
		t.Fatal(err)
	}
	if slip.Plan().Order != "" || slip.May(2, 1) == "" || slip.May(2, 0) == "" {
		t.Errorf("order %q; weld may go back before scale", slip.Plan().Order)
	}
	slip.Back(ctx)
	if why := slip.May(1, 2); !strings.Contains(why, "put back first") {
		t.Errorf("%q", why)
	}
	if err := slip.Switch(ctx, 2, true); err == nil {
		t.Error("a step that was taken back was switched off")
	}
}

// A step that was taken back stays taken back when one before it is switched off, and is
// proved anew when it is put back.
func TestSlipStaysBack(t *testing.T) {
	ctx := context.Background()
	slip := slipOf(t, ofRig(t, fine()), Step{Mend: "scale", Parameters: Values{"factor": 1.2}}, Step{Mend: "scale", Parameters: Values{"factor": 1.1}})
	slip.Back(ctx)
	if err := slip.Switch(ctx, 0, true); err != nil {
		t.Fatal(err)
	}
	if _, receipts, cursor := slip.Steps(); cursor != 1 || slip.Changed() || len(receipts) != 2 {
		t.Errorf("cursor %d", cursor)
	}
	if more, err := slip.Forward(ctx); !more || err != nil {
		t.Fatal(more, err)
	}
	height := func(s *State) float64 { return examOf(s).WholeHeight() }
	if got, want := height(slip.State()), 1.1*height(slip.start); got < .999*want || got > 1.001*want {
		t.Errorf("%g m, want %g", got, want)
	}
	steps, receipts, _ := slip.Steps()
	if steps[1].Receipt != receipts[1].SHA256() || receipts[1].Bytes.Before != len(slip.start.Bytes) {
		t.Error("the receipt is that of before")
	}
}

// The page is offered the values that --suggest would try, with what they are about.
func TestOffers(t *testing.T) {
	r := sample()
	for _, f := range planted("binding/sum-off", "binding/stray-island") {
		r, _ = f.On(r)
	}
	res, err := ofRig(t, r).Examine(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	offers := Offers(res)
	if len(offers) != len(Table()) {
		t.Fatalf("%d offers", len(offers))
	}
	for _, o := range offers {
		switch {
		case o.ID == "clean" && (len(o.Calls) != 2 || o.Calls[1].Values["strays"] != true || o.Calls[1].Values["whole"] != true):
			t.Errorf("clean: %+v", o.Calls)
		case o.ID == "gear" && (len(o.Calls) != 0 || o.Answers == nil):
			t.Errorf("gear: %+v", o)
		}
	}
}

// spaced has plain spaces for those that hold a number and its unit together.
func spaced(s string) string { return strings.NewReplacer("\u202f", " ", "\u00a0", " ").Replace(s) }

// Values in words: those that are not the usual ones, with their units.
func TestWords(t *testing.T) {
	for _, row := range []struct {
		id   string
		v    Values
		want string
	}{
		{"weld", Values{"distance": 4e-4}, "distance 0.4 mm"},
		{"weld", Values{"copies": true, "unused": true}, "unused vertices"},
		{"weld", Values{"copies": false}, "not copies"},
		{"even", Values{"form": "halve", "move": .02}, "form halve"},
		{"hang", Values{"on": map[string]string{"a": "b"}}, "a → b"},
		{"hang", Values{"on": map[string]string{"a": "b", "c": "d", "e": "f", "g": "h"}}, "a → b, c → d, 2 more"},
		{"rest", Values{"pose": "angle", "angle": 40.0}, "pose angle, below level 40°"},
	} {
		m, err := Named(row.id)
		if err != nil {
			t.Fatal(err)
		}
		if got := spaced(m.Words(row.v)); got != row.want {
			t.Errorf("%s: %q, want %q", row.id, got, row.want)
		}
	}
}

// What a receipt measures by posing is put off until the step is proved, and is there once
// however often that is done, or was broken off.
func TestMeasuredLater(t *testing.T) {
	r := sample()
	for _, f := range planted("binding/stray-island") {
		r, _ = f.On(r)
	}
	x := try(t, ofRig(t, r), "clean", Values{"strays": true})
	if len(x.work.later) == 0 {
		t.Error("the trial has posed the figure already")
	}
	stopped, stop := context.WithCancel(context.Background())
	stop()
	if _, err := x.Prove(stopped, nil, nil); err == nil {
		t.Error("a stopped proof came to its end")
	}
	once, twice := prove(t, x), prove(t, x)
	n := 0
	for _, m := range once.Measures {
		if m.Name == "largest shift when bent" && m.Value > 0 {
			n++
		}
	}
	if n != 1 || once.SHA256() != twice.SHA256() {
		t.Errorf("measured %d times: %+v, then %+v", n, once.Measures, twice.Measures)
	}
}
