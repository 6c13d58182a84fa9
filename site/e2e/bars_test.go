package e2e

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"rigloupe/inspect/lamplighter"
)

// bar is one drawn bar as the browser lays it out with all style sheets: the size of
// its box in CSS pixels, and the size of the whole drawing.
type bar struct {
	W, H         float64
	Scale        float64 // CSS pixels a unit of the drawing
	Index        int     // among the bars of its drawing
	Class, Value string
}

// bars answers the bars that a selector names, as they are laid out.
func (p *tab) bars(selector string) []bar {
	p.t.Helper()
	return eval[[]bar](p, fmt.Sprintf(`[...document.querySelectorAll(%q)].map((e) => {
		const m = e.getScreenCTM(), b = e.getBBox(), r = e.getBoundingClientRect();
		const all = [...e.ownerSVGElement.querySelectorAll('rect.bar')];
		return { W: b.width * m.a, H: b.height * m.d, Scale: m.d, Index: all.indexOf(e), Class: e.getAttribute('class'), Value: e.closest('tr')?.textContent ?? '' };
	})`, selector))
}

// unbent names every drawn shape whose size, as laid out, is not the one it was drawn
// with: a style sheet of another room has reached it.
func (p *tab) unbent(state string) {
	p.t.Helper()
	for _, wrong := range eval[[]string](p, `(() => { const out = new Set(); let seen = 0;
		for (const e of document.querySelectorAll('svg rect, svg circle, svg ellipse')) {
			const s = getComputedStyle(e);
			for (const k of ['x', 'y', 'width', 'height', 'rx', 'ry', 'cx', 'cy', 'r']) {
				const a = e.getAttribute(k);
				if (a === null || a.endsWith('%') || e.getBBox === undefined) continue;
				seen++;
				if (Math.abs(parseFloat(s[k]) - Number(a)) > 0.02) out.add(e.closest('svg').getAttribute('class') + ' ' + e.tagName + '.' + e.getAttribute('class') + ' ' + k + ': drawn ' + a + ', laid out ' + s[k]);
			}
		}
		if (seen === 0) out.add('no drawing in sight');
		return [...out].slice(0, 6); })()`) {
		p.t.Errorf("%s: %s", state, wrong)
	}
}

// TestBarsShowTheirValues: in every place where bars are drawn, what the browser lays
// out with all style sheets stands in the proportion of the values. The values come
// from the command line or from the words beside the bar, never from the drawing.
func TestBarsShowTheirValues(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.sample()
	held := map[string][]float64{} // histogram by joint
	doc := commandLine(t, "examine", "--json", "sample")
	for _, j := range doc["facts_of"].(map[string]any)["binding"].(map[string]any)["skins"].([]any)[0].(map[string]any)["joints"].([]any) {
		j := j.(map[string]any)
		var bins []float64
		for _, n := range j["histogram"].([]any) {
			bins = append(bins, n.(float64))
		}
		held[j["name"].(string)] = bins
	}
	full := func(bins []float64) (out []float64) { // bins that have a bar
		for _, v := range bins {
			if v > 0 {
				out = append(out, v)
			}
		}
		return out
	}
	near := func(what string, got, want, tolerance float64) {
		t.Helper()
		if math.Abs(got-want) > tolerance {
			t.Errorf("%s is %.2f px, want %.2f", what, got, want)
		}
	}
	// proportion holds sizes against values: the largest bar is the measure of the rest.
	proportion := func(what string, sizes, values []float64, tolerance, least float64) {
		t.Helper()
		if len(sizes) != len(values) || len(sizes) == 0 {
			t.Errorf("%s: %d bars for %d values", what, len(sizes), len(values))
			return
		}
		top := 0
		for i, v := range values {
			if v > values[top] {
				top = i
			}
		}
		for i := range sizes {
			near(fmt.Sprintf("%s: bar %d of value %.3g", what, i, values[i]), sizes[i], max(least, sizes[top]*values[i]/values[top]), tolerance)
		}
	}
	logs := func(v []float64) (out []float64) {
		for _, x := range v {
			out = append(out, math.Log10(x))
		}
		return out
	}
	heightsOf := func(b []bar) (out []float64) {
		for _, x := range b {
			out = append(out, x.H)
		}
		return out
	}

	// The joint card: by count, by its logarithm, and back to back.
	p.chooseJoint("upperArm_L")
	arm := full(held["upperArm_L"])
	p.click(`.hist input[value="linear"] + span`)
	proportion("joint card, linear", heightsOf(p.bars(`.hist svg rect.bar`)), arm, 1.3, 1)
	p.unbent("joint card, linear")
	p.click(`.hist input[value="log"] + span`)
	proportion("joint card, log", heightsOf(p.bars(`.hist svg rect.bar`)), logs(arm), 1.3, 1)
	p.shot("bars-joint-card")
	p.click(`.hist input[value="linear"] + span`)
	p.click(`.hist input[value="apart"] + span`)
	var wide []float64
	for _, b := range p.bars(`.hist svg.apart rect.bar`) {
		wide = append(wide, b.W)
	}
	proportion("two joints back to back", wide, arm, .6, 1)
	p.unbent("joint card, back to back")
	p.shot("bars-back-to-back")

	// The list of joints: the small pictures are by the logarithm, of at least 1.5.
	p.pressThe("the button", `[...document.querySelectorAll('#card button')].find((b) => /all joints/i.test(b.textContent))`)
	list := eval[[]string](p, `[...document.querySelectorAll('#card .joints li')].map((r) => r.querySelector('b').textContent)`)
	spark := func(where, row string, names []string) {
		t.Helper()
		looked := 0
		for i, name := range names {
			bins := full(held[name])
			got := p.bars(fmt.Sprintf(`%s:nth-of-type(%d) .spark rect.bar`, row, i+1))
			if len(bins) == 0 || len(got) == 0 || looked > 6 {
				continue
			}
			looked++
			proportion(where+", "+name, heightsOf(got), logs(bins), .3, 1.5*got[0].Scale)
		}
		if looked == 0 {
			t.Errorf("%s: no row has bars", where)
		}
	}
	spark("list of joints", "#card .joints li", list)
	p.unbent("list of joints")
	p.shot("bars-list")

	// The table of joints.
	p.click(`[data-focus="table"]`)
	spark("table of joints", ".joint-rows tbody tr", eval[[]string](p, `[...document.querySelectorAll('.joint-rows tbody tr')].map((r) => r.querySelector('th button').textContent)`))
	p.unbent("table of joints")
	p.shot("bars-joint-table")
	eval[any](p, `document.getElementById('joint-table').close()`)

	// A vertex: a bar beside each weight, on a track of weight 1.
	p.takeClip("wave", 12)
	p.clickVertex(2)
	p.poll("the weights", `document.querySelectorAll('.weights rect.bar').length > 1`)
	weights := p.bars(`.weights rect.bar`)
	says := eval[[]string](p, `[...document.querySelectorAll('.weights rect.bar')].map((e) => e.closest('tr').querySelectorAll('td')[1].textContent)`)
	for i, b := range weights {
		w, err := strconv.ParseFloat(says[i], 64)
		p.must(err)
		near(fmt.Sprintf("vertex: bar of weight %s", says[i]), b.W, 99*w*b.Scale, .5)
	}
	p.unbent("vertex")
	p.shot("bars-vertex")

	// A clip joint by joint: the steps of the legend are as wide as each other.
	eval[any](p, `import('./js/shared/clips.js').then((m) => m.openClip(0))`)
	p.poll("the legend", `document.querySelectorAll('.rows-key rect.bar').length === 10`)
	for _, b := range p.bars(`.rows-key rect.bar`) {
		near("legend of a clip: step "+b.Class, b.W, 17*b.Scale, .3)
		near("legend of a clip: height of step "+b.Class, b.H, 8*b.Scale, .3)
	}
	p.unbent("clip")
	p.shot("bars-clip")

	// The table of who moves whom.
	p.drop(capture(t))
	p.poll("the offer", `document.getElementById('offer').open`)
	p.press(`[data-offer="motion"]`)
	p.poll("the table", `document.querySelectorAll('#match-rows tr').length > 20`)
	fills := p.bars(`#match-rows .fill`)
	says = eval[[]string](p, `[...document.querySelectorAll('#match-rows .fill')].map((e) => e.closest('span').textContent.trim())`)
	if len(fills) < 10 {
		t.Errorf("%d bars in the table of pairs", len(fills))
	}
	for i, b := range fills {
		sure, err := strconv.ParseFloat(says[i], 64)
		p.must(err)
		near("table of pairs: bar of "+says[i], b.W, max(1, 59*sure)*b.Scale, .6)
	}
	p.unbent("table of pairs")
	p.shot("bars-match")
	eval[any](p, `document.getElementById('match').close()`)
	p.clean()
}

// TestBarsOfTheLineUp: while models are examined each row has its bar, of one size, on
// the track that says how much is done.
func TestBarsOfTheLineUp(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	var files []string
	for i := range 3 {
		name := filepath.Join(t.TempDir(), fmt.Sprintf("lamp-%d.glb", i))
		if err := os.WriteFile(name, lamplighter.GLB(lamplighter.Options{Vertices: 4000 + i}), 0o644); err != nil {
			t.Fatal(err)
		}
		files = append(files, name)
	}
	eval[any](p, `globalThis.seenBars = []; new MutationObserver(() => {
		for (const e of document.querySelectorAll('.lined progress')) { const r = e.getBoundingClientRect(); if (r.width > 0) seenBars.push([r.width, r.height, e.position]); }
	}).observe(document.getElementById('lineup'), { subtree: true, childList: true, attributes: true }); 0`)
	p.drop(files...)
	p.linedUp(3)
	seen := eval[[][]float64](p, `seenBars`)
	if len(seen) == 0 {
		t.Fatal("no bar was seen while three models were examined")
	}
	for _, b := range seen {
		if math.Abs(b[0]-140) > .5 || math.Abs(b[1]-7) > .5 {
			t.Errorf("a bar of %.1f × %.1f px, want 140 × 7", b[0], b[1])
			break
		}
	}
	p.settled()
	p.unbent("line-up")
	p.shot("bars-line-up")
	p.clean()
}
