package mend

import (
	"context"
	"slices"
	"strings"
	"testing"
)

// A clean figure, also with gear, as an animal, two in a file: nothing is suggested that
// the figure would be changed by.
func TestNothingSuggestedOnTheClean(t *testing.T) {
	made, _, left, err := Suggest(context.Background(), ofRig(t, sample()), nil)
	if err != nil || len(made.Steps) > 0 || len(left) > 0 {
		t.Errorf("%v, %+v, %d tried in vain", err, made.Steps, len(left))
	}
}

// A plan whose outcome is another than expected ends at that step; past it with GoOn; one
// step alone with Only.
func TestPlanExpects(t *testing.T) {
	ctx := context.Background()
	p := Plan{Version: 1, Steps: []Step{
		{Mend: "scale", Parameters: Values{"factor": 2.0}, Expects: &Expects{Cleared: []string{"intake/odd-height"}}},
		{Mend: "scale", Parameters: Values{"factor": 1.5}},
	}}
	if err := p.Check(); err != nil {
		t.Fatal(err)
	}
	s := ofRig(t, sample())
	done, ok, err := p.Run(ctx, s, Options{})
	if err != nil || ok || len(done) != 1 || !strings.Contains(done[0].Odd, "it was to clear intake/odd-height") {
		t.Errorf("%v %v %+v", err, ok, done)
	}
	if done, ok, err = p.Run(ctx, s, Options{GoOn: true}); err != nil || ok || len(done) != 2 {
		t.Errorf("%v %v %d", err, ok, len(done))
	}
	if done, _, err = p.Run(ctx, s, Options{Only: 2}); err != nil || len(done) != 1 || done[0].Step != 1 {
		t.Errorf("%v %+v", err, done)
	}
	if _, _, err = p.Run(ctx, s, Options{Only: 3}); err == nil {
		t.Error("step 3 of 2 was done")
	}
}

// What plants a flaw is not kept, and the figure stays; insisted on it is, and the receipt
// says so.
func TestNotKept(t *testing.T) {
	ctx := context.Background()
	s := ofRig(t, sample())
	p := Plan{Version: 1, Steps: []Step{{Mend: "scale", Parameters: Values{"factor": 100.0}}}}
	if err := p.Check(); err != nil {
		t.Fatal(err)
	}
	done, ok, err := p.Run(ctx, s, Options{})
	if err != nil || ok || done[0].Receipt.Kept || done[0].State != s || !slices.Contains(done[0].Receipt.Planted, "intake/odd-height") {
		t.Fatalf("%v %v %s", err, ok, done[0].Receipt.Sentence())
	}
	p.Steps[0].Accept = []string{"intake/odd-height"}
	done, ok, err = p.Run(ctx, s, Options{})
	if err != nil || !ok || !done[0].Receipt.Kept || !slices.Equal(done[0].Receipt.Accepted, []string{"intake/odd-height"}) {
		t.Errorf("%v %v %s", err, ok, done[0].Receipt.Sentence())
	}
}
