package e2e

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestTourAndHabits: the tour comes when it is asked for, by keys alone, and not again; what
// a person is used to comes back with the next visit, limits as the command line takes them,
// and is forgotten when asked.
func TestTourAndHabits(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	if fig := eval[float64](p, `(() => { const r = document.querySelector('.sample-figure').getBoundingClientRect(), w = document.getElementById('what').getBoundingClientRect(); return r.height > 300 && w.top < 60 + (innerHeight - 60) / 4 ? 1 : w.top; })()`); fig != 1 {
		t.Errorf("the first page begins at %v px", fig)
	}
	p.click(`#first [data-act="tour"]`)
	for i, title := range []string{"The answer first", "Where it is", "What, how much, why", "What the colours say"} {
		p.poll(title, `document.getElementById('h-tour')?.textContent === "`+title+`" && document.querySelector('.toured')`)
		if i == 2 {
			p.poll("the card", `document.querySelector('#card .finding')`)
		}
		p.shot("90-tour-" + string(rune('1'+i)))
		if i == 0 {
			p.axe("the tour")
		}
		p.press("#tour-on")
	}
	p.poll("it is over", `document.getElementById('tour').hidden && !document.querySelector('.toured')`)
	p.poll("examined", doneJS)

	// Habits.
	p.key("b")
	p.poll("bones off", `!document.querySelector('#view input[name="bones"]').checked`)
	p.press(`#lens input[value="dominant"]`)
	dir := t.TempDir()
	put := func(name, text string) string {
		t.Helper()
		name = filepath.Join(dir, name)
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return name
	}
	p.press(`[data-act="checks"]`)
	p.poll("the limits", `document.getElementById('limits-load')`)
	p.upload("#limits-load", put("wrong.json", `{"surface/lopsided": {"shares": 0.3}}`))
	p.poll("refused", `/has no limit "shares"/.test(document.getElementById('limits-says').textContent)`)
	p.upload("#limits-load", put("mine.json", `{"surface/lopsided": {"share": 0.3}}`))
	p.poll("taken", `/1\slimit changed here/.test(document.getElementById('limits-mine').textContent)`)
	eval[any](p, `document.getElementById('checks').close()`)
	p.must(chromedp.Do(p.ctx, chromedp.Navigate(s.URL+"?present=plain#sample")))
	p.must(chromedp.Do(p.ctx, chromedp.Reload()))
	p.poll("the page", readyJS)
	p.poll("the sample", doneJS)
	p.poll("as it was left", `(() => { const s = stage.state(); return s.lens === 'dominant' && !document.querySelector('#view input[name="bones"]').checked; })() && import('./js/state/desk.js').then(({ desk }) => desk.limits['surface/lopsided']?.share === 0.3)`)
	p.poll("that limits were moved, and the way back", `/Judged by 1\slimit of your own/.test(document.querySelector('.own-limits')?.textContent) && document.querySelector('.own-limits button')`)
	if eval[bool](p, `!document.getElementById('tour').hidden`) {
		t.Error("the tour comes unasked")
	}
	p.press(`[data-act="help"]`)
	p.poll("what is remembered", `/1\slimit, the lens dominant, bones off/.test(document.getElementById('habits').textContent)`)
	p.shot("91-habits")
	p.axe("what is remembered")
	p.press(`#habits input[value="cm"]`)
	p.poll("centimetres", `/186\scm high/.test(document.querySelector('.verdict .says').textContent) && /186\scm/.test(document.getElementById('file-facts').textContent + document.querySelector('.verdict').textContent)`)
	p.poll("remembered", `JSON.parse(localStorage.getItem('rigloupe.habits')).units === 'cm' && /lengths in centimetres/.test(document.getElementById('habits').textContent)`)
	p.press("#forget")
	p.poll("metres again", `/1.86\sm high/.test(document.querySelector('.verdict .says').textContent) && !document.querySelector('.own-limits')`)
	p.poll("forgotten", `localStorage.getItem('rigloupe.habits') === null && document.querySelector('#view input[name="bones"]').checked`)
	p.clean()
}
