package e2e

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// upload gives files to a file input, as its own dialog does.
func (p *tab) upload(selector string, paths ...string) {
	p.t.Helper()
	p.must(chromedp.Do(p.ctx, chromedp.SetUploadFiles(selector, paths)))
}

// commandText is what the built command line prints.
func commandText(t testing.TB, args ...string) []byte {
	t.Helper()
	out, err := exec.Command(filepath.Join(dist, "rigloupe"), args...).Output()
	if err != nil {
		t.Fatalf("rigloupe %s: %v", strings.Join(args, " "), err)
	}
	return out
}

// TestPlanHandedOver: a plan and a proof sheet that the command line wrote are dropped,
// chosen, and taken on a phone; the page writes the command line's bytes. A plan of another
// file asks; one that stops says where and why; a broken one is told in words.
func TestPlanHandedOver(t *testing.T) {
	dir := t.TempDir()
	figure := toMend(t, dir)
	at := func(name string) string { return filepath.Join(dir, name) }
	plan, out, proof := at("lamp.plan.json"), at("out.glb"), at("lamp-proof.html")
	text := commandText(t, "mend", figure, "--suggest")
	for name, data := range map[string][]byte{plan: text, at("half.json"): text[:len(text)/2], at("notes.json"): []byte(`{"frames": []}`), at("page.html"): []byte("<!doctype html><p>hello")} {
		if err := os.WriteFile(name, data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	runCommand(t, "mend", figure, "--with", plan, "--out", out, "--proof", proof)
	want, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(text, &doc); err != nil {
		t.Fatal(err)
	}
	steps := doc["steps"].([]any)

	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	// Before any figure it is said what is wanted.
	p.drop(plan)
	p.poll("what to do first", `document.getElementById('drop-says').textContent.includes('Open the figure first')`)
	// The figure with its plan, in one drop.
	p.drop(figure, plan)
	p.poll("the figure", doneJS)
	p.kept(len(steps))
	done := eval[string](p, `document.querySelector('#slip .plan-done').textContent`)
	if !strings.Contains(done, "lamp.plan.json") || strings.Count(done, ":") < len(steps) {
		t.Errorf("the steps: %q", done)
	}
	eval[any](p, `document.getElementById('slip').scrollIntoView(); 0`)
	p.shot("71-plan-done")
	p.axe("a plan that was done")
	p.click("#slip-hand")
	p.poll("the sheet", `document.getElementById('hand-over').open`)
	if got := p.handed(); !bytes.Equal(got["lamp-mended.glb"], want) {
		t.Error("the page wrote another file than the command line")
	}
	eval[any](p, `document.getElementById('hand-over').close(); 0`)

	// A proof sheet over a slip that holds steps: it asks, by keyboard alone it is left.
	p.press(`#slip-undo`)
	p.kept(len(steps) - 1)
	p.drop(proof)
	p.poll("the question", `document.getElementById('plan').open`)
	p.shot("72-plan-asks")
	p.axe("the question of a plan")
	if text := eval[string](p, `document.getElementById('plan').textContent`); !strings.Contains(text, "on the slip go") || strings.Contains(text, "another file") {
		t.Errorf("it asks %q", text)
	}
	p.key("\u001b")
	p.poll("left", `!document.getElementById('plan').open`)
	p.kept(len(steps) - 1)
	// By its own button, and done.
	p.upload("#plan-file", proof)
	p.poll("the question", `document.getElementById('plan').open`)
	p.click("#plan-do")
	p.kept(len(steps))

	// Broken ones, in words; the slip stays.
	for name, says := range map[string]string{"half.json": "not whole", "notes.json": "no plan", "page.html": "no sheet"} {
		p.drop(at(name))
		p.poll("why "+name+" is none", `document.getElementById('plan').open`)
		if text := eval[string](p, `document.getElementById('plan-body').textContent`); !strings.Contains(text, name) || !strings.Contains(text, says) {
			t.Errorf("%s: %q", name, text)
		}
		if eval[bool](p, `document.getElementById('plan-do').checkVisibility()`) {
			t.Errorf("%s may be done", name)
		}
		eval[any](p, `document.getElementById('plan').close(''); 0`)
	}
	p.kept(len(steps))

	// A step that does not come out as foreseen ends it; the rest is done when it is asked for.
	first := steps[0].(map[string]any)
	first["expects"] = map[string]any{"cleared": []string{"intake/odd-height"}, "planted": []string{}}
	delete(doc["file"].(map[string]any), "sha256")
	odd, _ := json.Marshal(doc)
	p.must(os.WriteFile(at("odd.plan.json"), odd, 0o644))
	p.drop(at("odd.plan.json"))
	p.poll("the question", `document.getElementById('plan').open`)
	p.click("#plan-do")
	p.poll("where it ends", `document.querySelector('[data-focus="slip-rest"]')`)
	if text := eval[string](p, `document.querySelector('#slip .plan-done').textContent`); !strings.Contains(text, "Not as the plan expects: it was to clear") || !strings.Contains(text, "were not done") {
		t.Errorf("%q", text)
	}
	p.shot("73-plan-ends")
	p.click(`[data-focus="slip-rest"]`)
	p.kept(len(steps))
	p.clean()

	// On a phone, of another file: it says so and asks.
	q := open(t, serve(t, false).URL+"?present=plain", 390, 844)
	q.drop(lamp(t))
	q.poll("the figure", doneJS)
	q.press(`[data-tab="ledger"]`)
	q.poll("the slip", `document.getElementById('slip-plan')?.checkVisibility()`)
	if box := eval[[]float64](q, `(() => { const e = document.getElementById('slip-plan'); e.scrollIntoView(); const r = e.getBoundingClientRect(); return [r.height]; })()`); box[0] < 44 {
		t.Errorf("the button is %v px high", box)
	}
	q.upload("#plan-file", plan)
	q.poll("the question", `document.getElementById('plan').open`)
	if text := eval[string](q, `document.getElementById('plan').textContent`); !strings.Contains(text, "made for another file, lamp.glb") {
		t.Errorf("it asks %q", text)
	}
	q.shot("74-plan-other-file-phone")
	q.axe("the plan of another file, on a phone")
	q.click("#plan-do")
	q.poll("each step done or refused", `document.querySelectorAll('#slip .plan-done li').length > 0 && !document.querySelector('#slip > .now')`)
	eval[any](q, `document.getElementById('slip').scrollIntoView(); 0`)
	q.shot("75-plan-other-file-done")
	q.clean()
}
