package e2e

import (
	"encoding/base64"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// picks makes the picker answer with a file the next time it opens, as a person would.
func (p *tab) picks(path string) {
	p.t.Helper()
	data, err := os.ReadFile(path)
	p.must(err)
	eval[any](p, fmt.Sprintf(`document.getElementById('picker').addEventListener('click', (e) => {
		e.preventDefault();
		const box = new DataTransfer(), picker = e.target;
		box.items.add(new File([Uint8Array.from(atob(%q), (c) => c.charCodeAt(0))], %q));
		picker.files = box.files;
		picker.dispatchEvent(new Event('change'));
	}, {once: true}); 0`, base64.StdEncoding.EncodeToString(data), filepath.Base(path)))
}

// TestMotionAsked: a second file as motion for the open figure by a button, by a key and
// on a phone, in a target of 44 px (WCAG 2.2, 2.5.5); what cannot be motion is said, and
// the table of pairs is that of a drop.
func TestMotionAsked(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	figure, walk := lamp(t), capture(t)
	p.drop(figure)
	p.poll("the figure", doneJS)
	state := `document.querySelector('#state').textContent`
	p.poll("the state line at rest", `import('./js/state/rooms.js').then(({ rooms }) => !rooms.head.waiting)`) // it speaks once a second
	rest := eval[string](p, state)
	matched := func(how string) {
		t.Helper()
		p.poll("the table, "+how, `document.getElementById('match').open && document.querySelectorAll('#match-rows tr').length > 20`)
		if got := eval[string](p, `document.getElementById('match-facts').textContent`); !strings.Contains(got, "clip, 1.2 s in all") {
			t.Errorf("%s: %s", how, got)
		}
		p.poll("the state line at rest", state+` === `+fmt.Sprintf("%q", rest))
		eval[any](p, `document.getElementById('match').close(); 0`)
	}
	p.picks(walk)
	p.click(`#motion-head`)
	matched("button")
	p.picks(walk)
	eval[any](p, `document.getElementById('pad').focus(); 0`)
	p.key("m")
	matched("key")
	if got := eval[string](p, `document.getElementById('keys-body').textContent`); !strings.Contains(got, "motion from a second file") {
		t.Error("the list of shortcuts does not name it")
	}

	// What cannot move it is said in words.
	wrong := filepath.Join(t.TempDir(), "walk.fbx")
	write(t, wrong, []byte("Kaydara"))
	p.picks(wrong)
	p.key("m")
	p.poll("the words", state+`.includes('cannot be read here: only glTF 2.0 and BVH can')`)
	picture := filepath.Join(t.TempDir(), "walk.glb")
	write(t, picture, []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"))
	p.picks(picture)
	p.key("m")
	p.poll("the words", state+`.includes('this is a PNG picture')`)

	// On a phone, in two sheets.
	p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(2))))
	for _, sheet := range []string{"time", "file"} {
		p.press(`#tabs [data-tab="` + sheet + `"]`)
		button := map[string]string{"time": `#time`, "file": `#file-sheet`}[sheet] + ` [data-act="motion"]`
		p.poll("the sheet", `document.querySelector('`+button+`')?.getBoundingClientRect().width > 0`)
		if size := eval[[]float64](p, `(() => { const r = document.querySelector('`+button+`').getBoundingClientRect(); return [r.width, r.height]; })()`); size[0] < 44 || size[1] < 44 {
			t.Errorf("%s: %v px", sheet, size)
		}
		p.shot("22-motion-" + sheet)
		p.picks(walk)
		p.click(button)
		matched("phone, " + sheet)
	}
	p.clean()
}

// TestRefusedKeeps: after a file that cannot be read, and while it is read, the figure on
// the desk answers as before: its curves, its files, its place in the line-up. It fails
// where its worker is ended when another file comes.
func TestRefusedKeeps(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.drop(lamp(t))
	p.poll("the figure", doneJS)
	broken := filepath.Join(t.TempDir(), "hero.glb")
	write(t, broken, []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"))
	p.give(broken)
	p.poll("the notice", `!document.querySelector('#notice').hidden && document.querySelector('#notice').classList.contains('err')`)
	if text := eval[string](p, `document.querySelector('#notice').textContent`); !strings.Contains(text, "this is a PNG picture") || !strings.Contains(text, "still here") {
		t.Errorf("the notice says %s", text)
	}
	p.shot("23-refused-keeps")
	// Another question makes the notice go.
	p.picks(capture(t))
	p.press(`#motion-head`)
	p.poll("the table", `document.getElementById('match').open && document.querySelectorAll('#match-rows tr').length > 20`)
	if !eval[bool](p, `document.querySelector('#notice').hidden`) {
		t.Error("the notice of the refused file stays")
	}
	p.press(`#carry-over`)
	p.poll("the clip", `document.querySelector('#state').textContent.includes('carried over')`)
	if got := eval[int](p, `stage.state().clip`); got < 0 {
		t.Errorf("the stage shows clip %d", got)
	}
	p.clean()
}

// TestNoticeGoes: a notice whose cause is gone goes too: closed, the state line says what
// it said of the figure; the missing file added, or another opened, nothing is left of it.
func TestNoticeGoes(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	state := `document.querySelector('#state').textContent`
	shown := `!document.querySelector('#notice').hidden`
	dir := t.TempDir()
	foreign, empty, gltf, bin := filepath.Join(dir, "a.fbx"), filepath.Join(dir, "empty.glb"), filepath.Join(dir, "simple.gltf"), filepath.Join(dir, "simple.bin")
	write(t, foreign, []byte("x"))
	write(t, empty, nil)
	p.drop(foreign)
	p.poll("the words", `document.querySelector('#drop-says').textContent.includes('a.fbx')`)
	p.drop(empty)
	p.poll("the notice", shown)
	if got := eval[string](p, `document.querySelector('#drop-says').textContent`); got != "" {
		t.Errorf("the first page still says %q", got)
	}

	// One triangle, its numbers in a file of their own.
	write(t, gltf, []byte(`{"asset":{"version":"2.0"},"scenes":[{"nodes":[0]}],"scene":0,"nodes":[{"mesh":0}],"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],"buffers":[{"uri":"simple.bin","byteLength":36}],"bufferViews":[{"buffer":0,"byteLength":36}],"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[0,0,0]}]}`))
	write(t, bin, make([]byte, 36))
	p.drop(gltf)
	p.poll("the missing file", shown+` && document.querySelector('#notice').dataset.kind === 'missing'`)
	p.drop(bin)
	p.poll("the figure", doneJS)
	if eval[bool](p, shown) {
		t.Error("the notice of the missing file stays")
	}
	rest := eval[string](p, state)
	p.give(empty)
	p.poll("the notice", shown)
	p.pressThe("the way out", `[...document.querySelectorAll('#notice button')].at(-1)`)
	p.poll("the state line at rest", state+` === `+fmt.Sprintf("%q", rest))

	// A second one that lacks a file: what is held for it is not the open figure's.
	other := filepath.Join(dir, "other.gltf")
	write(t, other, []byte(`{"asset":{"version":"2.0"},"nodes":[{"mesh":0}],"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],"buffers":[{"uri":"other.bin","byteLength":36}],"bufferViews":[{"buffer":0,"byteLength":36}],"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3"}]}`))
	p.give(other)
	p.poll("the missing file", shown+` && document.querySelector('#notice').dataset.kind === 'missing'`)
	p.press(`.acts [data-act="reread"]`)
	p.poll("the open figure again", `document.querySelector('#file-name').textContent === 'simple.gltf' && `+doneJS+` && document.querySelector('#notice').hidden`)
	p.clean()
}
