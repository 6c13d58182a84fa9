package e2e

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// stageMove is the move that the stage shows: "flexion 150", or "" for none.
const stageMove = `(() => { const m = stage.state().move; return m.axis && m.axis + ' ' + Math.round(m.degrees * 100) / 100; })()`

// lens takes a lens of the chooser beside the bar.
func (p *tab) lens(name string) {
	p.t.Helper()
	eval[any](p, fmt.Sprintf(`(() => { const s = document.querySelector('select.more'); s.value = %q; s.dispatchEvent(new Event('change', {bubbles: true})); })()`, name))
	p.poll("the lens "+name, fmt.Sprintf(`stage.state().lens === %q`, name))
	p.still()
}

// way takes a way of blending from the strip: linear, dual, both.
func (p *tab) way(name string) {
	p.t.Helper()
	p.press(fmt.Sprintf(`#time input[name="way"][value="%s"]`, name))
	p.still()
}

// apart counts the pixels in which the left and the right half of the picture differ
// plainly, over the place that both hold of the same figure.
func (p *tab) apart() int {
	p.t.Helper()
	return eval[int](p, `(() => { const { rgba, w, h } = stage.pixels(), k = w / innerWidth;
		const a = Math.round(document.querySelector('#ledger').getBoundingClientRect().right * k), b = w - Math.round((innerWidth - document.querySelector('#card').getBoundingClientRect().left) * k);
		const mid = Math.floor((a + b) / 2), half = Math.min(mid - a, b - mid) - 4, top = Math.round((document.querySelector('#view').getBoundingClientRect().bottom + 40) * k), end = Math.round(h * 0.7);
		let n = 0; for (let y = top; y < end; y++) for (let x = 2; x < half; x++) { const i = 4 * (y * w + a + x), j = 4 * (y * w + mid + x);
			if (Math.max(Math.abs(rgba[i] - rgba[j]), Math.abs(rgba[i + 1] - rgba[j + 1]), Math.abs(rgba[i + 2] - rgba[j + 2])) > 24) n++; } return n; })()`)
}

// TestMovePlayer: the card of a joint leads to its moves; the strip plays one, takes
// it through its range by mouse and keyboard, and shows both ways of blending side by
// side; the lenses of the pose have their scales; leaving gives the rest pose back.
func TestMovePlayer(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.sample()
	p.chooseJoint("lowerArm_L")
	p.still()
	rest, _ := p.picture()
	if got := eval[string](p, `document.querySelector('#card .moves').textContent`); !strings.Contains(got, "flexion 150°") || !strings.Contains(got, "rotation −80°") {
		t.Errorf("the card's moves: %s", got)
	}
	p.click(`#card [data-focus="move-flexion-up"]`)
	p.poll("the move", stageMove+` === 'flexion 150'`)
	if got := eval[string](p, `[...document.querySelectorAll('#time input:checked')].map((i) => i.value).join(' ')`); got != "flexion linear" {
		t.Errorf("the strip has %q chosen", got)
	}
	end, _ := p.picture()
	if end == rest {
		t.Error("the end of the range looks like rest")
	}
	if got := eval[string](p, `document.querySelector('#posed').textContent`); got != "Posed: lowerArm_L, flexion 150°, linear blend" {
		t.Errorf("says %q", got)
	}
	p.shot("30-move-day")
	p.axe("move player")

	// The slider, by keys and by hand.
	eval[any](p, `document.querySelector('#time input[type="range"]').focus()`)
	for range 3 {
		p.key(kb.ArrowLeft)
	}
	p.poll("three degrees less", stageMove+` === 'flexion 147'`)
	if after, _ := p.picture(); after == end {
		t.Error("the slider changes no pixel")
	}
	if got := eval[string](p, `document.activeElement.getAttribute('aria-valuetext') + ', ' + document.activeElement.getAttribute('aria-label')`); got != "147 degrees, flexion of lowerArm_L, degrees" {
		t.Errorf("the slider says %q", got)
	}
	eval[any](p, `(() => { const svg = document.querySelector('#time .strip svg'), r = svg.getBoundingClientRect(); const at = { clientX: r.left + 66 + (r.width - 80) * 0.4, clientY: r.top + 20, pointerId: 1, bubbles: true };
		svg.setPointerCapture = () => {}; svg.dispatchEvent(new PointerEvent('pointerdown', at)); })()`)
	p.poll("forty per cent of the range", stageMove+` === 'flexion 60'`)
	eval[any](p, `document.querySelector('#pad').focus()`)
	p.key(".")
	p.poll("five degrees on", stageMove+` === 'flexion 65'`)

	// There and back.
	p.key(" ")
	p.poll("it plays", `stage.state().playing && Math.abs(stage.state().move.degrees - 65) > 4`)
	p.key(" ")
	p.poll("it is held", `!stage.state().playing`)
	p.still()
	held := eval[float64](p, `stage.state().move.degrees`)
	p.still()
	if now := eval[float64](p, `stage.state().move.degrees`); now != held || held < 0 || held > 150 {
		t.Errorf("held at %g, now %g", held, now)
	}

	// Both at once.
	p.click(`#time [data-focus="play"]`)
	p.click(`#time [data-focus="play"]`)
	p.press(`#time input[name="turn-axis"][value="rotation"]`)
	p.poll("the other axis, from rest", stageMove+` === 'rotation 0'`)
	p.press(`#view input[name="pointers"]`) // they are laid by what room there is
	p.way("both")
	alike := p.apart()
	if got := eval[string](p, `(() => { const l = document.querySelector('#ledger').getBoundingClientRect().right, r = document.querySelector('#card').getBoundingClientRect().left, mid = Math.floor((Math.round(l) + Math.round(r)) / 2);
		let same = 0, other = 0; const key = (h) => [h.kind, h.node, h.surface, h.vertex].join();
		for (let y = 200; y < 560; y += 20) for (let x = 20; x < mid - l - 20; x += 20) { const a = stage.pick(Math.round(l) + x, y), b = stage.pick(mid + x, y); if (a.kind !== 'none') key(a) === key(b) ? same++ : other++; }
		return same > 30 && other * 20 < same ? '' : same + ' alike, ' + other + ' not'; })()`); got != "" {
		t.Errorf("what lies under the pixels of both halves: %s", got)
	}
	p.click(`#card [data-focus="move-rotation-up"]`)
	p.still()
	if bent := p.apart(); alike > 300 || bent < 5*alike+100 {
		p.shot("failed-halves")
		t.Errorf("the halves differ in %d pixels at rest, in %d twisted by 80°", alike, bent)
	} else {
		t.Logf("the halves differ in %d pixels at rest, in %d twisted by 80°", alike, bent)
	}
	p.press(`#view input[name="pointers"]`)
	p.still()
	p.shot("31-move-split-day")

	// Lenses of the pose, with their scales.
	p.lens("stretch")
	p.poll("its sentence", `/^Stretch\. Linear blend: 99 % of [\d\u202f]+ triangles up to × 1\.\d\d, the most × [\d.]+\. Dual quaternion: /.test(document.querySelector('#lens .scale p').textContent)`)
	if n := eval[int](p, `document.querySelectorAll('#lens .rampbar .p3, #lens .rampbar .c6').length`); n != 2 {
		t.Errorf("the two-sided scale has %d of its ends", n)
	}
	p.shot("32-move-stretch-split-day")
	p.click(`[data-act="paper"]`)
	p.still()
	p.shot("33-move-stretch-split-night")
	p.axe("split view at night")
	p.way("linear")
	p.chooseJoint("upperLeg_R")
	p.click(`#card [data-focus="move-flexion-up"]`)
	p.still()
	p.shot("34-move-stretch-night")
	p.lens("turned-over")
	p.poll("its sentence", `/^Turned over\. [1-9]\d* of [\d\u202f]+ triangles\.$/.test(document.querySelector('#lens .scale p').textContent) && document.querySelector('#lens .rampbar').textContent === 'turned over'`)
	p.shot("35-move-turned-over-night")
	p.lens("bleed")
	p.poll("its sentence", `document.querySelector('#lens .scale p').textContent.startsWith('Bleed. "upperLeg_R", flexion 120°')`)
	p.click(`[data-act="paper"]`)
	p.still()
	p.shot("36-move-bleed-day")

	// Leaving: the picture from before.
	p.click(`#time [data-focus="leave"]`)
	p.chooseJoint("lowerArm_L")
	p.press(`#lens input[value="influence"]`)
	p.poll("no move", stageMove+` === ''`)
	if after, _ := p.picture(); after != rest {
		p.shot("failed-left-move")
		t.Error("the rest pose is not the picture it was")
	}
	p.clean()
}

// TestBendsFinding: a finding of Bends shows in its own pose, the camera goes to its
// place, and leaving it gives the clip and its moment back.
func TestBendsFinding(t *testing.T) {
	name := planted(t, "bends/tear-along")
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.give(name)
	p.poll("the figure", `document.querySelector('#file-name')?.textContent.includes('broken') && `+doneJS)
	p.takeClip("wave", 12)
	before := eval[[]float64](p, `[stage.state().clip, stage.state().seconds]`)
	eye := eval[[]float64](p, `[stage.state().camera.scale, ...stage.state().camera.target]`)
	p.choose("bends/tear-along")
	want := eval[string](p, `(async () => { const { chosenFinding } = await import('./js/state/desk.js'); const m = chosenFinding().where.move; return m.axis + ' ' + m.degrees; })()`)
	if got := eval[string](p, stageMove); got != want || !strings.HasPrefix(want, "rotation") && !strings.HasPrefix(want, "flexion") {
		t.Errorf("the stage shows %q, the finding %q", got, want)
	}
	if now := eval[[]float64](p, `[stage.state().camera.scale, ...stage.state().camera.target]`); fmt.Sprint(now) == fmt.Sprint(eye) {
		t.Error("the camera stayed")
	}
	p.poll("the lens of what is drawn along", `stage.state().lens === 'bleed' && document.querySelector('#lens .scale p').textContent.includes('6 vertices')`)
	p.still()
	p.shot("37-bends-finding-day")
	p.axe("a finding of Bends")
	// Its angle stands in the strip; turned by hand, it still goes back.
	eval[any](p, `document.querySelector('#time input[type="range"]').focus()`)
	p.key(kb.Home)
	p.still()
	eval[any](p, `document.querySelector('#pad').focus()`)
	p.key("\x1b")
	p.poll("the clip again", stageMove+` === '' && stage.state().clip >= 0`)
	if now := eval[[]float64](p, `[stage.state().clip, stage.state().seconds]`); fmt.Sprint(now) != fmt.Sprint(before) {
		t.Errorf("clip and time are %v, were %v", now, before)
	}
	// From one finding of Bends to the next, and away to one of another station.
	p.choose("bends/tear-along")
	p.choose("binding/stray-island")
	if got := eval[string](p, stageMove); got != "" {
		t.Errorf("a stray island shows in the move %q", got)
	}
	p.clean()
}

// TestMoveOnAPhone: the player in narrow windows.
func TestMoveOnAPhone(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 390, 844)
	p.sample()
	p.chooseJoint("lowerArm_L")
	p.click(`#card [data-focus="move-flexion-up"]`)
	p.pressThe("the button", `[...document.querySelectorAll('#tabs button')].find((b) => /time/i.test(b.textContent))`)
	p.way("both")
	p.shot("38-move-phone")
	if w := eval[int](p, `document.documentElement.scrollWidth`); w > 390 {
		t.Errorf("the page is %d pixels wide on a screen of 390", w)
	}
	p.axe("move player on a phone")
	for _, w := range []int64{340, 900, 1100} {
		p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(w, 760)))
		p.still()
		p.shot(fmt.Sprintf("39-move-%d", w))
		if over := eval[string](p, `[...document.querySelectorAll('#time header > *')].filter((e) => { const r = e.getBoundingClientRect(), c = document.querySelector('#time').getBoundingClientRect(); return r.width > 0 && getComputedStyle(e).position !== 'absolute' && (r.right > c.right + 0.5 || r.bottom > c.bottom + 0.5); }).map((e) => e.textContent).join(', ')`); over != "" {
			t.Errorf("at %d pixels these stand out of the strip: %s", w, over)
		}
	}
	p.clean()
}

// TestSamePixelsOfAMove: the stage's picture of a move is the command line's, byte by
// byte, whole and split, with the lens of the pose.
func TestSamePixelsOfAMove(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1000, 700)
	p.sample()
	joint := eval[int](p, `(async () => { const { desk } = await import('./js/state/desk.js'); return desk.figure.joints.find((j) => j.name === 'upperLeg_R').node; })()`)
	for _, row := range []struct {
		name, set string
		args      []string
	}{
		{"stretch", `lens: 'stretch', split: false`, []string{"--lens", "stretch"}},
		{"split", `lens: 'stretch', split: true`, []string{"--lens", "stretch", "--split"}},
		{"turned over", `lens: 'turned-over', split: false, method: 'dual'`, []string{"--lens", "turned-over", "--method", "dual"}},
	} {
		state := fmt.Sprintf(`{inset: [0, 0, 0, 0], bones: true, pointers: false, loupe: false, staff: true, playing: false, method: 'linear',
			chosen: {kind: 'joint', node: %d}, joint: %d, move: {joint: %d, axis: 'flexion', degrees: 75}, %s}`, joint, joint, joint, row.set)
		// The side seen is told to the page, which then sets what it holds: the side first.
		eval[any](p, `stage.set(`+state+`); stage.set({from: 'left'}); stage.set({from: 'front'})`)
		p.still()
		eval[any](p, `stage.set(`+state+`)`)
		p.still()
		got := eval[string](p, `(async () => { const { rgba, w, h } = stage.pixels(); const d = await crypto.subtle.digest('SHA-256', rgba.slice().buffer); return w + 'x' + h + ' ' + [...new Uint8Array(d)].map((b) => b.toString(16).padStart(2, '0')).join(''); })()`)
		name := filepath.Join(t.TempDir(), "p.png")
		runCommand(t, append([]string{"picture", "sample", "--out", name, "--size", "1000x700", "--no-pointers", "--from", "front", "--move", "upperLeg_R", "--axis", "flexion", "--degrees", "75"}, row.args...)...)
		sum := sha256.Sum256(pixelsOf(t, name))
		if want := "1000x700 " + hex.EncodeToString(sum[:]); got != want {
			p.shot("failed-same-pixels-" + row.name)
			t.Errorf("%s: the page's picture is %s, the command line's %s", row.name, got, want)
		}
	}
	p.clean()
}
