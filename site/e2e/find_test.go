package e2e

import (
	"bytes"
	"image/png"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestFind: one search leads by keys alone to a finding, a joint, a clip and what a shortcut
// does. A finding is copied as words, the stage saved as a picture.
func TestFind(t *testing.T) {
	dir := t.TempDir()
	figure := toMend(t, dir)
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.drop(figure)
	p.poll("the figure", doneJS)
	seek := func(words string) {
		t.Helper()
		eval[any](p, `document.getElementById('pad').focus(); document.getElementById('pad').dispatchEvent(new KeyboardEvent('keydown', {key: 'f', bubbles: true, cancelable: true})); 0`) // a driver's key types its letter too
		p.poll("the search", `document.getElementById('find').open && document.activeElement.id === 'find-text'`)
		p.must(chromedp.Do(p.ctx, chromedp.SendKeys("#find-text", words)))
	}
	seek("far from")
	p.poll("a finding", `document.querySelectorAll('#find-list > li').length === 1`)
	p.shot("73-find")
	p.axe("the search")
	p.key("\r")
	p.poll("its card", `!document.getElementById('find').open && document.querySelector('#card h2').textContent === 'Weight far from joint'`)
	eval[any](p, `window.copied = ''; navigator.clipboard.writeText = async (s) => { window.copied = s; }; 0`)
	p.press(`#card [data-focus="as-text"]`)
	p.poll("copied", `window.copied !== ''`)
	got := strings.ReplaceAll(eval[string](p, `window.copied`), "\u00a0", " ")
	for _, want := range []string{"Flaw ", ": Weight far from joint, 7.21 × the bone (limit 2 × the bone)\n", `"lowerArm_L" on 6 vertices, in lamp.glb`, "\n1. Choose the named vertices", "Limit: common practice, no source."} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in %q", want, got)
		}
	}
	seek("upperleg")
	p.poll("two joints and what names them", `document.querySelectorAll('#find-list > li').length >= 2`)
	eval[any](p, `document.getElementById('find-text').dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowDown', bubbles: true, cancelable: true})); 0`)
	second := eval[string](p, `document.querySelector('#find-list > [aria-selected="true"] b').textContent`)
	if n := eval[int](p, `[...document.querySelectorAll('#find-list > li')].findIndex((l) => l.getAttribute('aria-selected') === 'true')`); n != 1 {
		t.Errorf("the arrow chose %d", n)
	}
	p.key("\r")
	p.poll("that joint", `document.querySelector('#card h2').textContent === `+"`"+second+"`")
	seek("stroll")
	p.poll("a clip", `document.querySelector('#find-list .kind')?.textContent === 'Clip'`)
	p.key("\r")
	p.poll("its card", `document.querySelector('#card').dataset.face === 'clip'`)
	seek("picture of the stage")
	p.key("\r")
	picture := p.file()
	img, err := png.Decode(bytes.NewReader(picture.data))
	if err != nil || picture.name != "lamp.png" || img.Bounds().Dx() < 500 {
		t.Errorf("%s, %v", picture.name, err)
	}
	colours := map[[3]uint32]bool{}
	for y := 0; y < img.Bounds().Dy(); y += 3 {
		for x := 0; x < img.Bounds().Dx(); x += 3 {
			r, g, b, _ := img.At(x, y).RGBA()
			colours[[3]uint32{r, g, b}] = true
		}
	}
	if len(colours) < 50 {
		t.Errorf("the picture has %d colours", len(colours))
	}
	seek("zzzz")
	p.poll("nothing", `document.getElementById('find-says').textContent === 'Nothing has that name.'`)
	p.key("\r")
	if !eval[bool](p, `document.getElementById('find').open`) {
		t.Error("Enter took what was not found")
	}
	p.key("\u001b")
	p.poll("closed", `!document.getElementById('find').open`)
	p.clean()
}
