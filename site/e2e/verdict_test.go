package e2e

import (
	"fmt"
	"testing"
)

// TestVerdict: the sentence stands on top once all is examined, in the words of the
// document; each of the three opens its finding; nothing of it is cut at any size of the
// window, and the ledger under it can still be read.
func TestVerdict(t *testing.T) {
	for _, size := range [][2]int64{{1440, 900}, {1000, 700}, {1200, 600}, {390, 844}} {
		p := start(t, serve(t, false).URL+"?present=plain", size[0], size[1])
		p.poll("the page", readyJS+` && document.body.dataset.ready === 'true'`)
		p.sample()
		if size[0] == 390 {
			p.click(`#tabs [data-tab="ledger"]`)
		}
		p.poll("the verdict", `document.querySelector('.verdict .says')?.textContent.includes('Bound, and moved by')`)
		if n := eval[int](p, `document.querySelectorAll('.verdict .find').length`); n != 3 {
			t.Errorf("%v: %d findings matter", size, n)
		}
		p.press(`.verdict .find`)
		p.poll("its card", `document.querySelector('#card').textContent.includes('Chain that stays still')`)
		if size[0] == 390 {
			p.click(`#tabs [data-tab="ledger"]`)
		}
		if got := eval[string](p, `[...document.querySelectorAll('.verdict .find')].map((b) => b.getAttribute('aria-current')).join()`); got != "true,," {
			t.Errorf("%v: current are %s", size, got)
		}
		room := eval[[]float64](p, `(() => { const v = document.querySelector('.verdict'), l = document.querySelector('.stations'); return [v.getBoundingClientRect().height, l.getBoundingClientRect().height, v.scrollWidth - v.clientWidth]; })()`)
		if room[0] < 60 || room[1] < 120 || room[2] > 0 {
			t.Errorf("%v: the verdict is %.0f px high, the stations %.0f, %.0f px are cut", size, room[0], room[1], room[2])
		}
		if size == [2]int64{1440, 900} && room[1] < 240 { // under the verdict, over an empty slip
			t.Errorf("at 1440 × 900 the stations are %.0f px high", room[1])
		}
		p.shot(fmt.Sprintf("24-verdict-%dx%d", size[0], size[1]))
		p.clean()
	}
}

// lines are the rows of the ledger with how many lines of text each has, as drawn.
const lines = `[...document.querySelectorAll('#ledger .find')].filter((b) => b.getClientRects().length > 0).map((b) => {
	const at = []; const walk = document.createTreeWalker(b, NodeFilter.SHOW_TEXT);
	while (walk.nextNode()) {
		if (walk.currentNode.parentElement.closest('.vh')) continue;
		const r = document.createRange(); r.selectNodeContents(walk.currentNode);
		for (const c of r.getClientRects()) if (c.width > 1 && !at.some((y) => Math.abs(y - (c.top + c.bottom) / 2) < 6)) at.push((c.top + c.bottom) / 2);
	}
	return { words: b.textContent, n: at.length }; })`

// TestMinute: of a real figure with many findings no row of the ledger needs more than two lines
// at 1440, notes unfolded too, and one press on the first that matters shows what to do about it.
func TestMinute(t *testing.T) {
	figure := real(t)
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.give(figure)
	p.poll("the figure", doneJS)
	type row struct {
		Words string `json:"words"`
		N     int    `json:"n"`
	}
	look := func(when string) {
		rows := eval[[]row](p, lines)
		if len(rows) < 5 {
			t.Errorf("%s: only %d rows", when, len(rows))
		}
		for _, r := range rows {
			if r.N > 2 || r.N == 0 {
				t.Errorf("%s: %q has %d lines", when, r.Words, r.N)
			}
		}
	}
	look("as it opens")
	p.press(`.verdict .find`)
	p.poll("what to do about the first", `(() => { const e = document.querySelector('#card .remedy') ?? [...document.querySelectorAll('#card .why')].at(-1);
		if (!e) return false; const r = e.getBoundingClientRect(); return r.height > 10 && r.top >= 0 && r.top < innerHeight && e.textContent.length > 20; })()`)
	eval[any](p, `document.querySelectorAll('#ledger .find[aria-expanded="false"]').forEach((b) => b.click())`)
	look("notes unfolded")
	p.shot("24-minute")
	p.clean()
}
