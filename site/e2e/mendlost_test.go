package e2e

import (
	"bytes"
	"encoding/binary"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/desk"
)

// Nothing is lost when the worker of the examiner dies while mends are kept.

// endJS ends the worker of the figure on the desk as a browser does, without a word.
const endJS = `timeline.opened().filter((w) => !w.gone && !w.lost).at(-1)`

// lost is the page with a figure to mend and one kept mend, its timeline in place.
func lost(t *testing.T, figure string) *tab {
	t.Helper()
	p := startWith(t, serve(t, false).URL+"?present=plain", 1440, 900, timelineJS)
	p.poll("the page", readyJS+` && document.body.dataset.ready === 'true'`)
	p.drop(figure)
	p.poll("the figure", doneJS)
	p.poll("what can be mended", offersJS)
	p.findingCard("Weight far", "clean")
	p.tried("clean")
	p.click("#trial-keep")
	p.kept(1)
	p.findingCard("Names that", "names")
	p.tried("names")
	p.click("#trial-keep")
	p.kept(2)
	return p
}

// stands waits until another examiner answers with so many kept mends, and answers the slip
// and what the state line says.
func (p *tab) stands(kept int) (slip, says string) {
	p.t.Helper()
	p.kept(kept)
	p.poll("another examiner", `document.getElementById('state').textContent.includes('started anew')`)
	return eval[string](p, slipJS), eval[string](p, saysJS)
}

// saysJS is what the state line says, with plain spaces.
const saysJS = `document.getElementById('state').textContent.replaceAll('\u00a0', ' ')`

const slipJS = `[...document.querySelectorAll('#slip li.kept')].map((e) => e.querySelector('.n').textContent + '|' + e.className + '|' + e.querySelector('.did').textContent + '|' + e.querySelectorAll('.receipt tr').length).join('\n')`

// TestMendsOutliveTheWorker: the worker is ended in the middle of a trial, of Keep, of a
// change of the slip, of Mend all that is sure, of handing over, and while nothing was
// asked. Each time the slip stands as before, one sentence says so, what was on trial can
// be tried again, and the file handed over is the command line's.
func TestMendsOutliveTheWorker(t *testing.T) {
	dir := t.TempDir()
	figure := toMend(t, dir)
	p := lost(t, figure)
	before, ledger := eval[string](p, slipJS), `[...document.querySelectorAll('#ledger .stations .find, #ledger .gone')].map((e) => e.textContent).join('\n')`
	found := eval[string](p, ledger)
	same := func(what, says string, want ...string) {
		t.Helper()
		slip, said := p.stands(2)
		if slip != before {
			t.Errorf("%s: the slip was\n%s\nand is\n%s", what, before, slip)
		}
		if now := eval[string](p, ledger); now != found {
			t.Errorf("%s: the ledger is another:\n%s\n%s", what, found, now)
		}
		for _, w := range append(want, says, "the 2 kept mends stand as before") {
			if !strings.Contains(said, w) {
				t.Errorf("%s: %q does not say %q", what, said, w)
			}
		}
		eval[any](p, `document.getElementById('state').textContent = ''; 0`)
	}

	// Nobody asks anything.
	eval[any](p, endJS+`.lose(); 0`)
	same("idle", "ended without a word")
	p.poll("it answers", `document.querySelector('#slip').hidden === false`)

	// In a trial: it stays, and is tried again.
	p.findingCard("Scale not", "scale")
	eval[any](p, `timeline.on['message trialRig'] = (w) => w.lose(); document.querySelector('#card [data-mend="scale"]').click(); 0`)
	p.poll("the words of the trial", `document.querySelector('#trial-receipt [data-focus="again"]')`)
	if text := eval[string](p, `document.getElementById('trial-receipt').textContent`); !strings.Contains(text, "while a mend was tried") || !strings.Contains(text, "stand as before") {
		t.Errorf("the trial says %q", text)
	}
	if eval[bool](p, `!document.getElementById('trial-keep').disabled`) {
		t.Error("what was not tried to its end can be kept")
	}
	p.shot("68-trial-after-a-death")
	p.axe("a trial whose examiner died")
	p.click(`[data-focus="again"]`)
	p.poll("the receipt", `document.querySelector('#trial-receipt .receipt') && !document.getElementById('trial-keep').disabled`)

	// In Keep: it is not kept, and can be tried again.
	eval[any](p, `timeline.on['message mendedRig'] = (w) => w.lose(); document.getElementById('trial-keep').click(); 0`)
	p.poll("the words of the trial", `document.querySelector('#trial-receipt [data-focus="again"]')`)
	if text := eval[string](p, `document.getElementById('trial-receipt').textContent`); !strings.Contains(text, "while a mend was kept") {
		t.Errorf("the trial says %q", text)
	}
	p.click("#trial-leave")
	p.poll("left", `!document.body.dataset.trial`)
	if got := eval[string](p, slipJS); got != before {
		t.Errorf("after Keep the slip was\n%s\nand is\n%s", before, got)
	}

	// While the slip is changed.
	eval[any](p, `timeline.on['message mendedRig'] = (w) => w.lose(); document.getElementById('slip-undo').click(); 0`)
	same("undo", "while the slip was changed")

	// While files are written.
	p.click("#slip-hand")
	p.poll("the sheet", `document.getElementById('hand-over').open`)
	eval[any](p, `timeline.on['message handed'] = (w) => { timeline.holds = []; w.lose(); }; timeline.holds = ['handed']; document.getElementById('hand-over-save').click(); 0`)
	p.poll("why nothing is written", `/while files were written/.test(document.getElementById('hand-over-says').textContent)`)
	eval[any](p, `document.getElementById('hand-over').close(); 0`)
	same("handing over", "while files were written")

	// In Mend all that is sure: what it kept until then is kept.
	eval[any](p, `timeline.on['message step'] = (w) => { timeline.on['message progress surface'] = () => w.lose(); }; document.querySelector('[data-focus="slip-sure"]').click(); 0`)
	p.poll("another examiner", `document.getElementById('state').textContent.includes('started anew') && !document.querySelector('#slip > .now')`)
	if says := eval[string](p, saysJS); !strings.Contains(says, "while what is sure was mended") || !strings.Contains(says, "3 kept mends stand") {
		t.Errorf("%q", says)
	}
	p.kept(3)
	p.shot("69-slip-after-deaths")

	// A step taken back and one switched off come back as they were.
	p.click("#slip-undo")
	p.kept(2)
	p.pressThe("the button", `[...document.querySelectorAll('#slip li.kept button')].find((b) => b.textContent === 'Switch off')`)
	p.kept(1)
	before = eval[string](p, slipJS)
	eval[any](p, `document.getElementById('state').textContent = ''; `+endJS+`.lose(); 0`)
	slip, says := p.stands(1)
	if slip != before || !strings.Contains(says, "the kept mend stands as before") {
		t.Errorf("the slip was\n%s\nand is\n%s: %q", before, slip, says)
	}

	p.click("#slip-hand")
	p.poll("the sheet", `document.getElementById('hand-over').open`)
	files := p.handed()
	plan, out := filepath.Join(dir, "plan.json"), filepath.Join(dir, "out.glb")
	p.must(os.WriteFile(plan, files["lamp-mended.glb.plan.json"], 0o644))
	runCommand(t, "mend", figure, "--with", plan, "--out", out)
	if want, err := os.ReadFile(out); err != nil || !bytes.Equal(want, files["lamp-mended.glb"]) {
		t.Errorf("the page wrote another file than the command line: %v", err)
	}
	p.clean()
}

// TestMendThatKillsAgain: the same step ends the worker again when it is done again: it is
// switched off and named, what builds on it too, and the rest stands. Where the file itself
// ends it there is no endless loop, and the plan can be saved.
func TestMendThatKillsAgain(t *testing.T) {
	p := lost(t, toMend(t, t.TempDir()))
	eval[any](p, `timeline.on['message doing'] = (w) => { timeline.on['message doing'] = (w) => w.lose(); }; `+endJS+`.lose(); 0`)
	// The first step is done again, the second ends it; the examiner after that does the first alone.
	_, says := p.stands(1)
	if !strings.Contains(says, "Step 2, Name joints, ended it again: it is switched off.") {
		t.Errorf("%q", says)
	}
	if got := eval[string](p, slipJS); !strings.HasPrefix(got, "Clean weights") || !strings.Contains(got, "Name joints") || !strings.Contains(strings.Split(got, "\n")[1], "off") {
		t.Errorf("the slip:\n%s", got)
	}
	workers := eval[int](p, `timeline.opened().length`)

	// Whatever reads the file ends.
	eval[any](p, `timeline.dies = () => { timeline.on['message progress surface'] = (w) => { timeline.dies(); w.lose(); }; }; timeline.dies(); `+endJS+`.lose(); 0`)
	p.poll("that it could not be", `document.querySelector('#slip .ended')`)
	if n := eval[int](p, `timeline.opened().length`) - workers; n > 2 {
		t.Errorf("%d examiners were started", n)
	}
	if text := eval[string](p, `document.querySelector('#slip .ended').textContent`); !strings.Contains(text, "could not be started anew") || !strings.Contains(text, "still here as a plan") {
		t.Errorf("%q", text)
	}
	p.shot("70-no-examiner")
	p.axe("no examiner can be started")
	p.press(`[data-focus="slip-save"]`)
	if got := string(p.file().data); !strings.Contains(got, `"mend": "clean"`) {
		t.Errorf("the saved plan: %s", got)
	}
	eval[any](p, `delete timeline.on['message progress surface']; document.querySelector('[data-focus="slip-start"]').click(); 0`)
	p.kept(1)
	p.clean()
}

// TestMendOutOfMemory: the examiner's memory is so small that a trial does not fit beside
// the figure. The kept mends stand, and the same trial may be tried again without a loop.
func TestMendOutOfMemory(t *testing.T) {
	dir := t.TempDir()
	figure := filepath.Join(dir, "lamp.glb")
	f, err := desk.Sample{Vertices: 40000, Faults: []string{"binding/stray-island"}}.File()
	if err != nil {
		t.Fatal(err)
	}
	write(t, figure, f.Data)
	p := start(t, serveSmall(t, memoryPages)+"?present=plain", 1280, 800)
	p.poll("the page", readyJS)
	p.drop(figure)
	p.poll("the figure", doneJS)
	p.poll("what can be mended", offersJS)
	out := false
	t.Logf("examined in %.0f MB", eval[float64](p, `import('./js/programs/shell.js').then((m) => m.memory().examiner / 1048576)`))
	for i := range 12 {
		p.findingCard("Weight far", "clean")
		p.click(`#card [data-mend="clean"]`)
		p.poll("an answer", `!document.getElementById('trial-keep').disabled || document.querySelector('#trial-receipt [data-focus="again"]')`)
		if out = eval[bool](p, `!!document.querySelector('#trial-receipt [data-focus="again"]')`); out {
			text := eval[string](p, `document.getElementById('trial-receipt').textContent`)
			t.Logf("after %d trials: %s", i, text)
			if !strings.Contains(text, "ran out of memory while") || !strings.Contains(text, "started anew") {
				t.Errorf("the trial says %q", text)
			}
			break
		}
		t.Logf("tried in %.0f MB", eval[float64](p, `import('./js/programs/shell.js').then((m) => m.memory().examiner / 1048576)`))
		p.press(`#trial-leave`)
		p.poll("left", `!document.body.dataset.trial`)
	}
	if !out {
		t.Fatal("this browser had memory enough")
	}
	p.click("#trial-leave")
	p.poll("left", `!document.body.dataset.trial`)
	p.poll("it answers", `document.querySelector('#card [data-mend="clean"]')`)
}

// memoryPages of 64 KiB: the file is examined and its places are drawn in less (with 1,500
// they are not), a trial beside it is not.
const memoryPages = 1950

// serveSmall serves the page with an examiner whose memory may not grow beyond so many
// pages of 64 KiB: its memory section (WebAssembly core specification, 5.5.8) bears a most.
func serveSmall(t *testing.T, pages uint64) string {
	t.Helper()
	program, err := os.ReadFile(filepath.Join(dist, "examiner.wasm"))
	if err != nil {
		t.Fatal(err)
	}
	small := program[:8:8] // magic and version
	for at := 8; at < len(program); {
		id := program[at]
		size, n := binary.Uvarint(program[at+1:])
		body := program[at+1+n : at+1+n+int(size)]
		at += 1 + n + int(size)
		if id == 5 {
			if body[0] != 1 || body[1] != 0 {
				t.Fatalf("the examiner's memory section is % x", body)
			}
			body = binary.AppendUvarint(append([]byte{1, 1}, body[2:]...), pages)
		}
		small = append(binary.AppendUvarint(append(small, id), uint64(len(body))), body...)
	}
	files := http.FileServer(http.Dir(dist))
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, "/examiner.wasm") {
			w.Header().Set("Content-Type", "application/wasm")
			w.Write(small)
			return
		}
		files.ServeHTTP(w, r)
	}))
	t.Cleanup(server.Close)
	return server.URL + "/"
}
