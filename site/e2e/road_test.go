package e2e

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// TestRoad: over the desk stands where the figure is on its way, and a step opens what does
// it: the finding that is left in it, or the mend where nothing is left. What is mended
// moves the figure on.
func TestRoad(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.drop(toMend(t, t.TempDir()))
	p.poll("the figure", doneJS)
	p.poll("the road", `document.querySelectorAll('#road li').length === 10`)
	p.poll("what can be mended", offersJS)
	if says := eval[string](p, `document.querySelector('#road .says').textContent`); says == "" || eval[string](p, `document.querySelector('#road [aria-current]').dataset.step`) != "scale" {
		t.Errorf("%q: next is %q", says, eval[string](p, `document.querySelector('#road [aria-current]').dataset.step`))
	}
	p.poll("the picture", `stage.state().fine`)
	p.shot("64-road-day")
	p.axe("the road")
	state := `(id) => document.querySelector('#road [data-step="' + id + '"]').parentElement.className`
	for step, want := range map[string]string{"scale": "to-do", "bind": "to-do", "parts": "to-do", "even": "done", "rest": "done", "hand-over": "to-do"} {
		if got := eval[string](p, `(`+state+`)("`+step+`")`); got != want {
			t.Errorf("%s is %s, want %s", step, got, want)
		}
	}
	// What is seen: every step within the head, none over another, and the stage below it.
	if bad := eval[string](p, roadSeenJS); bad != "" {
		t.Error(bad)
	}
	p.click(`#road [data-step="scale"]`)
	p.poll("the finding of the step", `document.querySelector('#card [data-mend="scale"]')`)
	p.tried("scale")
	p.key("\r")
	p.kept(1)
	// The scale that was applied is that of a figure 18.6 mm high: the step is not over.
	p.poll("what is left of the step", `document.querySelector('#road [aria-current]').dataset.step === 'scale' && /unlikely height/.test(document.querySelector('#road .says').textContent)`)
	p.poll("what can be mended of it", offersJS)
	p.click(`#road [data-step="scale"]`)
	p.poll("the finding of the step", `/height/.test(document.getElementById('h-card').textContent) && document.querySelector('#card [data-mend="scale"]')`)
	p.tried("scale")
	p.key("\r")
	p.kept(2)
	p.poll("the next step", `document.querySelector('#road [aria-current]').dataset.step !== 'scale'`)
	if got := eval[string](p, `(`+state+`)("scale")`); got != "done" {
		t.Errorf("scale is %s after it was mended", got)
	}
	p.click(`#road [data-step="rest"]`)
	p.poll("the mend of a step without a finding", `document.body.dataset.trial && /rest/i.test(document.getElementById('h-trial').textContent)`)
	p.key("\u001b")
	p.poll("left", `!document.body.dataset.trial`)
	p.click(`#road [data-step="choose"]`)
	p.poll("the line-up", `!document.querySelector('.lineup[hidden]') && document.querySelector('[data-act="lineup"]').getAttribute('aria-pressed') === 'true'`)
	p.click(`[data-act="lineup"]`)
	for _, w := range []int64{821, 1000, 1100, 1300, 2560} {
		p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(w, 900)))
		if bad := eval[string](p, roadSeenJS); bad != "" {
			t.Errorf("%d px: %s", w, bad)
		}
		if w == 1000 {
			p.shot("65-road-1000")
		}
	}
	// On a phone it is one line in the ledger.
	p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(390, 844)))
	p.poll("the line", `document.querySelector('.next-step').textContent.startsWith('Next: ')`)
	p.click(`.tabs button:nth-child(2)`)
	p.shot("66-road-phone")
	if got := eval[string](p, `getComputedStyle(document.getElementById('road')).display`); got != "none" {
		t.Errorf("on a phone the road is %s", got)
	}
}

// roadSeenJS answers what of the road is cut, lies over something or is not to be seen.
const roadSeenJS = `(() => { const head = document.querySelector('.head').getBoundingClientRect(), all = [...document.querySelectorAll('#road li button')].map((b) => b.getBoundingClientRect());
	if (all.some((r) => r.width < 11 || r.height < 20)) return 'a step is too small';
	if (all.some((r) => r.bottom > head.bottom || r.top < head.top || r.right > innerWidth || r.left < 0)) return 'a step is out of the head';
	for (let i = 1; i < all.length; i++) if (all[i].left < all[i - 1].right - .5) return 'steps lie over each other';
	const acts = document.querySelector('.head .acts').getBoundingClientRect();
	if (acts.bottom > all[0].top) return 'the acts reach into the road';
	if (document.getElementById('ledger').getBoundingClientRect().top < head.bottom) return 'the ledger is under the head';
	return ''; })()`
