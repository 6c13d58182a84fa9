package e2e

import (
	"path/filepath"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/menagerie"
)

// triedJS: what is on trial has its answer, and nothing is asked any more.
const triedJS = `document.querySelector('#trial-receipt .receipt') && !document.getElementById('trial-now') && asksOpen.size === 0`

// TestTicks: what a person ticks is what is done: a joint taken from a piece of a bind and
// given back, a moment of a chain set at the needle and taken out, and of many captures those
// that stay ticked.
func TestTicks(t *testing.T) {
	dir := t.TempDir()
	file, err := desk.Sample{Vertices: 3000}.File()
	if err != nil {
		t.Fatal(err)
	}
	stroll, err := bvh.Write(menagerie.Capture(), 0)
	if err != nil {
		t.Fatal(err)
	}
	figure, first, second := filepath.Join(dir, "figure.glb"), filepath.Join(dir, "first.bvh"), filepath.Join(dir, "second.bvh")
	write(t, figure, file.Data)
	write(t, first, stroll)
	write(t, second, stroll)
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.drop(figure)
	p.poll("the figure", doneJS)
	p.poll("what can be mended", offersJS)
	any := func(mend string) {
		t.Helper()
		p.click("#slip-all")
		p.click(`[data-any="` + mend + `"]`)
		p.poll("the answer", triedJS)
	}
	value := func(name string) string {
		t.Helper()
		return eval[string](p, `import('./js/state/rooms.js').then(({ rooms }) => JSON.stringify(rooms.mending.trial?.values["`+name+`"] ?? null))`)
	}

	any("bind")
	box := `#trial-pieces details:first-of-type [data-joint="head"]`
	p.poll("a piece that may follow the head", `document.querySelector('`+box+`')?.checked`)
	p.press(box)
	p.poll("the piece as told", triedJS+` && document.querySelector('#trial-pieces summary').textContent.includes(', told') && !document.querySelector('`+box+`').checked`)
	if got := eval[bool](p, `import('./js/state/rooms.js').then(({ rooms }) => { const l = rooms.mending.trial.values.parts['#1'].split(', '); return l.length > 3 && !l.includes('head') && l.includes('neck'); })`); !got {
		t.Errorf("it is told %s", value("parts"))
	}
	p.press(`[data-focus="piece-free-#1"]`)
	p.poll("the piece as proposed", triedJS+` && document.querySelector('`+box+`').checked && !document.querySelector('#trial-pieces summary').textContent.includes(', told')`)
	if got := value("parts"); got != "null" {
		t.Errorf("given back, it is told %s", got)
	}
	p.key("\u001b")
	p.poll("left", `!document.body.dataset.trial`)

	eval[int](p, `import('./js/shared/clips.js').then((m) => { m.takeClip(0); m.run(false); m.seek(.4); return 0; })`)
	any("sway")
	p.poll("where it is set", `document.getElementById('set-here')`)
	p.press("#set-here")
	p.poll("the moment", triedJS+` && document.querySelector('[data-focus="set-off-0"]')`)
	if got := value("set"); got != `["0.4 20"]` {
		t.Errorf("set at the needle: %s", got)
	}
	p.press(`[data-focus="set-off-0"]`)
	p.poll("taken out", triedJS+` && !document.querySelector('[data-focus="set-off-0"]')`)
	if got := value("set"); got != "[]" {
		t.Errorf("taken out: %s", got)
	}
	p.key("\u001b")
	p.poll("left", `!document.body.dataset.trial`)

	p.drop(first, second)
	p.poll("what they are for", `document.getElementById('offer').open`)
	p.click(`[data-offer="motion"]`)
	p.poll("the list", `document.getElementById('captures').open && document.querySelectorAll('#captures input:checked').length === 2 && !document.getElementById('captures-do').disabled`)
	p.press(`#captures li:nth-child(2) input`)
	p.poll("one ticked", `document.querySelectorAll('#captures input:checked').length === 1 && document.getElementById('captures-do').textContent.replace(/\s/g, ' ') === 'Carry over 1 clip'`)
	p.shot("73-captures")
	p.press("#captures-do")
	p.poll("one carried over", `document.querySelector('#captures li:first-child').textContent.includes('carried over') && !document.querySelector('#captures li:nth-child(2)').textContent.includes('carried over')`)
	p.kept(1)
	if got := eval[int](p, `import('./js/state/desk.js').then(({ desk }) => desk.figure.clips.length)`); got != 3 {
		t.Errorf("the figure has %d clips, had 2", got)
	}
	p.clean()
}
