package e2e

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/lamplighter"
)

// capture writes the sample in A-pose, under other names, as a file of motion capture.
func capture(t *testing.T) string {
	t.Helper()
	text, err := bvh.Write(lamplighter.Build(lamplighter.Options{Pose: lamplighter.A, Names: lamplighter.Snake}), 0)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "walk.bvh")
	if err := os.WriteFile(name, text, 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// lamp writes the sample figure.
func lamp(t *testing.T) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "lamp.glb")
	if err := os.WriteFile(name, lamplighter.GLB(lamplighter.Options{}), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// TestMatch: a second file is offered as motion; the table of pairs is the command
// line's; a pair is put right in the table and on the two figures, and the rest is
// found again around it; saved and loaded it is the same.
func TestMatch(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	figure := lamp(t)
	p.drop(figure)
	p.poll("the figure", doneJS)
	walk := capture(t)
	p.drop(walk)
	p.poll("the offer", `document.getElementById('offer').open`)
	p.shot("offer")
	p.axe("offer")
	p.press(`[data-offer="motion"]`)
	p.poll("the table", `document.querySelectorAll('#match-rows tr').length > 20`)
	p.shot("match-day")
	p.axe("match, day")

	var table struct {
		Pairs []struct {
			Source, Target *struct{ Name string }
			Pinned         bool
		}
	}
	text, err := json.Marshal(commandLine(t, "match", walk, figure, "--json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &table); err != nil {
		t.Fatal(err)
	}
	rows := func() map[string]string {
		out := map[string]string{}
		for _, r := range eval[[]string](p, `[...document.querySelectorAll('#match-rows tr')].map((r) => r.querySelector('th').textContent + '|' + (r.querySelector('td button')?.textContent ?? ''))`) {
			a, b, _ := strings.Cut(r, "|")
			out[a] = b
		}
		return out
	}
	got := rows()
	for _, q := range table.Pairs {
		if g := got[q.Target.Name]; g != q.Source.Name && !strings.HasPrefix(g, q.Source.Name+" and ") {
			t.Errorf("the page says %q moves %q, the command line %q", g, q.Target.Name, q.Source.Name)
		}
	}
	if len(table.Pairs) < 22 {
		t.Errorf("%d pairs", len(table.Pairs))
	}

	// On the stage: the source beside the figure; a click on a joint of either chooses the pair.
	p.click("#match-stage")
	p.poll("two figures", `!document.getElementById('match').open && stage.state().beside && stage.state().fine`)
	p.shot("match-stage")
	p.axe("two figures on the stage")
	picked := eval[[]float64](p, `(() => { const s = stage.state(), of = (x, y) => stage.pick(x, y); for (let y = 120; y < innerHeight - 200; y += 3) for (let x = innerWidth - 380; x > innerWidth / 2; x -= 3) { const h = of(x, y); if (h.other >= 0 && h.node >= 0) return [x, y, h.node, h.other]; } return []; })()`)
	if len(picked) != 4 {
		t.Fatal("no joint of the source can be picked")
	}
	p.must(chromedp.Do(p.ctx, chromedp.MouseClickXY(picked[0], picked[1])))
	p.poll("its partner", fmt.Sprintf(`import('./js/state/desk.js').then(({ desk }) => desk.chosen.kind === 'joint' && desk.chosen.node === %d)`, int(picked[2])))
	if a, b := eval[string](p, fmt.Sprintf(`stage.pick(%g, %g).name`, picked[0], picked[1])), eval[string](p, fmt.Sprintf(`import('./js/state/desk.js').then(({ desk }) => desk.figure.byNode.get(%d).name)`, int(picked[2]))); got[b] != a {
		t.Errorf("beside %q stands %q, the table says %q", b, a, got[b])
	}
	p.key("\u001b")
	p.poll("one figure", `!stage.state().beside`)
	eval[any](p, `document.getElementById('match').showModal(); 0`)

	// By keyboard: the row's choice opens, and takes another joint.
	eval[any](p, `{ const b = [...document.querySelectorAll('#match-rows tr')].find((r) => r.querySelector('th').textContent === 'head').querySelector('button'); b.focus(); b.click(); }; 0`)
	if !eval[bool](p, `document.activeElement.tagName === 'SELECT'`) {
		t.Error("the choice has not the focus")
	}
	eval[any](p, `{ const s = document.activeElement; s.value = [...s.options].find((o) => o.textContent === 'no pair').value; s.dispatchEvent(new Event('change')); }; 0`)
	p.poll("head without a pair", `[...document.querySelectorAll('#match-rows tr.pinned th')].some((e) => e.textContent === 'head')`)
	if g := rows()["head"]; g != "no pair" {
		t.Errorf("head is moved by %q", g)
	}
	if !eval[bool](p, `document.activeElement.dataset.focus?.startsWith('row-')`) {
		t.Error("the focus has left the row")
	}

	// On the two figures: the source's topmost joint, then the target's.
	eval[any](p, `for (const svg of document.querySelectorAll('#match-figures svg')) {
		const top = [...svg.querySelectorAll('circle')].sort((a, b) => a.cy.baseVal.value - b.cy.baseVal.value)[0].getBoundingClientRect();
		svg.dispatchEvent(new MouseEvent('click', { clientX: top.x + top.width / 2, clientY: top.y + top.height / 2, bubbles: true }));
	}; 0`)
	p.poll("head set by two clicks", `[...document.querySelectorAll('#match-rows tr.pinned')].some((r) => r.querySelector('th').textContent === 'head' && r.querySelector('td button')?.textContent !== 'no pair')`)
	p.shot("match-set")

	// What it saves comes back the same.
	pins, _ := savedBy(p, "match-json")
	file := filepath.Join(t.TempDir(), "pins.json")
	if err := os.WriteFile(file, pins, 0o644); err != nil {
		t.Fatal(err)
	}
	again := commandLine(t, "match", walk, figure, "--json", "--pins", file)
	var want map[string]any
	if err := json.Unmarshal(pins, &want); err != nil {
		t.Fatal(err)
	}
	a, _ := json.Marshal(again["pairs"])
	b, _ := json.Marshal(want["pairs"])
	if string(a) != string(b) {
		t.Errorf("saved by the page and read by the command line the pairs differ:\n%.300s\n%.300s", b, a)
	}

	p.press(`[data-act="paper"]`)
	p.shot("match-night")
	p.axe("match, night")
}

// TestMatchNarrow: on a phone the view keeps its width.
func TestMatchNarrow(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1280, 844)
	p.drop(lamp(t))
	p.poll("the figure", doneJS)
	p.drop(capture(t))
	p.poll("the offer", `document.getElementById('offer').open`)
	p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(380, 780)))
	p.press(`[data-offer="motion"]`)
	p.poll("the table", `document.querySelectorAll('#match-rows tr').length > 20`)
	p.shot("match-narrow")
	p.axe("match, narrow")
	if w := eval[float64](p, `document.getElementById('match').scrollWidth - document.getElementById('match').clientWidth`); w > 0 {
		t.Errorf("the view is %.0f px too wide", w)
	}
}
