package main

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"
	"testing"

	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/rounds"
	"rigloupe/wasm/bridge"
)

// lastOf answers the text of the last document of a kind that was told.
func (p *page) lastOf(kind string) string {
	text := ""
	for _, m := range p.told {
		if d, is := m.(bridge.Document); is && d.Kind == kind {
			text = d.JSON
		}
	}
	return text
}

// TestReopen: another examiner is handed the same file and the slip that was told last; it
// tells nothing anew but what the slip changed, and answers as the one before.
func TestReopen(t *testing.T) {
	data := faulty(t, "binding/stray-island", "skeleton/fragile-name")
	file := func() []gltfio.File { return []gltfio.File{{Name: "lamp.glb", Data: bytes.Clone(data)}} }
	first, _ := mendable(t, data)
	first.does(t, asked{Kind: "suggest"})
	saved, slip, doc := first.lastOf("slipSaved"), first.lastOf("slip"), first.lastOf("mended")
	if !strings.Contains(saved, `"cursor":`) || strings.Contains(saved, `"cursor":0`) {
		t.Fatalf("nothing is saved: %s", saved)
	}
	next := newPage()
	next.ask(context.Background(), asked{Kind: "reopen", Slip: saved}, file())
	if got, want := next.kinds(), "doing mendedPrepared mendedFields mendedRig mended slipSaved slip"; got != want {
		t.Errorf("told %q, want %q", got, want)
	}
	if next.lastOf("slip") != slip || next.lastOf("slipSaved") != saved || next.lastOf("mended") != doc {
		t.Error("the slip, or what lies on the desk, is another")
	}
	if !bytes.Equal(next.handed(t, "figure"), first.handed(t, "figure")) || !bytes.Equal(next.handed(t, "plan"), first.handed(t, "plan")) {
		t.Error("it hands over other files")
	}
	// Without a slip the file alone is read, and the examiner answers; the page keeps what it shows.
	bare := newPage()
	bare.ask(context.Background(), asked{Kind: "reopen"}, file())
	if got := bare.kinds(); got != "done" {
		t.Errorf("told %q", got)
	}
	bare.does(t, asked{Kind: "joints"})
	// A step that ended the program is off; what is off as a consequence is told.
	s, err := mend.ParseSaved([]byte(saved))
	if err != nil {
		t.Fatal(err)
	}
	s.Plan.Steps[0].Off = true
	text, _ := json.Marshal(s)
	next = newPage()
	next.ask(context.Background(), asked{Kind: "reopen", Slip: string(text)}, file())
	var sheet mend.Sheet
	read(t, next, "slip", &sheet)
	if !sheet.Steps[0].Off || sheet.Kept != len(s.Plan.Steps)-1 {
		t.Errorf("%+v", sheet)
	}
}

// TestPlanOnThePage: a plan, or a proof sheet with one, gives the file that a run of it
// gives; one of another file says so; a broken one is refused in words, and the slip stays.
func TestPlanOnThePage(t *testing.T) {
	rounds.Dear(t)
	data := faulty(t, "binding/stray-island", "skeleton/fragile-name")
	p, _ := mendable(t, data)
	p.does(t, asked{Kind: "suggest"})
	plan, proof, want := string(p.handed(t, "plan")), string(p.handed(t, "proof")), p.handed(t, "figure")

	for _, text := range []string{plan, proof} {
		q, _ := mendable(t, data)
		var told mend.PlanTold
		q.does(t, asked{Kind: "plan", Text: text})
		read(t, q, "plan", &told)
		if !told.Same || told.Name != "lamp.glb" || len(told.Steps) < 2 || !strings.Contains(strings.Join(told.Steps, "; "), "Clean weights") {
			t.Errorf("%+v", told)
		}
		q.does(t, asked{Kind: "doPlan", Text: text})
		if got := strings.Count(q.kinds(), "step"); got < 1 || !strings.HasPrefix(q.kinds(), "doing step slipSaved doing") {
			t.Errorf("told %q", q.kinds())
		}
		if !bytes.Equal(q.handed(t, "figure"), want) {
			t.Error("another file than the plan made before")
		}
	}
	parsed, err := desk.Plan([]byte(plan))
	if err != nil {
		t.Fatal(err)
	}
	other, sheet := mendable(t, faulty(t, "binding/stray-island"))
	if s := sheet(); s.Kept != 0 {
		t.Fatal(s.Says)
	}
	other.does(t, asked{Kind: "plan", Text: plan})
	var told mend.PlanTold
	read(t, other, "plan", &told)
	if told.Same {
		t.Error("it is taken for a plan of this file")
	}
	// An outcome that is not the expected one ends it, and is said; going on does the rest.
	parsed.Steps[0].Expects = &mend.Expects{Planted: []string{}, Cleared: []string{"intake/odd-height"}}
	odd, _ := parsed.JSON()
	for _, goOn := range []bool{false, true} {
		q, _ := mendable(t, data)
		q.does(t, asked{Kind: "doPlan", Text: string(odd), GoOn: goOn})
		steps, words := 0, ""
		for _, m := range q.told {
			if d, is := m.(bridge.Document); is && d.Kind == "step" {
				var told mend.Told
				if err := json.Unmarshal([]byte(d.JSON), &told); err != nil {
					t.Fatal(err)
				}
				steps, words = steps+1, words+told.Odd
			}
		}
		if (steps == 1) == goOn || !strings.Contains(words, "it was to clear intake/odd-height and did not") {
			t.Errorf("going on %v: %d steps, %q", goOn, steps, words)
		}
	}
	q, sheet := mendable(t, data)
	before := sheet()
	for _, row := range []struct{ text, want string }{
		{"", "empty"},
		{"{\"rigloupe_plan\": 1, \"steps\": [", "ends in the middle"},
		{`{"frames": []}`, "no plan"},
		{`[1, 2]`, "no plan"},
		{`{"rigloupe_plan": 2, "steps": []}`, "this program reads 1"},
		{`{"rigloupe_plan": 1, "steps": [{"mend": "sharpen"}]}`, "step 1"},
		{`{"rigloupe_plan": 1, "steps": [{"mend": "scale", "parameters": {"factor": -4}}]}`, "step 1"},
		{`{"rigloupe_plan": 1, "steps": [{"mend": "scale", "parametres": {}}]}`, "parametres"},
		{"<!doctype html><p>a page", "sheet"},
		{strings.Replace(proof, "Proof sheet", "Proof sheets", 1), "changed since it was made"},
		{"glTF\x02\x00\x00\x00", "no plan"},
	} {
		for _, kind := range []string{"plan", "doPlan"} {
			q.told = nil
			q.ask(context.Background(), asked{Kind: kind, Text: row.text}, nil)
			if r, is := q.told[len(q.told)-1].(bridge.Refused); !is || !strings.Contains(r.Text, row.want) {
				t.Errorf("%.40q: %+v, want %q", row.text, q.told[len(q.told)-1], row.want)
			}
		}
		if q.mend.slip.Changed() || before.Kept != 0 {
			t.Error("a broken plan changed the slip")
		}
	}
}
