package e2e

import (
	"slices"
	"strings"
	"testing"
)

// realGPU makes the page take the machine's WebGL, which the processor draws here, for a
// graphics processor's.
const realGPU = `{ const ask = WebGL2RenderingContext.prototype.getParameter; WebGL2RenderingContext.prototype.getParameter = function (k) { const v = ask.call(this, k); return typeof v === 'string' && /swiftshader|llvmpipe|software/i.test(v) ? 'A graphics processor' : v; }; }`

// files are the names of what the server was asked for, in order, without the page itself.
func (s *site) files() (list []string) {
	for _, p := range s.asked() {
		list = append(list, p[strings.LastIndex(p, "/")+1:])
	}
	return list
}

// TestFewRequests: from the address to the sample's picture a browser asks for twelve files
// at most, each once (manifest and icon, which it asks for by itself to offer the page as an
// app, are not waited for and not counted); the other presenter's program is none of them where no graphics
// processor answers, and after the load nothing is asked for.
func TestFewRequests(t *testing.T) {
	s := serve(t, false)
	p := start(t, s.URL+"#sample", 1280, 800)
	p.poll("the sample", readyJS+` && `+doneJS)
	p.poll("the end of the load", `document.body.dataset.ready === 'true'`)
	list := s.files()
	needed := slices.DeleteFunc(slices.Clone(list), func(f string) bool { return f == "manifest.webmanifest" || f == "icon.svg" })
	if n := len(needed); n > 12 {
		t.Errorf("%d requests: %q", n, list)
	}
	for i, f := range list {
		if slices.Contains(list[:i], f) {
			t.Errorf("%q is asked for twice: %q", f, list)
		}
	}
	if !slices.Contains(list, "stage.wasm") || slices.Contains(list, "gpu.wasm") {
		t.Errorf("without a graphics processor it asks for %q", list)
	}
	if !eval[bool](p, `stage.state().plain`) {
		t.Error("the plain stage does not present")
	}
	p.quiet()
	p.give(real(t))
	p.poll("the dropped figure", `document.querySelector('#file-name')?.textContent.includes('hand_left') && `+doneJS)
	if a := append(p.asked(), s.files()...); len(a) > 0 {
		t.Errorf("after the load it asks for %q", a)
	}
	p.clean()
}

// TestGraphicsProcessorsStage: where a graphics processor answers, Ebitengine's program
// comes behind all else, presents at once where nothing is shown yet, and else from the
// next figure on. That belongs to the load: nothing is asked for after it.
func TestGraphicsProcessorsStage(t *testing.T) {
	loaded := `document.body.dataset.ready === 'true'`
	t.Run("first page", func(t *testing.T) {
		s := serve(t, false)
		p := startWith(t, s.URL, 1280, 800, realGPU)
		p.poll("the end of the load", loaded)
		list := s.files()
		if at := slices.Index(list, "gpu.wasm"); at < 0 || at < slices.Index(list, "stage.wasm") || at < slices.Index(list, "examiner.wasm") || at < slices.Index(list, "worker.js") {
			t.Errorf("asked for in this order: %q", list)
		}
		p.poll("Ebitengine", `globalThis.stage && !stage.state().plain`)
		p.quiet()
		p.sample()
		if eval[bool](p, `stage.state().plain`) || eval[int](p, `document.querySelectorAll('body > canvas').length`) != 1 {
			t.Error("Ebitengine alone does not present")
		}
		if a := append(p.asked(), s.files()...); len(a) > 0 {
			t.Errorf("after the load it asks for %q", a)
		}
		p.clean()
	})
	t.Run("a figure is shown", func(t *testing.T) {
		s := serve(t, false)
		s.holds = "gpu.wasm"
		p := startWith(t, s.URL+"#sample", 1280, 800, realGPU)
		p.poll("the sample", readyJS+` && `+doneJS)
		s.let()
		p.poll("the end of the load", loaded)
		if !eval[bool](p, `stage.state().plain`) {
			t.Error("the picture was taken away while it was looked at")
		}
		before, _ := p.picture()
		p.give(real(t))
		p.poll("the dropped figure", `document.querySelector('#file-name')?.textContent.includes('hand_left') && globalThis.stage && `+doneJS)
		if eval[bool](p, `stage.state().plain`) {
			t.Error("the next figure is not Ebitengine's")
		}
		if after, colours := p.picture(); after == before || colours < 50 {
			t.Errorf("the next figure's picture: %s of %d colours, before it %s", after, colours, before)
		}
		p.clean()
	})
	t.Run("it cannot start", func(t *testing.T) {
		s := serve(t, false)
		// The first WebGL is the page's own look; Ebitengine gets none.
		p := startWith(t, s.URL, 1280, 800, realGPU, `{ const get = HTMLCanvasElement.prototype.getContext; HTMLCanvasElement.prototype.getContext = function (kind, ...more) { return this.isConnected && /webgl/.test(kind) ? null : get.call(this, kind, ...more); }; }`)
		p.poll("the end of the load", loaded)
		p.poll("the plain presenter", `globalThis.stage && stage.state().plain`)
		p.sample()
		if _, colours := p.picture(); colours < 50 {
			t.Errorf("%d colours", colours)
		}
		if n := eval[int](p, `document.querySelectorAll('body > canvas').length`); n != 1 {
			t.Errorf("%d canvases, want 1", n)
		}
	})
}

// TestAtRest: with nothing to draw neither presenter asks for a frame, and either comes back
// at once when something is asked for, also by a window of another size.
func TestAtRest(t *testing.T) {
	for _, presenter := range []string{"plain", "ebiten"} {
		t.Run(presenter, func(t *testing.T) {
			p := startWith(t, serve(t, false).URL+"?present="+presenter, 1280, 800,
				`globalThis.framesAsked = 0; { const ask = requestAnimationFrame; globalThis.requestAnimationFrame = (f) => { framesAsked++; return ask(f); }; }`)
			p.poll("the page", readyJS+` && document.body.dataset.ready === 'true'`)
			p.sample()
			p.still()
			const within = `new Promise((done) => { const n = framesAsked; setTimeout(() => done(framesAsked - n), 1500); })`
			rest := func(when string) {
				t.Helper()
				p.poll(when+" at rest", within+`.then((n) => n === 0)`)
			}
			rest("opened")
			for _, row := range []struct {
				what, do, seen string
				plays          bool
			}{
				{"a turn", `stage.turn(40, 10)`, `stage.state().frames > was`, false},
				{"another size", `dispatchEvent(new Event('resize'))`, `stage.state().fine`, false},
				{"a clip", `stage.set({ clip: 0, playing: true })`, `stage.state().frames > was + 5`, true},
				{"a clip held", `stage.set({ playing: false })`, `stage.state().frames > was`, false},
			} {
				eval[any](p, `globalThis.was = stage.state().frames; `+row.do+`; 0`)
				p.poll(row.what, row.seen)
				if !row.plays {
					p.still()
					rest(row.what)
				}
			}
			if eval[int](p, `stage.state().uploads`) == 0 {
				t.Error("nothing was shown")
			}
			p.clean()
		})
	}
}
