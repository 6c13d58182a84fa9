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
