package e2e

import (
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestMotionWord: at every width of the window one button says in words that a second file
// may bring motion: in the strip, or in the head where the strip has no room.
func TestMotionWord(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.drop(lamp(t))
	p.poll("the figure", doneJS)
	for _, w := range []int64{821, 900, 1024, 1100, 1180, 1181, 1280, 1440, 1520, 1700, 2560} {
		p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(w, 900)))
		words := `[...document.querySelectorAll('[data-act="motion"]')].filter((b) => { const r = b.getBoundingClientRect(); return r.width > 0 && r.left >= 0 && r.right <= innerWidth && b.contains(document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2)); }).map((b) => b.textContent)`
		p.poll(fmt.Sprintf("one button with the word at %d px", w), words+`.join() === 'Motion…'`)
	}
	// Also while a move is shown, whose strip has no such button.
	p.pressThe("the button", `[...document.querySelectorAll('.joints button')].find((b) => b.textContent.includes('upperLeg_R'))`)
	p.poll("the moves", `document.querySelector('.moves button')`)
	p.press(`.moves button`)
	p.poll("the move's strip", `document.querySelector('[data-focus="leave"]')`)
	if !eval[bool](p, `document.getElementById('motion-head').offsetParent !== null`) {
		t.Error("while a move is shown nothing asks for motion")
	}
	p.clean()
}

// TestStateLineWhole: a line that is cut can be read whole, and a short one asks for nothing.
func TestStateLineWhole(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 390, 844)
	p.drop(lamp(t))
	p.poll("the figure", doneJS)
	if eval[bool](p, `document.getElementById('state-whole').offsetParent !== null`) {
		t.Errorf("a line that fits is called cut: %s", eval[string](p, `document.getElementById('state').textContent`))
	}
	// A line that was cut and is not any more asks for nothing, either.
	eval[any](p, `import('./js/state/desk.js').then((d) => d.tell('say', 'word '.repeat(60))); 0`)
	p.poll("the button", `document.getElementById('state-whole').offsetParent !== null`)
	eval[any](p, `{ const l = document.getElementById('state'), fits = 'm'.repeat(200); let n = 200; for (l.textContent = fits, document.getElementById('state-whole').hidden = true; l.scrollWidth > l.clientWidth; n--) l.textContent = fits.slice(0, n); document.getElementById('state-whole').hidden = false; globalThis.fits = l.textContent; import('./js/state/desk.js').then((d) => d.tell('say', globalThis.fits)); } 0`)
	p.poll("no button", `document.getElementById('state').textContent === fits && document.getElementById('state-whole').offsetParent === null`)
	wrong := filepath.Join(t.TempDir(), "a walk with a long name.fbx")
	write(t, wrong, []byte("Kaydara"))
	p.picks(wrong)
	p.press(`#file-sheet [data-act="motion"], #time [data-act="motion"]`)
	p.poll("the refusal", `document.getElementById('state').textContent.includes('cannot be read here')`)
	p.click(`#state-whole`)
	if !eval[bool](p, `(() => { const s = document.getElementById('state'), r = s.getBoundingClientRect(); return s.scrollWidth <= s.clientWidth + 1 && s.scrollHeight <= s.clientHeight + 1 && r.right <= innerWidth && r.bottom < innerHeight && s.contains(document.elementFromPoint(r.x + 9, r.bottom - 4)); })()`) {
		t.Error("the line is still cut, or something lies over it")
	}
	p.shot("24-state-whole")
	p.click(`#state-whole`)
	if eval[bool](p, `document.getElementById('state').parentElement.classList.contains('whole')`) {
		t.Error("it stays open")
	}
	p.clean()
}

// TestLensNeverComes: where the examiner is gone a lens of a station is refused in words,
// and the controls name the lens whose colours the figure has.
func TestLensNeverComes(t *testing.T) {
	p := tracked(t)
	p.sample()
	p.poll("the lenses", `document.querySelector('select.more option[value="shells"]:not(:disabled)')`)
	take := func(lens string) {
		eval[any](p, `{ const s = document.querySelector('select.more'); s.value = '`+lens+`'; s.dispatchEvent(new Event('change')); } 0`)
	}
	take("shells")
	p.poll("its colours", `stage.legend().caption.toLowerCase().includes('shell')`)
	eval[any](p, `timeline.opened().findLast((w) => !w.gone).onmessage({data: {kind: 'ended', text: 'it ended with code 2', said: ''}}); 0`)
	take("winding")
	p.poll("the words", `document.querySelector('#state').textContent.includes('cannot be shown')`)
	if got := eval[string](p, `document.querySelector('select.more').value + ' ' + stage.legend().caption`); !strings.HasPrefix(got, "shells ") || !strings.Contains(strings.ToLower(got), "shell") {
		t.Errorf("the chooser and the figure: %s", got)
	}
	p.clean()
}

// TestNotices: the licences of what the page is made with can be read from it, served and
// as one file from disk.
func TestNotices(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1280, 800)
	at := eval[string](p, `document.querySelector('.looks [data-notices]').href`)
	answer, err := http.Get(at)
	p.must(err)
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	p.must(err)
	if answer.StatusCode != 200 || !strings.Contains(string(text), "Apache License") {
		t.Errorf("%s answers %s", at, answer.Status)
	}
	file, err := filepath.Abs(filepath.Join(dist, "rigloupe.html"))
	p.must(err)
	one := open(t, "file://"+file+"?present=plain", 1280, 800)
	one.click(`.looks [data-notices]`)
	one.poll("the notices", `document.getElementById('of-others').open`)
	if got := eval[string](one, `document.getElementById('of-others-text').textContent`); got != string(text) {
		t.Errorf("as one file: %d characters, served %d", len(got), len(text))
	}
	one.clean()
	p.clean()
}

// TestStageAnew: WebAssembly gives no memory back, so after a large figure the stage is
// started anew for a small one, which then stands as it would have stood at first.
func TestStageAnew(t *testing.T) {
	large := filepath.Join(t.TempDir(), "large.glb")
	runCommand(t, "sample", "--vertices", "600000", "--out", large)
	p := open(t, serve(t, false).URL+"?present=plain", 1280, 800)
	p.drop(large)
	p.poll("the large figure", doneJS)
	memory := `import('./js/programs/shell.js').then((m) => m.memory().stage)`
	before := eval[float64](p, memory)
	if before < 256<<20 {
		t.Fatalf("the stage holds %.0f MB: the test's figure is too small", before/(1<<20))
	}
	eval[any](p, `globalThis.first = stage; 0`)
	p.give(lamp(t))
	p.poll("the small figure", doneJS+` && document.querySelector('#file-name').textContent.includes('lamp')`)
	if !eval[bool](p, `stage !== first`) {
		t.Error("the stage goes on with what the large figure took")
	}
	after := eval[float64](p, memory)
	if after > before/2 {
		t.Errorf("%.0f MB before, %.0f MB after", before/(1<<20), after/(1<<20))
	}
	// It answers: the figure, its lenses and its joints.
	p.press(`.joints button`)
	p.poll("the lens of the joint", `stage.state().lens === 'influence' && stage.legend().caption.includes('hips')`)
	if got := eval[int](p, `document.body.querySelectorAll(':scope > canvas:not(#printed)').length`); got != 1 {
		t.Errorf("%d canvases", got)
	}
	p.clean()
}

// TestTabOutOfMemory: a browser that gives WebAssembly no more than 96 MB. The page says
// so, nothing hangs, and the next small figure opens.
func TestTabOutOfMemory(t *testing.T) {
	large := filepath.Join(t.TempDir(), "large.glb")
	runCommand(t, "sample", "--vertices", "300000", "--out", large)
	ctx := browser(t, chromedp.Flag("js-flags", "--wasm-max-mem-pages=1536"))
	p := startIn(t, ctx, serve(t, false).URL+"?present=plain", 1280, 800)
	p.poll("the page", readyJS)
	p.drop(large)
	p.poll("the notice", `!document.querySelector('#notice').hidden && document.querySelector('#notice').classList.contains('err')`)
	text := eval[string](p, `document.querySelector('#notice').textContent`)
	if !strings.Contains(text, "ran out of memory") || !strings.Contains(text, "command line") {
		t.Errorf("the notice says %s", text)
	}
	p.shot("25-out-of-memory")
	p.give(real(t))
	p.poll("the next figure", doneJS+` && document.querySelector('#file-name').textContent.includes('hand_left')`)
	for _, f := range eval[[]string](p, faultsJS) {
		t.Errorf("fault: %s", f)
	}
}
