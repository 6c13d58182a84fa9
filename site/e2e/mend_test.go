package e2e

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"rigloupe/inspect/desk"
	"rigloupe/inspect/gltfio"
)

// toMend is the sample with planted faults that mends answer, as a file.
func toMend(t testing.TB, dir string) string {
	t.Helper()
	f, err := desk.Sample{Faults: []string{"binding/stray-island", "skeleton/fragile-name", "motion/dead-weight", "intake/unapplied-scale"}}.File()
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "lamp.glb")
	if err := os.WriteFile(name, f.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// offersJS: the mends of what lies on the desk are known.
const offersJS = `document.getElementById('slip') && !document.getElementById('slip').hidden`

// findingCard chooses the finding of a check and waits for its mend.
func (p *tab) findingCard(title, mend string) {
	p.t.Helper()
	p.pressThe(title, fmt.Sprintf(`[...document.querySelectorAll('#ledger .find[data-number]')].find((b) => b.querySelector('.t').textContent.includes(%q))`, title))
	p.poll("the mend of "+title, fmt.Sprintf(`document.querySelector('#card [data-mend=%q]')`, mend))
}

// tried presses Try the mend and waits for the receipt.
func (p *tab) tried(mend string) {
	p.t.Helper()
	p.click(fmt.Sprintf(`#card [data-mend=%q]`, mend))
	p.poll("the receipt of "+mend, `document.querySelector('#trial-receipt .receipt') && !document.getElementById('trial-keep').disabled`)
}

// kept waits until the slip holds so many kept mends.
func (p *tab) kept(n int) {
	p.t.Helper()
	p.poll(fmt.Sprintf("%d kept mends", n), fmt.Sprintf(`document.querySelectorAll('#slip li.kept:not(.off)').length === %d && !document.body.dataset.trial && !document.querySelector('#slip > .now')`, n))
}

// handed saves what the sheet ticks and answers the files by their names.
func (p *tab) handed() map[string][]byte {
	p.t.Helper()
	eval[any](p, `savedFiles.length = 0; 0`)
	p.press("#hand-over-save")
	p.poll("what is saved", `/^(Saved|Nothing)/.test(document.getElementById('hand-over-says').textContent)`)
	out := map[string][]byte{}
	for _, f := range p.files(1) {
		out[f.name] = f.data
	}
	return out
}

// TestMends: a figure is dropped, three mends are tried and kept, one is taken back, the
// rest handed over; the saved file, dropped again, has the ledger that was promised, and
// its bytes are those of the command line.
func TestMends(t *testing.T) {
	dir := t.TempDir()
	figure := toMend(t, dir)
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.drop(figure)
	p.poll("the figure", doneJS)
	p.poll("what can be mended", offersJS)
	ledger := `[...document.querySelectorAll('#ledger .stations .find[data-number]')].map((b) => [...b.querySelectorAll('.mark, .t, .p')].map((e) => e.className.baseVal ?? e.textContent).join('|')).join('\n')`
	p.poll("the ledger is drawn", `document.querySelectorAll('#ledger .find[data-number]').length > 3`)
	first := eval[string](p, ledger)
	whole := eval[float64](p, `stage.state().camera.scale`)

	// The trial: two halves by one camera, dials, the receipt. Leaving it changes nothing.
	p.findingCard("Weight far", "clean")
	p.shot("60-mend-offered")
	p.tried("clean")
	p.poll("the figure as it would be", `stage.state().beside && stage.state().fine`)
	p.shot("61-trial-day")
	p.axe("a mend on trial")
	if row := eval[string](p, `document.querySelector('#trial [data-row="planted"] td').textContent`); row != "none" {
		t.Errorf("planted: %q", row)
	}
	if row := eval[string](p, `document.querySelector('#trial [data-row="cleared"] td').textContent`); !strings.Contains(row, "Weight far") {
		t.Errorf("cleared: %q", row)
	}
	p.key("\u001b")
	p.poll("left", `!document.body.dataset.trial && !stage.state().beside`)
	if eval[int](p, `document.querySelectorAll('#slip li.kept').length`) != 0 || eval[string](p, ledger) != first {
		t.Error("a trial that was left changed something")
	}

	// Enter keeps.
	p.findingCard("Weight far", "clean")
	p.tried("clean")
	p.key("\r")
	p.kept(1)
	p.still() // the place of a finding that is gone is no place to look at
	if got := eval[float64](p, `stage.state().camera.scale`); math.Abs(got/whole-1) > 1e-6 {
		t.Errorf("after the kept mend the figure is %.3f times as large as before, with no way back", got/whole)
	}
	p.poll("the ledger of the mended figure", `[...document.querySelectorAll('#ledger .gone .t')].some((e) => e.textContent.includes("Weight far"))`)
	p.poll("the head", `document.getElementById('state').textContent.startsWith('1 mend kept · ')`)
	p.findingCard("Names that", "names")
	p.tried("names")
	p.click("#trial-keep")
	p.kept(2)
	p.findingCard("Scale not", "scale")
	p.tried("scale")
	p.click("#trial-keep")
	p.kept(3)
	p.poll("the head", `/^3 mends kept · .* cleared · none planted · 1 flaw came to light$/.test(document.getElementById('state').textContent)`)
	p.poll("the picture", `stage.state().fine`)
	p.shot("62-slip-day")
	p.axe("the mending slip")

	// Moved by Alt and arrow keys, and by dragging; where the order forbids it, it is said.
	order := `[...document.querySelectorAll('#slip li.kept .n')].map((e) => e.textContent.split(',')[0]).join(' ')`
	eval[any](p, `document.querySelector('[data-focus="slip-2"]').dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowUp', altKey: true, bubbles: true, cancelable: true})); 0`)
	p.poll("scale before names", order+` === 'Clean weights Bring to scale Name joints' && !document.querySelector('#slip > .now')`)
	eval[any](p, `(() => { const rows = document.querySelectorAll('#slip li.kept'), dataTransfer = new DataTransfer();
		const send = (kind, e) => e.dispatchEvent(new DragEvent(kind, {dataTransfer, bubbles: true, cancelable: true}));
		send('dragstart', rows[1]); send('dragenter', rows[0]); send('dragover', rows[0]);
		if (document.body.classList.contains('dragging')) throw new Error('the page offers to open a row of its own');
		send('drop', rows[0]); })(); 0`)
	p.poll("scale first", order+` === 'Bring to scale Clean weights Name joints' && !document.querySelector('#slip > .now')`)
	eval[any](p, `document.querySelector('[data-focus="slip-0"]').dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowDown', altKey: true, bubbles: true, cancelable: true})); 0`)
	p.poll("why it stays", `document.getElementById('state').textContent.includes('stays where it is: scale comes before clean')`)
	p.kept(3)

	// Ctrl Z takes the last back; it stays in the list.
	p.must(chromedp.Do(p.ctx, chromedp.KeyEvent("z", chromedp.KeyModifiers(2))))
	p.kept(2)
	if n := eval[int](p, `document.querySelectorAll('#slip li.kept').length`); n != 3 {
		t.Errorf("%d steps stand on the slip, want 3", n)
	}
	// A step that is switched off and on again, by hand.
	p.pressThe("the button", `[...document.querySelectorAll('#slip li.kept button')].find((b) => b.textContent === 'Switch off')`)
	p.kept(1)
	p.pressThe("the button", `[...document.querySelectorAll('#slip li.kept button')].find((b) => b.textContent === 'Switch on')`)
	p.kept(2)
	promised := eval[string](p, ledger)

	// Leaving asks once; here the person stays.
	if !eval[bool](p, `(() => { const e = new Event('beforeunload', {cancelable: true}); dispatchEvent(e); return e.defaultPrevented; })()`) {
		t.Error("the page may be left with mends that are not handed over")
	}
	p.press(`.acts [data-act="sample"]`)
	p.poll("the question", `document.getElementById('mends-lost').open`)
	p.shot("63-mends-lost")
	p.press(`#mends-lost [value="stay"]`)

	p.click("#slip-hand")
	p.poll("the sheet", `document.getElementById('hand-over').open`)
	p.shot("64-hand-over")
	p.axe("hand over")
	files := p.handed()
	glb, plan := files["lamp-mended.glb"], files["lamp-mended.glb.plan.json"]
	var sheet []byte
	for name, data := range files {
		if strings.HasSuffix(name, ".html") {
			sheet = data
		}
	}
	if len(glb) == 0 || len(plan) == 0 || len(sheet) == 0 || len(files) != 3 {
		t.Fatalf("%d files were saved", len(files))
	}
	eval[any](p, `document.getElementById('hand-over').close(); 0`)
	if eval[bool](p, `(() => { const e = new Event('beforeunload', {cancelable: true}); dispatchEvent(e); return e.defaultPrevented; })()`) {
		t.Error("leaving asks although all is handed over")
	}

	// The command line makes the same file of the plan.
	planFile, out, proof := filepath.Join(dir, "plan.json"), filepath.Join(dir, "lamp-mended.glb"), filepath.Join(dir, "proof.html")
	p.must(os.WriteFile(planFile, plan, 0o644))
	if said, err := exec.Command(filepath.Join(dist, "rigloupe"), "mend", figure, "--with", planFile, "--out", out, "--proof", proof, "--date", time.Now().Format("2 January 2006")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	if want, err := os.ReadFile(out); err != nil || !bytes.Equal(want, glb) {
		t.Errorf("the page wrote %d bytes, the command line %d others: %v", len(glb), len(want), err)
	}
	if want, err := os.ReadFile(proof); err != nil || !bytes.Equal(want, sheet) {
		t.Errorf("the page wrote a proof sheet of %d bytes, the command line another of %d: %v", len(sheet), len(want), err)
	}
	if said, err := exec.Command(filepath.Join(dist, "rigloupe"), "verify", proof, out).CombinedOutput(); err != nil {
		t.Errorf("the sheet is not of the file: %s", said)
	}
	p.give(out)
	p.poll("the saved file", `document.getElementById('file-name').textContent === 'lamp-mended.glb' && `+doneJS)
	p.poll("its ledger", fmt.Sprintf(`document.querySelectorAll('#ledger .find[data-number]').length === %d && document.querySelectorAll('#ledger .gone').length === 0`, strings.Count(promised, "\n")+1))
	if got := eval[string](p, ledger); got != promised {
		t.Errorf("promised:\n%s\nthe saved file has:\n%s", promised, got)
	}
	if own, err := os.ReadFile(figure); err != nil {
		t.Fatal(err)
	} else if _, err := gltfio.Read([]gltfio.File{{Name: "lamp.glb", Data: own}}, gltfio.Options{}); err != nil {
		t.Error("the file that was opened has changed", err)
	}
	p.clean()
}

// TestMendSure: all that is sure is mended in one go, each step shown; by night, and on a
// phone with Keep and Leave in reach.
func TestMendSure(t *testing.T) {
	figure := toMend(t, t.TempDir())
	p := open(t, serve(t, false).URL+"?present=plain", 390, 844)
	p.drop(figure)
	p.poll("the figure", doneJS)
	p.press(`[data-act="paper"]`)
	p.poll("what can be mended", `document.getElementById('slip')`)
	p.poll("the ledger is drawn", `document.querySelectorAll('#ledger .find[data-number]').length > 3`)
	p.findingCard("Weight far", "clean")
	p.tried("clean")
	p.poll("the picture", `stage.state().beside && stage.state().fine`)
	p.shot("65-trial-phone-night")
	p.axe("a trial on a phone, night")
	for _, id := range []string{"trial-keep", "trial-leave"} {
		if box := eval[[]float64](p, `(() => { const r = document.getElementById('`+id+`').getBoundingClientRect(); return [r.top, r.bottom, r.height, innerHeight]; })()`); box[0] < 0 || box[1] > box[3]-40 || box[2] < 44 {
			t.Errorf("%s stands at %v: out of reach", id, box)
		}
	}
	p.click("#trial-leave")
	p.poll("left", `!document.body.dataset.trial`)
	p.press(`[data-tab="ledger"]`)
	p.poll("the slip", `document.querySelector('[data-focus="slip-sure"]')`)
	p.press(`[data-focus="slip-sure"]`)
	p.poll("a step is shown", `document.querySelectorAll('#slip .steps li').length > 0 || document.querySelectorAll('#slip li.kept').length > 0`)
	p.poll("all that is sure", `document.querySelectorAll('#slip li.kept').length >= 3 && !document.querySelector('#slip > .now')`)
	eval[any](p, `document.getElementById('slip').scrollIntoView(); 0`)
	p.poll("the picture", `stage.state().fine`)
	p.shot("66-slip-phone-night")
	p.axe("the slip on a phone, night")
	// One of them made it a hundred times as large, and it is in the picture all the same.
	if n := eval[int](p, `(() => { const { rgba } = stage.pixels(); return new Set(new Uint32Array(rgba.buffer, rgba.byteOffset, rgba.length / 4)).size; })()`); n < 50 {
		t.Errorf("the picture holds %d colours", n)
	}
	p.clean()
}

// TestMendUnbound: of a figure that nothing binds the card offers what it lacks, though no
// check is put right by it: bound from its surface, on trial and kept.
func TestMendUnbound(t *testing.T) {
	f, err := desk.Sample{Faults: []string{"intake/nothing-bound"}}.File()
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "sculpt.glb")
	if err := os.WriteFile(name, f.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.drop(name)
	p.poll("the figure", doneJS)
	p.poll("what can be mended", offersJS)
	if says := eval[string](p, `document.querySelector('.verdict .says').textContent`); !strings.Contains(says, "not bound to joints. Ready to be bound.") {
		t.Errorf("the verdict: %q", says)
	}
	p.findingCard("Nothing is bound", "bind")
	if got := eval[string](p, `[...document.querySelectorAll('#card [data-mend]')].map((b) => b.dataset.mend).join()`); got != "fit,bind,part" {
		t.Errorf("the card offers %q", got)
	}
	p.tried("bind")
	p.poll("the figure as it would be", `stage.state().beside && stage.state().fine`)
	p.shot("67-bind-on-trial")
	if row := eval[string](p, `document.querySelector('#trial [data-row="cleared"] td').textContent`); !strings.Contains(row, "Nothing is bound") {
		t.Errorf("cleared: %q", row)
	}
	p.click("#trial-keep")
	p.kept(1)
	p.poll("its verdict", `document.querySelector('.verdict .says').textContent.includes('Bound, and moved by')`)
	p.clean()
}
