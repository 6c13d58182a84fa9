package e2e

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// brokenJS answers what cannot be read as the page stands: words that break over lines
// inside themselves, texts that are cut where nothing says the rest, and texts that lie
// over each other. Only what is seen counts: what is hidden, scrolled out of its own box
// or covered on purpose is left out.
const brokenJS = `(() => {
	const out = [];
	const seen = (e) => e.checkVisibility({ opacityProperty: true, visibilityProperty: true, contentVisibilityAuto: true }) && !e.closest('.vh, [aria-hidden="true"], .veil, .skip, canvas');
	const name = (e) => { let s = e.tagName.toLowerCase(); if (e.id) s += '#' + e.id; else if (e.className && typeof e.className === 'string') s += '.' + e.className.trim().split(/\s+/).join('.'); return s; };
	// The part of the window in which a box is shown: what its scrolling and cutting ancestors leave of it.
	const window_ = (e) => { let b = { left: 0, top: 0, right: innerWidth, bottom: innerHeight };
		for (let p = e; p; p = p.parentElement) { const c = getComputedStyle(p); if (p !== e && (c.overflowX !== 'visible' || c.overflowY !== 'visible')) { const r = p.getBoundingClientRect(); b = { left: Math.max(b.left, r.left), top: Math.max(b.top, r.top), right: Math.min(b.right, r.right), bottom: Math.min(b.bottom, r.bottom) }; } if (c.position === 'fixed') break; }
		return b; };
	const texts = [];
	const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	for (let n = walk.nextNode(); n; n = walk.nextNode()) {
		const e = n.parentElement;
		if (!n.data.trim() || !seen(e) || /^(SCRIPT|STYLE|OPTION|NOSCRIPT|TITLE)$/.test(e.tagName)) continue;
		const range = document.createRange(), free = window_(e);
		const inside = (r) => r.width > 0 && r.left < free.right - 1 && r.right > free.left + 1 && r.top < free.bottom - 1 && r.bottom > free.top + 1;
		// A word that stands on two lines without a hyphen, a space or a mark to break at.
		if (!e.closest('svg')) for (const m of n.data.matchAll(/[\p{L}\p{N}]{2,}/gu)) {
			range.setStart(n, m.index); range.setEnd(n, m.index + m[0].length);
			const tops = [...range.getClientRects()].filter(inside).map((r) => Math.round(r.top));
			if (new Set(tops).size > 1 && Math.max(...tops) - Math.min(...tops) > 6) out.push('broken: ' + JSON.stringify(m[0]) + ' in ' + name(e));
		}
		range.selectNodeContents(n);
		const boxes = [...range.getClientRects()].filter(inside);
		if (boxes.length) texts.push({ e, text: n.data.trim().slice(0, 40), boxes, layer: layerOf(e) });
		// Cut at the side: wider than the box that hides it, with no title, tip or card that says the rest.
		for (let p = e, k = 0; p && k < 3; p = p.parentElement, k++) {
			const c = getComputedStyle(p);
			if (c.overflowX !== 'hidden' && c.overflowX !== 'clip' || p.scrollWidth <= p.clientWidth + 1) continue;
			if (!e.closest('[title], [data-tip], [data-full], button, summary, a, option, [tabindex]')) out.push('cut: ' + JSON.stringify(n.data.trim().slice(0, 40)) + ' in ' + name(p));
			break;
		}
	}
	function layerOf(e) { return e.closest('dialog, #notice, .tip, .tabs, .head') ?? document.body; }
	// One over the other. Sheets that lie over the stage on purpose are opaque and are compared by what is on top.
	for (let i = 0; i < texts.length; i++) for (let k = i + 1; k < texts.length; k++) {
		const a = texts[i], b = texts[k];
		if (a.e === b.e || a.e.contains(b.e) || b.e.contains(a.e) || a.layer !== b.layer || a.e.closest('svg') && a.e.closest('svg') === b.e.closest('svg')) continue;
		for (const r of a.boxes) for (const q of b.boxes) {
			const w = Math.min(r.right, q.right) - Math.max(r.left, q.left), h = Math.min(r.bottom, q.bottom) - Math.max(r.top, q.top);
			if (w > 3 && h > 0.45 * Math.min(r.height, q.height)) {
				const x = Math.max(r.left, q.left) + w / 2, y = Math.max(r.top, q.top) + h / 2, top = document.elementsFromPoint(x, y);
				if (top.includes(a.e) && top.includes(b.e)) out.push('over each other: ' + JSON.stringify(a.text) + ' and ' + JSON.stringify(b.text));
			}
		}
	}
	// Nothing is wider than the window.
	if (document.documentElement.scrollWidth > innerWidth + 1) out.push('wider than the window: ' + document.documentElement.scrollWidth);
	return JSON.stringify([...new Set(out)].slice(0, 12));
})()`

// broken answers what brokenJS finds.
func (p *tab) broken() (out []string) {
	p.t.Helper()
	if err := json.Unmarshal([]byte(eval[string](p, brokenJS)), &out); err != nil {
		p.t.Fatal(err)
	}
	return out
}

// TestWidths: from a phone to a wide screen, and at 200 % zoom (half the width, twice the
// ratio), every part of the page can be read.
func TestWidths(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	sizes := []struct {
		w, h  int64
		ratio float64
	}{{360, 740, 2}, {820, 1180, 1}, {900, 700, 1}, {1024, 768, 1}, {1100, 800, 1}, {1280, 800, 1}, {1440, 900, 1}, {2560, 1440, 1}, {720, 450, 2}, {640, 400, 2}}
	at := func(part string) {
		t.Helper()
		for _, s := range sizes {
			p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(s.w, s.h, chromedp.EmulateScale(s.ratio))))
			eval[any](p, `new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))`)
			for _, b := range p.broken() {
				t.Errorf("%s at %d×%d: %s", part, s.w, s.h, b)
			}
			if sheet := eval[float64](p, `Math.max(0, ...[...document.querySelectorAll('.card')].filter((c) => c.offsetWidth).map((c) => c.offsetHeight))`); part != "first" && sheet < 140 {
				t.Errorf("%s at %d×%d: the tallest sheet has %.0f px", part, s.w, s.h, sheet)
			}
			p.shot(fmt.Sprintf("width-%s-%d", strings.ReplaceAll(part, " ", "-"), s.w))
		}
		p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(1440, 900)))
	}
	at("first")
	p.sample()
	at("sample")
	p.press(`#ledger .find`)
	at("finding")
	p.chooseJoint("upperArm_L")
	at("joint")
	p.press(`[data-act="lineup"]`)
	at("line-up")
	p.press(`[data-act="lineup"]`)
	for _, d := range []string{"help", "vow", "checks"} {
		p.press(fmt.Sprintf(`[data-act=%q]`, d))
		at(d)
		eval[any](p, `document.querySelector('dialog[open]')?.close()`)
	}
}
