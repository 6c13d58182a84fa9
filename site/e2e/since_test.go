package e2e

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/desk"
)

// TestChangedSince: a newer file of the same name is read, and the ledger says what is gone,
// new and changed, in the words of the terminal, numbers side by side; the rows bear it too.
// Another figure of that name is not compared.
func TestChangedSince(t *testing.T) {
	dir := t.TempDir()
	put := func(name string, s desk.Sample) string {
		t.Helper()
		f, err := s.File()
		if err != nil {
			t.Fatal(err)
		}
		name = filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
		return name
	}
	old := put("old/lamp.glb", desk.Sample{Vertices: 6000, Faults: []string{"binding/stray-island"}})
	newer := put("new/lamp.glb", desk.Sample{Vertices: 6000, Faults: []string{"skeleton/name-clash"}})
	other := put("other/lamp.glb", desk.Sample{Vertices: 6000, Names: "snake"})
	says := commandLine(t, "compare", "--json", "--fail-on", "never", old, newer)["says"].(string)
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	reads := func(file string) {
		t.Helper()
		p.drop(file)
		p.poll("the question", `document.querySelector('#offer [data-offer="open"]')?.textContent === 'Read it as the newer one'`)
		p.click(`#offer [data-offer="open"]`)
		p.poll("it is being read", `document.body.dataset.phase !== 'done' || !document.querySelector('#ledger .changes')`)
		p.poll("the figure", doneJS)
	}
	p.drop(old)
	p.poll("the figure", doneJS)
	reads(newer)
	p.poll("what changed", `document.querySelector('#ledger .changes tbody tr')`)
	p.shot("72-since")
	text := eval[string](p, `document.querySelector('#ledger .changes').textContent`)
	if !strings.Contains(digits(text), says) {
		t.Errorf("the page says %q, the terminal %q", text, says)
	}
	for _, row := range [][2]string{{"gone", "Weight far from joint"}, {"new", "Name used twice"}} {
		if got := eval[string](p, `[...document.querySelectorAll('#ledger .changes [data-change="`+row[0]+`"]')].map((r) => r.textContent).join('; ')`); !strings.Contains(got, row[1]) {
			t.Errorf("%s: %q", row[0], got)
		}
	}
	if n := eval[int](p, `[...document.querySelectorAll('#ledger .stations .was')].filter((e) => e.textContent === 'new').length`); n < 1 {
		t.Error("no row of the ledger is called new")
	}
	p.axe("what changed since")
	p.besideTheOlder()
	p.click(`#ledger .changes [data-change="new"] .text`)
	p.poll("its card", `document.querySelector('#card .finding')`)
	p.click(`#ledger .changes [data-focus="seen"]`)
	p.poll("seen", `!document.querySelector('#ledger .changes')`)
	reads(newer)
	p.poll("nothing changed", `document.querySelector('#ledger .changes')?.textContent.includes('Nothing changed')`)
	reads(other)
	p.still()
	if eval[bool](p, `Boolean(document.querySelector('#ledger .changes'))`) {
		t.Error("another figure of that name is compared")
	}
	p.clean()
}

// besideTheOlder stands the figure of the older reading beside the newer one, by one camera,
// lens and time, and takes it away again.
func (p *tab) besideTheOlder() {
	p.t.Helper()
	p.click(`#ledger .changes [data-focus="older"]`)
	p.poll("two figures", `stage.state().beside && !document.getElementById('beside').hidden`)
	eval[any](p, `import('./js/shared/clips.js').then((m) => { m.openClip(0); m.seek(0.4); })`)
	p.poll("the picture", `stage.state().fine && stage.state().clip === 0`)
	p.shot("73-since-beside")
	p.axe("two figures")
	// The faults differ in no place at this size: what is right of the middle is what is left of it.
	if n := eval[int](p, `(() => { const { w, h, rgba } = stage.pixels(), s = stage.state(); const at = (x, y) => rgba[4 * (y * w + x)]; const [top, right, bottom, left] = s.camera.inset.map(Math.round);
		const wide = Math.floor((w - left - right) / 2); let n = 0; for (let y = top + 60; y < h - bottom - 60; y++) for (let x = 12; x < wide - 12; x++) if (at(left + wide + x, y) < 100) n++; return n; })()`); n < 2000 {
		p.t.Errorf("%d inked pixels on the right half", n)
	}
	p.click(`#beside [data-focus="beside-away"]`)
	p.poll("one figure", `!stage.state().beside && document.getElementById('beside').hidden`)
}
