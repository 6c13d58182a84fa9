package e2e

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// TestFirstPageKeys: on the first page, with the focus nowhere, O opens the picker and ?
// the list of shortcuts; other letters do nothing, and a choice of letters off is kept.
func TestFirstPageKeys(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	eval[any](p, `globalThis.picked = 0; document.getElementById('picker').addEventListener('click', (e) => { picked++; e.preventDefault(); }); HTMLInputElement.prototype.showPicker = function () { picked++; }; 0`)
	if at := eval[string](p, `document.activeElement.tagName`); at != "BODY" {
		t.Fatalf("the page opens with the focus on %s", at)
	}
	p.key("o")
	p.poll("the picker", `picked === 1`)
	p.key("?")
	p.poll("the list", `document.getElementById('help').open`)
	p.shot("first-shortcuts")
	p.key("o") // behind a dialog nothing is opened
	p.key(kb.Escape)
	p.poll("the list gone", `!document.getElementById('help').open`)
	for _, k := range []string{"l", "n", "0", " "} {
		p.key(k)
	}
	eval[any](p, `document.querySelector('#first [data-act="sample"]').focus(); 0`)
	p.key("?")
	p.poll("the list from a button", `document.getElementById('help').open`)
	p.press(`#single-keys`)
	p.key(kb.Escape)
	eval[any](p, `document.activeElement.blur(); 0`)
	p.key("o")
	p.settled()
	if n := eval[int](p, `picked`); n != 1 {
		t.Errorf("the picker was asked for %d times", n)
	}
	p.clean()
}

// TestFocusFrame: the frame of the focus stands round the stage for those who come by
// key, not after a drop, nor after a click.
func TestFocusFrame(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	framed := func() bool {
		t.Helper()
		return eval[bool](p, `(() => { const e = document.getElementById('pad'), s = getComputedStyle(e); return document.activeElement === e && s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) > 0; })()`)
	}
	p.drop(lamp(t))
	p.poll("the figure", doneJS)
	if at := eval[string](p, `document.activeElement.id`); at != "pad" {
		t.Errorf("after a drop the focus is on %q", at)
	}
	if framed() {
		t.Error("after a drop a frame stands round the stage")
	}
	p.shot("focus-after-drop")
	p.key(kb.Tab)
	eval[any](p, `document.getElementById('pad').focus(); 0`)
	if !framed() {
		t.Error("by key there is no frame round the stage")
	}
	p.clean()
}

// TestLensBarIsOneRow: at 1440 the lenses and what the stations show stand in one row,
// and no word of them is cut.
func TestLensBarIsOneRow(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.sample()
	if rows := eval[int](p, `(() => { const all = [...document.querySelectorAll('.lenses > *')].map((e) => e.getBoundingClientRect()); let rows = 1, end = -1e9; for (const r of all) { if (r.left < end) rows++; end = r.left; } return rows; })()`); rows != 1 {
		t.Errorf("the lens bar has %d rows: %s", rows, eval[string](p, `JSON.stringify([...document.querySelectorAll('.lenses, .lenses > *')].map((e) => { const r = e.getBoundingClientRect(); return [Math.round(r.left), Math.round(r.top), Math.round(r.width)]; }))`))
	}
	if wide := eval[string](p, `(() => { const room = document.querySelector('.plate').getBoundingClientRect(); return [...document.querySelectorAll('.lenses label span, .lenses select')].filter((e) => e.scrollWidth > e.clientWidth + 1 && e.tagName !== 'SELECT' || e.getBoundingClientRect().right > room.right + 1).map((e) => e.textContent).join(', '); })()`); wide != "" {
		t.Errorf("cut or outside: %s", wide)
	}
	p.clean()
}

// TestLensGoesWithItsFinding: the lens that was suggested for one finding does not stay on
// for the next that has none; a lens of values taken by hand does.
func TestLensGoesWithItsFinding(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.sample()
	lens := func() string {
		p.still()
		return eval[string](p, `stage.state().lens`)
	}
	shown := func() string {
		return eval[string](p, `document.querySelector('#lens input:checked')?.value ?? document.querySelector('#lens select').value`)
	}
	p.choose("bends/collapse")
	if got := lens(); got != "stretch" {
		t.Fatalf("the lens of a collapse is %q", got)
	}
	p.choose("motion/still-chain")
	if got := lens(); got != "painted" || shown() != got {
		t.Errorf("the next finding is shown with the lens %q, the bar says %q", got, shown())
	}
	p.click(`#lens input[value="plain"] + span`)
	p.choose("bends/collapse")
	p.choose("intake/bounds-off")
	if got := lens(); got != "plain" || shown() != got {
		t.Errorf("plain was taken by hand; after two findings it is %q, the bar says %q", got, shown())
	}
	p.click(`#lens input[value="count"] + span`)
	p.choose("bends/collapse")
	p.choose("motion/still-chain")
	if got := lens(); got != "count" || shown() != got {
		t.Errorf("a lens of values was taken by hand; after two findings it is %q, the bar says %q", got, shown())
	}
	p.clean()
}

// TestMotionFindingsShowTheirMoment: a finding of a clip is shown in its clip, at its
// time, and the page says so; leaving it gives the former pose back.
func TestMotionFindingsShowTheirMoment(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	for _, id := range []string{"motion/jump", "motion/worst-frame", "motion/stretched-bone"} {
		p.give(planted(t, id))
		p.poll("the figure", fmt.Sprintf(`document.querySelector('#file-name')?.textContent.includes(%q) && `, strings.TrimPrefix(id, "motion/"))+doneJS)
		where := eval[[]float64](p, fmt.Sprintf(`import('./js/state/desk.js').then(({ desk }) => { const f = desk.figure.findings.find((f) => f.id === %q); return [f.where.clip, f.where.time]; })`, id))
		p.choose(id)
		if clip, at := eval[float64](p, `stage.state().clip`), eval[float64](p, `stage.state().seconds`); clip != where[0] || math.Abs(at-where[1]) > 1e-6 {
			t.Errorf("%s lies in clip %v at %.3f s; clip %v at %.3f s is shown", id, where[0], where[1], clip, at)
		}
		name := eval[string](p, fmt.Sprintf(`import('./js/state/desk.js').then(({ desk }) => desk.figure.clips.find((c) => c.clip === %v).name)`, where[0]))
		if says := eval[string](p, `document.getElementById('posed').textContent`); !strings.Contains(says, name) || !strings.Contains(says, fmt.Sprintf("%.2f", where[1])) {
			t.Errorf("%s: the plate says %q of clip %s at %.2f s", id, says, name, where[1])
		}
		if got := eval[string](p, `document.querySelector('#time input[name="clip"]:checked')?.value ?? document.querySelector('#time select[data-focus="clip"]').value`); got != fmt.Sprint(where[0]) {
			t.Errorf("%s: the strip shows clip %s", id, got)
		}
		p.shot("moment-" + strings.TrimPrefix(id, "motion/"))
		p.stageKey(kb.Escape)
		p.still()
		if clip := eval[float64](p, `stage.state().clip`); clip != -1 {
			t.Errorf("%s: after Esc clip %v is still shown", id, clip)
		}
	}
	p.clean()
}

// TestTwistBeyondTheRange: a limb is tried by half a turn though it turns by far less. The
// strip goes as far as the finding, and the bob stands where the figure does.
func TestTwistBeyondTheRange(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.give(planted(t, "bends/twist-pinch"))
	p.poll("the figure", `document.querySelector('#file-name')?.textContent.includes('twist-pinch') && `+doneJS)
	p.choose("bends/twist-pinch")
	degrees := eval[float64](p, `stage.state().move.degrees`)
	if degrees != 180 {
		t.Fatalf("the twist is shown at %g°", degrees)
	}
	ends := eval[[]float64](p, `(() => { const i = document.querySelector('#time input[type="range"]'); return [Number(i.min), Number(i.max), Number(i.value)]; })()`)
	if ends[0] > 0 || ends[1] < 180 || ends[2] != 180 {
		t.Errorf("the strip goes from %g° to %g° and stands at %g°", ends[0], ends[1], ends[2])
	}
	// The bob, the mark of the finding and the number above them stand inside, at one place.
	at := eval[[]float64](p, `(() => { const s = document.querySelector('#time .strip svg').getBoundingClientRect(); const x = (e) => { const r = e.getBoundingClientRect(); return r.x + r.width / 2 - s.x; };
		const label = [...document.querySelectorAll('#time .strip text')].find((e) => e.textContent === '180°'); const mark = document.querySelector('#time .strip .sno') ?? document.querySelector('#time .strip .ffl');
		return [s.width, x(document.querySelector('.bob')), label ? x(label) : -1, mark ? x(mark) : -1]; })()`)
	for i, name := range []string{"", "bob", "label", "mark of the finding"} {
		if i > 0 && (at[i] < 0 || at[i] > at[0] || math.Abs(at[i]-at[1]) > 14) {
			t.Errorf("the %s stands at %.0f px of %.0f, the bob at %.0f", name, at[i], at[0], at[1])
		}
	}
	p.shot("twist-strip")
	// Pulled back it turns with the hand, and within the same strip.
	eval[any](p, `{ const i = document.querySelector('#time input[type="range"]'); i.value = '90'; i.dispatchEvent(new Event('input')); }; 0`)
	p.still()
	if got := eval[float64](p, `stage.state().move.degrees`); got != 90 {
		t.Errorf("pulled to 90° it stands at %g°", got)
	}
	p.clean()
}

// TestPlaceKeepsTheLimbInSight: what is shown is never so near that nothing is known
// again: a third of the figure is in the picture with it, and the loupe enlarges it.
func TestPlaceKeepsTheLimbInSight(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	for _, id := range []string{"binding/unbound", "binding/stray-island", "surface/boundary-edges"} {
		name := id[strings.Index(id, "/")+1:]
		p.give(planted(t, id))
		p.poll("the figure", fmt.Sprintf(`document.querySelector('#file-name')?.textContent.includes(%q) && `, name)+doneJS)
		whole := eval[float64](p, `stage.state().camera.scale`)
		before, _ := p.picture()
		p.choose(id)
		p.click(`#card [data-focus="show"]`)
		p.still()
		if near := eval[float64](p, `stage.state().camera.scale`) / whole; near > 2.3 || near < .5 {
			t.Errorf("%s: %.1f times nearer than the whole figure", id, near)
		}
		if after, _ := p.picture(); after == before {
			t.Errorf("%s: showing the place changes nothing", id)
		}
		// The glass: without the loupe the picture is another one.
		with, _ := p.picture()
		p.click(`#view input[name="loupe"] + span`)
		p.still()
		if without, _ := p.picture(); without == with {
			t.Errorf("%s: no loupe over the place", id)
		}
		p.click(`#view input[name="loupe"] + span`)
		p.still()
		p.shot("limb-" + name)
		p.click(`[data-act="paper"]`)
		p.still()
		p.shot("limb-" + name + "-night")
		p.click(`[data-act="paper"]`)
		p.click(`#back button`)
		p.still()
		if got := eval[float64](p, `stage.state().camera.scale`) / whole; math.Abs(got-1) > 1e-6 {
			t.Errorf("%s: back, it is %.3f times as large", id, got)
		}
	}
	p.clean()
}
