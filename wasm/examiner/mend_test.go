package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/proof"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/viewer/plates"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
)

// faulty is the sample with planted faults, as a file; in the short form with fewer vertices.
func faulty(t *testing.T, faults ...string) []byte {
	t.Helper()
	vertices := 3000
	if rounds.Long() {
		vertices = 6000
	}
	f, err := desk.Sample{Vertices: vertices, Faults: faults}.File()
	if err != nil {
		t.Fatal(err)
	}
	return f.Data
}

// mendable is a page with that file open, examined, and begun to be mended.
func mendable(t *testing.T, data []byte) (p *page, sheet func() *mend.Sheet) {
	t.Helper()
	p = newPage()
	file := func() []gltfio.File { return []gltfio.File{{Name: "lamp.glb", Data: bytes.Clone(data)}} }
	p.ask(context.Background(), asked{Kind: "examine"}, file())
	p.ask(context.Background(), asked{Kind: "begin"}, file())
	return p, func() *mend.Sheet {
		t.Helper()
		s := &mend.Sheet{}
		read(t, p, "slip", s)
		return s
	}
}

// read reads the last document, which must be of that kind.
func read(t *testing.T, p *page, kind string, into any) {
	t.Helper()
	if r, is := p.told[len(p.told)-1].(bridge.Refused); is {
		t.Fatalf("refused: %s", r.Text)
	}
	d := last[bridge.Document](t, p)
	if d.Kind != kind {
		t.Fatalf("the last word is %q, want %q", d.Kind, kind)
	}
	if err := json.Unmarshal([]byte(d.JSON), into); err != nil {
		t.Fatal(err)
	}
}

func (p *page) does(t *testing.T, a asked) {
	t.Helper()
	p.told = nil
	p.ask(context.Background(), a, nil)
	if r, is := p.told[len(p.told)-1].(bridge.Refused); is {
		t.Fatalf("%+v: refused: %s", a, r.Text)
	}
}

func (p *page) handed(t *testing.T, what string) []byte {
	t.Helper()
	p.does(t, asked{Kind: "handOver", What: what})
	return p.parcels["handed"]
}

// TestMendTrial: a mend is tried, seen, kept, taken back, put back and handed over, and
// what lies on the desk follows.
func TestMendTrial(t *testing.T) {
	data := faulty(t, "binding/stray-island")
	p, sheet := mendable(t, data)
	if s := sheet(); s.Says != "No mend kept" || len(s.Steps) != 0 || s.Name != "lamp-mended.glb" {
		t.Errorf("%+v", s)
	}
	var offers []mend.Offer
	p.does(t, asked{Kind: "offers"})
	read(t, p, "offers", &offers)
	i := slices.IndexFunc(offers, func(o mend.Offer) bool { return o.ID == "clean" })
	if i < 0 || len(offers[i].Calls) == 0 || offers[i].Calls[0].Values["strays"] != true || !slices.Contains(offers[i].Calls[0].Aims, "binding/stray-island") {
		t.Fatalf("%+v", offers)
	}
	values, _ := json.Marshal(offers[i].Calls[0].Values)

	p.does(t, asked{Kind: "try", Mend: "clean", Values: string(values), Why: "binding/stray-island"})
	if got, want := p.kinds(), "trialRig receipt"; got != want { // its shape is the same: no sketch
		t.Errorf("told %q, want %q", got, want)
	}
	var told mend.Told
	read(t, p, "receipt", &told)
	if !told.Receipt.Kept || !slices.Contains(told.Receipt.Cleared, "binding/stray-island") || len(told.Receipt.Planted) > 0 || len(told.Insist) > 0 {
		t.Errorf("%+v", told.Receipt)
	}
	if rows := told.Rows; rows[0].Name != "moved at rest" || rows[0].Says != "nothing" || !slices.ContainsFunc(rows, func(r mend.Row) bool { return r.Name == "bytes rewritten" && strings.Contains(r.Says, " of ") }) {
		t.Errorf("%+v", rows)
	}
	shown := &rig.Rig{}
	if err := flat.Unpack(p.parcels["trialRig"], shown); err != nil {
		t.Fatal(err)
	}
	before := p.result
	if p.result.Exam.Rig.Meshes[0].Weights == nil || reflect.DeepEqual(shown.Meshes[0].Weights, p.result.Exam.Rig.Meshes[0].Weights) {
		t.Error("the trial has the weights of before, or the open figure has changed")
	}

	p.does(t, asked{Kind: "keep"})
	if got, want := p.kinds(), "mendedPrepared mendedFields mendedRig mended slipSaved slip"; got != want {
		t.Errorf("told %q, want %q", got, want)
	}
	s := sheet()
	if s.Cursor != 1 || s.Kept != 1 || !strings.HasPrefix(s.Says, "1 mend kept · ") || !strings.HasSuffix(s.Says, "cleared · none planted") || s.Steps[0].Why != "binding/stray-island" || !slices.Contains(s.Change.Cleared, "binding/stray-island") {
		t.Errorf("%+v", s)
	}
	if p.result == before || grades(p.result)["binding/stray-island"] != 0 {
		t.Error("the desk is not that of the mended figure")
	}
	figure := bytes.Clone(p.handed(t, "figure"))
	p.ask(context.Background(), asked{Kind: "keep"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "no mend on trial") {
		t.Errorf("%+v", r)
	}

	p.does(t, asked{Kind: "slip", Act: "back"})
	if s := sheet(); s.Cursor != 0 || s.Says != "No mend kept" || len(s.Steps) != 1 || grades(p.result)["binding/stray-island"] == 0 {
		t.Errorf("taken back: %+v", s)
	}
	if !bytes.Equal(p.handed(t, "figure"), data) {
		t.Error("taken back it is not the file that was opened")
	}
	p.does(t, asked{Kind: "slip", Act: "forward"})
	if !bytes.Equal(p.handed(t, "figure"), figure) {
		t.Error("put back it is another file")
	}

	// Opened again, the file gives the ledger that was promised.
	promised := p.ledger(t)
	p.ask(context.Background(), asked{Kind: "examine"}, []gltfio.File{{Name: "lamp.glb", Data: figure}})
	if got := p.ledger(t); got != promised {
		t.Error("the saved file has another ledger")
	}
	if p.mend.slip != nil {
		t.Error("the slip of the file before is still there")
	}
}

func (p *page) ledger(t *testing.T) string {
	t.Helper()
	var b bytes.Buffer
	if err := p.writeJSON(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func grades(r *inspect.Result) map[string]int {
	out := map[string]int{}
	for _, f := range r.Findings() {
		out[f.ID] = max(out[f.ID], int(f.Grade))
	}
	return out
}

// TestMendInsisted: what plants a flaw is not kept, says with what accepted it would be, and
// is kept with that; a refusal comes in its own words.
func TestMendInsisted(t *testing.T) {
	p, sheet := mendable(t, faulty(t))
	values := `{"factor": 5}` // a person nine metres high
	p.does(t, asked{Kind: "try", Mend: "scale", Values: values})
	var told mend.Told
	read(t, p, "receipt", &told)
	if told.Receipt.Kept || !slices.Equal(told.Insist, told.Receipt.Planted) || len(told.Insist) == 0 {
		t.Fatalf("%+v, insist on %v", told.Receipt, told.Insist)
	}
	if got := p.kinds(); got != "trialSketch trialRig trialPrepared receipt" {
		t.Errorf("told %q", got)
	}
	p.ask(context.Background(), asked{Kind: "keep"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "it plants "+told.Insist[0]) {
		t.Errorf("%+v", r)
	}
	p.does(t, asked{Kind: "keep", Accept: told.Insist})
	if s := sheet(); s.Cursor != 1 || !slices.Equal(s.Change.Accepted, told.Insist) || strings.Contains(s.Says, "none planted") {
		t.Errorf("%+v", s)
	}
	p.does(t, asked{Kind: "try", Mend: "names"})
	told = mend.Told{}
	read(t, p, "receipt", &told)
	if told.Receipt.Why != "refused" || len(told.Receipt.Refused) != 1 || len(told.Rows) != 0 || !strings.Contains(told.Sentence, told.Receipt.Refused[0]) {
		t.Errorf("%+v", told)
	}
	for _, row := range []struct {
		a    asked
		says string
	}{
		{asked{Kind: "try", Mend: "magic"}, "no mend"},
		{asked{Kind: "try", Mend: "scale", Values: "{"}, "cannot be read"},
		{asked{Kind: "try", Mend: "scale", Values: `{"factor": -1}`}, "outside"},
		{asked{Kind: "slip", Act: "sideways"}, "want back"},
		{asked{Kind: "slip", Act: "off", Step: 4}, "no step 5"},
		{asked{Kind: "handOver", What: "money"}, "want figure"},
	} {
		p.ask(context.Background(), row.a, nil)
		if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, row.says) {
			t.Errorf("%+v: %q", row.a, r.Text)
		}
	}
}

// TestMendProof: the proof sheet that the page hands over is the one that the terminal
// writes for the plan of the same slip, to the byte, also where states of the slip were let
// go; a step that is switched off is not on it.
func TestMendProof(t *testing.T) {
	rounds.Dear(t)
	data := faulty(t, "binding/stray-island", "skeleton/name-clash")
	p, _ := mendable(t, data)
	p.does(t, asked{Kind: "suggest"})
	sheet := p.handed(t, "proof")
	d, err := paper.Read(sheet)
	if err != nil || !d.Whole || d.Kind != proof.Kind || len(d.Files) != 2 || d.Files[1].Name != "lamp-mended.glb" {
		t.Fatalf("%+v, %v", d, err)
	}
	plan, err := desk.Plan(p.handed(t, "plan"))
	if err != nil || len(plan.Steps) < 2 {
		t.Fatal(plan, err)
	}
	of, err := desk.Files(gltfio.File{Name: "lamp.glb", Data: data}).Original()
	if err != nil {
		t.Fatal(err)
	}
	start, err := mend.Open(of)
	if err != nil {
		t.Fatal(err)
	}
	written := func() []byte {
		done, ok, err := plan.Run(t.Context(), start, mend.Options{})
		if err != nil || !ok {
			t.Fatal(ok, err)
		}
		s, err := desk.Proof(t.Context(), start, plan, done, desk.Mended(start, done, ""), "", plates.New(t.Context()).Pair)
		if err != nil {
			t.Fatal(err)
		}
		return s.Data
	}
	if !bytes.Equal(written(), sheet) {
		t.Error("the terminal writes another sheet")
	}
	p.does(t, asked{Kind: "slip", Act: "off", Step: 0})
	sheet = p.handed(t, "proof")
	plan.Steps[0].Off = true
	if !bytes.Equal(written(), sheet) {
		t.Error("with the first step off the terminal writes another sheet")
	}
	p.does(t, asked{Kind: "handOver", What: "proof", Date: "24 December"})
	if dated := p.parcels["handed"]; !bytes.Contains(dated, []byte("24 December")) || bytes.Contains(sheet, []byte("24 December")) {
		t.Error("a date stands on a sheet where it was not asked for, or not where it was")
	}
}

// TestMendLimits: moved limits judge the slip anew; one with which a kept mend would not be
// is refused, and all stays as it was.
func TestMendLimits(t *testing.T) {
	p, sheet := mendable(t, faulty(t)) // a person 1.75 m high
	p.does(t, asked{Kind: "try", Mend: "scale", Values: `{"factor": 1.2}`})
	p.does(t, asked{Kind: "keep"})
	p.does(t, asked{Kind: "try", Mend: "thin"})
	p.does(t, asked{Kind: "slip", Act: "back"})
	p.does(t, asked{Kind: "slip", Act: "forward"})
	was := p.ledger(t)
	p.does(t, asked{Kind: "judge", Limits: `{"motion/still-chain": {"joints": 99}}`})
	if p.ledger(t) == was {
		t.Error("the limit changes nothing")
	}
	plan := string(p.handed(t, "plan"))
	if !strings.Contains(plan, `"motion/still-chain"`) {
		t.Error("the plan does not know the limit")
	}
	judged := p.ledger(t)
	// Nobody higher than two metres: the kept mend would plant that.
	p.ask(context.Background(), asked{Kind: "judge", Limits: `{"intake/odd-height": {"highest": 2}}`}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "step 1") || !strings.Contains(r.Text, "intake/odd-height") {
		t.Errorf("%+v", r)
	}
	if p.ledger(t) != judged || string(p.handed(t, "plan")) != plan {
		t.Error("the refused limit holds all the same")
	}
	// What was taken back is proved anew when it is put back.
	p.does(t, asked{Kind: "slip", Act: "back"})
	p.does(t, asked{Kind: "judge", Limits: `{"intake/odd-height": {"highest": 2}}`})
	p.ask(context.Background(), asked{Kind: "slip", Act: "forward"}, nil)
	if r := last[bridge.Refused](t, p); !strings.Contains(r.Text, "intake/odd-height") {
		t.Errorf("%+v", r)
	}
	p.does(t, asked{Kind: "judge"})
	p.does(t, asked{Kind: "slip", Act: "forward"})
	if sheet(); p.ledger(t) != was {
		t.Error("back at the limits of before another ledger stands")
	}
}

// TestMendStopped: a stop ends a trial and a suggestion at any time; what was kept before
// stays, and the next ask is answered.
func TestMendStopped(t *testing.T) {
	data := faulty(t, "binding/stray-island", "skeleton/name-clash")
	for after := range 12 {
		if !rounds.Run(after, 6) {
			continue
		}
		p, _ := mendable(t, data)
		ctx, stop := context.WithCancel(context.Background())
		n := 0
		p.breathe = func() {
			if n++; n > 1<<after {
				stop()
			}
		}
		p.told = nil
		p.ask(ctx, asked{Kind: "suggest"}, nil)
		s := &mend.Sheet{}
		read(t, p, "slip", s) // also where it was stopped
		steps := 0
		for _, m := range p.told {
			if d, is := m.(bridge.Document); is && d.Kind == "step" {
				steps++
			}
		}
		if s.Cursor > steps {
			t.Errorf("stopped after %d breaths %d steps are kept of %d told", 1<<after, s.Cursor, steps)
		}
		if p.result != p.mend.slip.State().Result() {
			t.Error("the desk is not that of the slip")
		}
		p.told = nil
		again, end := context.WithCancel(context.Background())
		m := 0
		p.breathe = func() {
			if m++; m > 1<<after {
				end()
			}
		}
		p.ask(again, asked{Kind: "try", Mend: "thin"}, nil)
		if d, is := p.told[len(p.told)-1].(bridge.Done); is != (again.Err() != nil) || is && !d.Stopped {
			t.Errorf("a trial stopped after %d breaths ends with %+v", 1<<after, p.told[len(p.told)-1])
		}
		end()
		stop()
	}
}

// TestMendAsTheTerminal: what the page suggests, plans and hands over are the bytes of the
// command line.
func TestMendAsTheTerminal(t *testing.T) {
	rounds.Dear(t)
	dir := t.TempDir()
	cli := program(t)
	run := func(args ...string) []byte {
		t.Helper()
		c := exec.Command(cli, args...)
		c.Dir = dir
		out, err := c.Output()
		if err != nil && c.ProcessState.ExitCode() != 1 {
			t.Fatalf("%v: %v", args, err)
		}
		return out
	}
	data := faulty(t, "binding/stray-island", "skeleton/fragile-name", "motion/dead-weight", "intake/unapplied-scale")
	if err := os.WriteFile(filepath.Join(dir, "lamp.glb"), data, 0o644); err != nil {
		t.Fatal(err)
	}
	p, sheet := mendable(t, data)
	p.does(t, asked{Kind: "suggest"})
	if sheet().Kept < 3 {
		t.Fatalf("only %d steps are suggested", sheet().Kept)
	}
	same := func(what string, page, terminal []byte) {
		t.Helper()
		if !bytes.Equal(page, terminal) {
			t.Errorf("%s: the page writes %d bytes, the terminal %d: %.600s\n%.600s", what, len(page), len(terminal), page, terminal)
		}
	}
	plan := bytes.Clone(p.handed(t, "plan"))
	same("the suggested plan", plan, run("mend", "lamp.glb", "--suggest"))
	figure := bytes.Clone(p.handed(t, "figure"))
	if err := os.WriteFile(filepath.Join(dir, "plan.json"), plan, 0o644); err != nil {
		t.Fatal(err)
	}
	run("mend", "lamp.glb", "--with", "plan.json", "--out", "out.glb")
	written, err := os.ReadFile(filepath.Join(dir, "out.glb"))
	if err != nil {
		t.Fatal(err)
	}
	same("the figure", figure, written)
	// By hand, in another order of thinking: a step switched off is off in both.
	p.does(t, asked{Kind: "slip", Act: "off", Step: 0})
	if err := os.WriteFile(filepath.Join(dir, "plan.json"), p.handed(t, "plan"), 0o644); err != nil {
		t.Fatal(err)
	}
	figure = bytes.Clone(p.handed(t, "figure"))
	run("mend", "lamp.glb", "--with", "plan.json", "--out", "off.glb")
	if written, err = os.ReadFile(filepath.Join(dir, "off.glb")); err != nil {
		t.Fatal(err)
	}
	same("with a step off", figure, written)
}
