package e2e

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// takeClip chooses a clip by its name and goes some keys on.
func (p *tab) takeClip(name string, keys int) {
	p.t.Helper()
	p.pressThe("clip "+name, fmt.Sprintf(`[...document.querySelectorAll('#time .clips label')].find((l) => l.textContent.includes(%q))`, name))
	p.poll("the clip on the stage", `stage.state().clip >= 0`)
	eval[any](p, `document.querySelector('#pad').focus(); 0`)
	for range keys {
		p.key(".")
	}
	p.still()
}

// clickVertex clicks a place of the figure whose vertex at least so many joints
// hold, and answers its surface and vertex.
func (p *tab) clickVertex(joints int) (surface, vertex int) {
	p.t.Helper()
	at := eval[[]float64](p, fmt.Sprintf(`(() => { for (let y = 120; y < innerHeight - 200; y += 3) for (let x = 380; x < innerWidth - 400; x += 3) {
		const hit = stage.pick(x, y); if (hit.kind !== 'vertex') continue;
		const w = stage.sum(hit.surface, hit.vertex); if (w && w.terms.length >= %d && w.terms.every((t) => t.weight > 0.02) && w.spread > 0.05) return [x, y, hit.surface, hit.vertex]; } return []; })()`, joints))
	if len(at) != 4 {
		p.t.Fatalf("no vertex in sight that %d joints hold and part", joints)
	}
	p.must(chromedp.Do(p.ctx, chromedp.MouseClickXY(at[0], at[1])))
	p.poll("the vertex card", fmt.Sprintf(`document.querySelector('#card').dataset.face === 'vertex' && document.querySelector('.sum') !== null && document.querySelector('#h-card').textContent.replace(/[^0-9]/g, '') === '%d'`, int(at[3])))
	return int(at[2]), int(at[3])
}

// TestSumIsTheCommandLines: the sum on the page, read from its table, is what
// `rigloupe probe` writes; the terms can be stepped through, and each step is
// drawn on the figure.
func TestSumIsTheCommandLines(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.sample()
	p.takeClip("wave", 12)
	surface, vertex := p.clickVertex(3)
	seconds := eval[float64](p, `stage.state().seconds`)
	node := eval[int](p, fmt.Sprintf(`stage.probe(%d, %d).node`, surface, vertex))
	element := eval[string](p, fmt.Sprintf(`(() => { const q = stage.probe(%d, %d); return q.node + ':' + q.primitive + ':' + q.element; })()`, surface, vertex))
	want := commandLine(t, "probe", "sample", "--vertex", element, "--clip", "wave", "--at", strconv.FormatFloat(seconds, 'g', -1, 64), "--json")

	var got map[string]any
	p.must(json.Unmarshal([]byte(eval[string](p, fmt.Sprintf(`JSON.stringify(stage.sum(%d, %d))`, surface, vertex))), &got))
	for _, term := range got["terms"].([]any) {
		delete(term.(map[string]any), "name")
		delete(term.(map[string]any), "letter")
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("node %d, vertex %s at %v s: the page has\n%v\nthe command line\n%v", node, element, seconds, got, want)
	}

	// The cells a person reads.
	five := func(v any) (out []string) {
		for _, x := range v.([]any) {
			out = append(out, strconv.FormatFloat(math.Abs(x.(float64)), 'f', 5, 64))
		}
		return out
	}
	rows := func(class string) [][]string {
		return eval[[][]string](p, fmt.Sprintf(`[...document.querySelectorAll('.terms > tbody > tr%s')].map((r) => [...r.querySelectorAll(':scope > td')].map((c) => c.textContent.replace('\u2212', '').replaceAll('\u202f', '')))`, class))
	}
	terms := want["terms"].([]any)
	adds, totals := rows(".adds"), rows(".total")
	if len(adds) != len(terms) || len(totals) != len(terms) {
		t.Fatalf("%d and %d rows for %d terms", len(adds), len(totals), len(terms))
	}
	for i := range terms {
		term := terms[i].(map[string]any)
		if !reflect.DeepEqual(adds[i], five(term["adds"])) || !reflect.DeepEqual(totals[i], five(term["total"])) {
			t.Errorf("term %d: the table says %v and %v, the command line %v and %v", i, adds[i], totals[i], five(term["adds"]), five(term["total"]))
		}
	}
	last := terms[len(terms)-1].(map[string]any)
	matrix := eval[[]string](p, `[...document.querySelectorAll('.matrix td')].slice(0, 12).map((c) => c.textContent.replace('\u2212', ''))`)
	if !reflect.DeepEqual(matrix, five(last["matrix"])) {
		t.Errorf("the matrix is %v, the command line's %v", matrix, five(last["matrix"]))
	}
	rules := eval[[]string](p, `[...document.querySelectorAll('.rules td:last-child')].map((c) => c.textContent)`)
	for i, name := range []string{"whole", "strongest", "first_four", "dual"} {
		if w := fmt.Sprintf("%.3f\u00a0mm", 1000*want[name].(map[string]any)["shift_m"].(float64)); len(rules) != 4 || rules[i] != w {
			t.Errorf("%s: the table says %q, the command line %q", name, rules, w)
		}
	}
	p.shot("20-sum")

	// Step by step: from all terms round to none, then one by one; no two pictures alike.
	eval[any](p, `document.querySelector('#pad').focus()`)
	seen := map[string]int{}
	for k := range len(terms) + 1 {
		p.key("t")
		sum, _ := p.picture()
		if before, twice := seen[sum]; twice {
			t.Errorf("%d terms show the same picture as %d", k, before)
		}
		seen[sum] = k
		if n := len(rows(".adds")); n != k {
			t.Errorf("step %d shows %d terms added", k, n)
		}
		if k == 1 {
			p.click(`[data-focus="way"]`)
			p.still()
			p.shot("21-sum-one-term")
		}
	}
	p.click(`[data-act="paper"]`)
	p.still()
	p.shot("22-sum-night")
	p.click(`#time input[value="dual"] + span`)
	p.poll("the card with dual quaternions", `document.querySelector('.figure-says').textContent.includes('dual quaternions: the brass line')`)
	p.shot("23-sum-dual")
	p.axe("vertex card")
	p.clean()
}

// TestSumOfMove: in a move of the bend set, too, and with both blends side by side.
func TestSumOfMove(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.sample()
	p.chooseJoint("lowerArm_L")
	p.click(`#card [data-focus="move-flexion-up"]`)
	p.poll("the move", stageMove+` === 'flexion 150'`)
	p.still()
	surface, vertex := p.clickVertex(2)
	degrees := strconv.FormatFloat(eval[float64](p, `stage.state().move.degrees`), 'g', -1, 64)
	element := eval[string](p, fmt.Sprintf(`(() => { const q = stage.probe(%d, %d); return q.node + ':' + q.primitive + ':' + q.element; })()`, surface, vertex))
	want := commandLine(t, "probe", "sample", "--vertex", element, "--move", "lowerArm_L", "--axis", "flexion", "--degrees", degrees, "--json")
	if got := eval[[]float64](p, fmt.Sprintf(`stage.sum(%d, %d).stored`, surface, vertex)); !reflect.DeepEqual([]any{got[0], got[1], got[2]}, want["stored"]) {
		t.Errorf("vertex %s at %s°: %v on the page, %v on the command line", element, degrees, got, want["stored"])
	}
	if text := eval[string](p, `document.querySelector('.sum .prose').textContent`); !strings.Contains(text, "Here they disagree by up to") {
		t.Errorf("in a move the card says %q", text)
	}
	p.shot("28-sum-move")
	p.way("both")
	p.shot("29-sum-both")
	p.axe("a sum in a move")
	p.clean()
}

// TestSumAtRest: where all joints agree the page says so.
func TestSumAtRest(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 390, 844)
	p.sample()
	eval[any](p, `(() => { for (let y = 80; y < 440; y += 3) for (let x = 20; x < innerWidth - 20; x += 3) { const hit = stage.pick(x, y);
		if (hit.kind !== 'vertex' || stage.sum(hit.surface, hit.vertex).terms.length < 2) continue;
		const o = { clientX: x, clientY: y, pointerId: 1, bubbles: true, isPrimary: true, button: 0 }; const pad = document.querySelector('#pad'); pad.setPointerCapture = () => {};
		pad.dispatchEvent(new PointerEvent('pointerdown', o)); pad.dispatchEvent(new PointerEvent('pointerup', o)); return true; } return false; })()`)
	p.poll("the vertex card", `document.querySelector('.sum') !== null`)
	if text := eval[string](p, `document.querySelector('.sum .prose').textContent`); !strings.Contains(text, "At rest they all name the same place") {
		t.Errorf("at rest the card says %q", text)
	}
	eval[any](p, `document.querySelector('.sum').scrollIntoView()`)
	p.shot("24-sum-phone")
	if w := eval[int](p, `document.querySelector('#card').scrollWidth - document.querySelector('#card').clientWidth`); w > 0 {
		t.Errorf("the card is %d pixels too wide on a screen of 390", w)
	}
	p.axe("vertex card on a phone")
	p.clean()
}
