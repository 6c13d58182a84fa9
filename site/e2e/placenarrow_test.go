package e2e

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// TestPlacesNarrow: on a phone the weld slider and the section stand in the card, fit
// its width, and are reachable; axe finds nothing.
func TestPlacesNarrow(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1280, 844)
	p.give(planted(t, "surface/near-coincident"))
	p.poll("the figure", `document.querySelector('#file-name')?.textContent.includes('broken') && `+doneJS)
	p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(390, 844)))
	for _, step := range []struct{ id, must, shot string }{
		{"surface/near-coincident", ".weld input", "21-phone-weld"},
		{"", ".cut button", "21-phone-section"},
	} {
		if step.id != "" {
			eval[any](p, `(async () => { const { desk, choose } = await import('./js/state/desk.js'); choose({ kind: 'finding', number: desk.figure.findings.find((f) => f.id === '`+step.id+`').number }, { turn: true }); })()`)
		} else {
			eval[any](p, `(async () => { const { desk, choose } = await import('./js/state/desk.js'); choose({ kind: 'joint', node: desk.figure.joints.find((j) => j.cut).node }); })()`)
		}
		eval[any](p, `document.querySelector('[data-tab="card"], #tabs button:nth-child(3)')?.click()`)
		p.settled()
		p.poll("what it should show", `document.querySelector('#card `+step.must+`')?.offsetParent != null`)
		eval[any](p, `document.querySelector('#card `+step.must+`').scrollIntoView({ block: 'center' })`)
		p.settled()
		p.shot(step.shot)
		p.axe(step.shot)
		if w := eval[int](p, `document.documentElement.scrollWidth`); w > 390 {
			t.Errorf("%s: the page is %d pixels wide on a screen of 390", step.must, w)
		}
		if over := eval[float64](p, `document.querySelector('#card `+step.must+`').getBoundingClientRect().right`); over > 390 {
			t.Errorf("%s ends at %v", step.must, over)
		}
	}
	p.clean()
}
