package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"

	"rigloupe/inspect/lamplighter"
)

// choose takes the first finding of a check from the ledger.
func (p *tab) choose(id string) {
	p.t.Helper()
	n := eval[int](p, fmt.Sprintf(`(async () => { const { desk } = await import('./js/state/desk.js'); return desk.figure.findings.find((f) => f.id === %q)?.number ?? 0; })()`, id))
	if n == 0 {
		p.t.Fatalf("no finding %s", id)
	}
	p.unfold(n)
	p.click(fmt.Sprintf(`#ledger .find[data-number="%d"]`, n))
	p.still()
}

// unfold opens the row of notes that a finding lies in.
func (p *tab) unfold(number int) {
	p.t.Helper()
	eval[any](p, fmt.Sprintf(`document.querySelector('#ledger .find[data-number="%d"]')?.closest('details.kind')?.setAttribute('open', '')`, number))
}

// TestSectionOnTheFigure: a joint beside the middle of its limb shows as the section
// with middle and joint, and "next place" goes on to the other one; the section of any
// chosen joint can be inked, and taken away.
func TestSectionOnTheFigure(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.give(planted(t, "skeleton/off-centre"))
	p.poll("the figure", `document.querySelector('#file-name')?.textContent.includes('broken') && `+doneJS)
	p.choose("skeleton/off-centre")
	p.poll("the lens", `stage.state().lens === 'section-depth'`)
	if words := eval[string](p, `document.querySelector('#lens .scale').textContent`); !strings.Contains(words, "Section depth") || !strings.Contains(words, "1.5 ×") {
		t.Errorf("the scale says %q", words)
	}
	first, _ := p.picture()
	p.shot("16-section-day")
	if words := eval[string](p, `document.querySelector('.places .at')?.textContent ?? ''`); !strings.Contains(words, "place 1 of 2") {
		t.Errorf("places: %q", words)
	}
	p.click(`[data-focus="place-on"]`)
	p.still()
	if second, _ := p.picture(); second == first {
		t.Error("the next place looks like the first")
	}
	p.shot("16-section-next")
	p.click(`[data-act="paper"]`)
	p.still()
	p.shot("16-section-night")
	p.click(`[data-act="paper"]`)

	p.chooseJoint("lowerLeg_L")
	eval[any](p, `(async () => { const { desk } = await import('./js/state/desk.js'); return stage.frame({node: desk.chosen.node, extent: 0.3}); })()`)
	p.still()
	before, _ := p.picture()
	p.click(`[data-focus="cut"]`)
	p.still()
	with, _ := p.picture()
	if with == before {
		t.Error("the section of the knee is not inked")
	}
	if words := eval[string](p, `document.querySelector('.cut')?.textContent ?? ''`); !strings.Contains(words, "of the radius, from the middle") {
		t.Errorf("the card says %q of the section", words)
	}
	p.shot("17-joint-section")
	p.axe("section of a joint")
	if on := eval[string](p, `document.querySelector('[data-focus="cut"]').getAttribute('aria-pressed')`); on != "true" {
		t.Errorf("aria-pressed is %q", on)
	}
	p.clean()
}

// TestWeldSlider: the weld distance is pulled along its curve by key; the figure
// follows, what it costs is said, and the suggested distance is where it starts.
func TestWeldSlider(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.give(planted(t, "surface/near-coincident"))
	p.poll("the figure", `document.querySelector('#file-name')?.textContent.includes('broken') && `+doneJS)
	p.choose("surface/near-coincident")
	p.poll("the lens", `stage.state().lens === 'detail-at-risk'`)
	says := func() string {
		return eval[string](p, `document.querySelector('.weld input').getAttribute('aria-valuetext')`)
	}
	if n := eval[int](p, `document.querySelectorAll('.weld').length`); n != 1 {
		t.Errorf("%d weld curves, want the card's alone", n)
	}
	if s := says(); !strings.HasPrefix(s, "Suggested, ") {
		t.Errorf("starts at %q", s)
	}
	p.shot("18-weld-suggested")
	at := eval[int](p, `Number(document.querySelector('.weld input').value)`)
	eval[any](p, `document.querySelector('.weld input').focus()`)
	seen, pictures := map[string]bool{}, map[string]bool{}
	last := eval[int](p, `Number(document.querySelector('.weld input').max)`)
	var slowest float64
	for i := at; i < last; i++ {
		ms := eval[float64](p, `(async () => { const { desk } = await import('./js/state/desk.js'); globalThis.fieldSeen = stage.legend().caption; return performance.now(); })()`)
		p.key(kb.ArrowRight)
		s := says()
		if seen[s] {
			t.Errorf("step %d says the same as one before: %q", i+1, s)
		}
		seen[s] = true
		p.poll("the figure to follow", `stage.legend().caption !== fieldSeen`)
		slowest = max(slowest, eval[float64](p, `performance.now()`)-ms)
		sum, _ := p.picture()
		pictures[sum] = true
	}
	if len(pictures) < 2 {
		t.Error("the figure does not change along the curve")
	}
	t.Logf("%d steps, the slowest %.0f ms with the polling of this test; the last: %s", last-at, slowest, says())
	if s := says(); !strings.Contains(s, "are lost") || !strings.Contains(s, "moves by") {
		t.Errorf("the largest distance costs nothing: %q", s)
	}
	p.shot("18-weld-largest")
	p.click(`[data-act="paper"]`)
	p.still()
	p.shot("18-weld-night")
	p.axe("weld curve in the card")

	// Without the finding the curve stands under its lens.
	eval[any](p, `document.querySelector('#pad').focus()`)
	p.key("\x1b")
	p.poll("the curve under the lens", `document.querySelectorAll('#lens .weld').length === 1 && document.querySelectorAll('.weld').length === 1`)
	p.settled()
	p.shot("19-weld-lens")
	p.axe("weld curve under its lens")
	p.clean()
}

// TestEveryPlace: a finding is brought to the front and inked, in the page: the picture
// with it is another one than that without. One check for each way of inking: edges,
// vertices, a whole shell, joints, and a section around a joint. All 27 checks of both
// stations go the same way without the page in viewer/found (TestEveryPlaceIsInked).
func TestEveryPlace(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1280, 800)
	base := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	left := map[string]bool{"surface/boundary-edges": true, "surface/unused-vertices": true, "surface/inside-out": true, "skeleton/loose-chain": true, "skeleton/off-centre": true}
	for _, fault := range lamplighter.Faults() {
		if !left[fault.ID] {
			continue
		}
		delete(left, fault.ID)
		broken, _ := fault.On(base)
		file := strings.ReplaceAll(fault.ID, "/", "-") + ".glb"
		name := filepath.Join(t.TempDir(), file)
		if err := os.WriteFile(name, lamplighter.Write(broken), 0o644); err != nil {
			t.Fatal(err)
		}
		p.give(name)
		p.poll(file, fmt.Sprintf(`document.querySelector('#file-name')?.textContent.includes(%q) && `, file)+doneJS)
		p.choose(fault.ID)
		if !eval[bool](p, `Boolean(document.querySelector('#card [data-focus="show"]'))`) {
			t.Errorf("%s: the card has no place to show", fault.ID)
			continue
		}
		p.poll("its ink", `import('./js/programs/keep.js').then((m) => m.kept.overlay !== null)`)
		p.click(`#card [data-focus="show"]`)
		p.still()
		with, _ := p.picture()
		p.shot("20-place-" + strings.TrimSuffix(file, ".glb"))
		eval[any](p, `stage.overlay(null)`)
		p.still()
		if without, _ := p.picture(); without == with {
			t.Errorf("%s: nothing is inked where the camera goes", fault.ID)
		}
	}
	for id := range left {
		t.Errorf("no fault is planted for %s", id)
	}
	p.clean()
}
