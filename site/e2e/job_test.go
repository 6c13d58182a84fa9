package e2e

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/space"
)

// drag takes what a selector names and lets it go so many pixels away, as a hand does.
func (p *tab) drag(selector string, dx, dy float64) {
	p.t.Helper()
	p.poll(selector+" to drag", fmt.Sprintf(`document.querySelector(%q)?.getBoundingClientRect().width > 0`, selector))
	at := eval[[]float64](p, fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`, selector))
	for _, e := range []input.DispatchMouseEventParams{
		{Type: "mouseMoved", X: at[0], Y: at[1]},
		{Type: "mousePressed", X: at[0], Y: at[1], Button: "left", ClickCount: 1},
		{Type: "mouseMoved", X: at[0] + dx/2, Y: at[1] + dy/2, Button: "left", Buttons: 1},
		{Type: "mouseMoved", X: at[0] + dx, Y: at[1] + dy, Button: "left", Buttons: 1},
		{Type: "mouseReleased", X: at[0] + dx, Y: at[1] + dy, Button: "left", ClickCount: 1},
	} {
		_, err := chromedp.Call(p.ctx, input.DispatchMouseEvent, e)
		p.must(err)
	}
}

// spotJS answers where a point of the fit is, as its value; "" while it is not set.
const spotJS = `import('./js/state/rooms.js').then(({ rooms }) => rooms.mending.board?.doc?.spots.find((s) => s.name === %q)?.%s ?? '')`

// receiptJS: the mend on trial has its receipt, and can be kept.
const receiptJS = `document.body.dataset.trial && document.querySelector('#trial-receipt .receipt') && !document.getElementById('trial-keep').disabled`

// TestJob: from three sculpts to a figure that walks in a coat with a swinging lantern, in one
// tab: every press of a person is counted. What is handed over has no stop and no flaw, and
// the command line makes the same bytes of the plan.
func TestJob(t *testing.T) {
	dir := t.TempDir()
	stroll, err := bvh.Write(menagerie.Capture(), 0)
	if err != nil {
		t.Fatal(err)
	}
	file := map[string]string{}
	for name, data := range map[string][]byte{
		"large.glb": menagerie.GLB(menagerie.Large()), "lopsided.glb": menagerie.GLB(menagerie.Lopsided()), "shaken.glb": menagerie.GLB(menagerie.Shaken()),
		"visitor.glb": menagerie.GLB(menagerie.Visitor()), "lantern.glb": menagerie.GLB(menagerie.Lantern(space.Vec{.8, 1.37, 0})), "stroll.bvh": stroll,
	} {
		file[name] = filepath.Join(dir, name)
		write(t, file[name], data)
	}
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	presses, kept, began := 0, 0, time.Now()
	press := func(selector string) {
		t.Helper()
		presses++
		p.click(selector)
	}
	drop := func(names ...string) {
		t.Helper()
		presses++
		for i := range names {
			names[i] = file[names[i]]
		}
		p.drop(names...)
	}
	keep := func(what string) {
		t.Helper()
		p.poll("the receipt of "+what, receiptJS)
		if says := eval[string](p, `document.querySelector('#trial-receipt .no')?.textContent ?? ''`); says != "" {
			t.Fatalf("%s: %s", what, says)
		}
		kept++
		press("#trial-keep")
		p.kept(kept)
		p.poll("rest after "+what, `document.body.dataset.phase === 'done' && stage.state().shown && asksOpen.size === 0`) // a clip may play
	}
	any := func(mend string) {
		t.Helper()
		press("#slip-all")
		press(`[data-any="` + mend + `"]`)
	}

	drop("large.glb", "lopsided.glb", "shaken.glb")
	p.linedUp(3)
	press(`.lined button[data-tip="Open large.glb"]`)
	p.poll("the sculpt", doneJS)
	p.poll("what can be mended", offersJS)
	press(`#slip [data-focus="slip-sure"]`)
	p.poll("what is sure", `!document.querySelector('#slip > .now') && document.querySelectorAll('#slip li.kept').length > 0 && `+doneJS)
	kept = eval[int](p, `document.querySelectorAll('#slip li.kept').length`)

	press(`#road [data-step="fit"]`)
	p.poll("the board", `document.querySelectorAll('.board .point').length === 16`)
	p.poll("the receipt", receiptJS)
	p.shot("80-fit")
	p.axe("the board of a fit")
	was := eval[string](p, fmt.Sprintf(spotJS, "knee", "text"))
	presses++
	p.drag(`.board figure:first-child [data-point="knee"] .stud`, 0, 6)
	p.poll("the knee where it was put", fmt.Sprintf(`(`+spotJS+`).then((set) => set === true)`, "knee", "set"))
	p.poll("the receipt again", receiptJS)
	if is := eval[string](p, fmt.Sprintf(spotJS, "knee", "text")); is == was {
		t.Errorf("the knee stays at %s", is)
	}
	keep("fit")
	press(`#road [data-step="bind"]`)
	p.poll("the mend, or the finding", `document.body.dataset.trial || document.querySelector('#card [data-mend="bind"]')`)
	if !eval[bool](p, `Boolean(document.body.dataset.trial)`) {
		press(`#card [data-mend="bind"]`)
	}
	p.poll("the pieces", `document.querySelectorAll('#trial-pieces details').length > 0`)
	p.shot("81-bind")
	keep("bind")
	any("rebind")
	keep("new rest")
	for _, part := range []string{"visitor.glb", "lantern.glb"} {
		drop(part)
		p.poll("what it is for", `document.getElementById('offer').open`)
		press(`[data-offer="part"]`)
		if part == "lantern.glb" {
			p.poll("the dials", `document.querySelector('#trial input[value="as it stands"]')`)
			press(`#trial label:has(input[value="as it stands"])`)
		}
		keep(part)
	}
	drop("stroll.bvh")
	p.poll("what it is for", `document.getElementById('offer').open`)
	press(`[data-offer="motion"]`)
	p.poll("the pairs", `document.querySelectorAll('#match-rows tr').length > 10`)
	press("#carry-over")
	p.poll("the clip", `document.getElementById('carry-keep')`)
	press("#carry-keep")
	keep("the clip")
	any("follow")
	keep("follow")
	p.shot("82-job-done")
	press(`#slip-hand`)
	p.poll("the sheet", `document.getElementById('hand-over').open`)
	presses++
	files := p.handed()
	took := time.Since(began)
	t.Logf("%d presses, %.0f s", presses, took.Seconds())
	if presses > 40 {
		t.Errorf("%d presses, want 40 at most", presses)
	}
	var glb, plan []byte
	for _, data := range files {
		switch {
		case bytes.HasPrefix(data, []byte("glTF")):
			glb = data
		case bytes.HasPrefix(data, []byte("{")):
			plan = data
		}
	}
	planFile, out := filepath.Join(dir, "plan.json"), filepath.Join(dir, "figure.glb")
	write(t, planFile, plan)
	run := func(args ...string) []byte {
		t.Helper()
		said, err := exec.Command(filepath.Join(dist, "rigloupe"), args...).Output()
		if e, is := err.(*exec.ExitError); is && e.ExitCode() > 1 {
			t.Fatalf("%v: %v %s", args, err, e.Stderr)
		}
		return said
	}
	run("mend", file["large.glb"], "--with", planFile, "--part", file["visitor.glb"], "--part", file["lantern.glb"], "--part", file["stroll.bvh"], "--out", out)
	if again, err := os.ReadFile(out); err != nil || !bytes.Equal(again, glb) {
		t.Errorf("the page wrote %d bytes, the command line %d others: %v", len(glb), len(again), err)
	}
	var doc struct {
		Summary  struct{ Stop, Flaw int }
		Findings []struct{ Grade, Title string }
		Facts    struct {
			Intake struct {
				BodyHeight float64 `json:"body_height"`
			}
			Motion struct {
				Clips []struct{ Name string }
			}
		} `json:"facts_of"`
	}
	if err := json.Unmarshal(run("examine", out, "--json", "--fail-on", "never"), &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Summary.Stop+doc.Summary.Flaw > 0 || len(doc.Facts.Motion.Clips) != 1 {
		t.Errorf("%+v", doc)
	}
	if h := doc.Facts.Intake.BodyHeight; h < 1.70 || h > 1.80 {
		t.Errorf("%g m high", h)
	}
	if name := doc.Facts.Motion.Clips[0].Name; !strings.Contains(name, "stroll") && name == "" {
		t.Errorf("the clip is called %q", name)
	}
	p.clean()
}
