package e2e

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// sample opens the built-in figure by its button and waits until it is examined.
func (p *tab) sample() {
	p.t.Helper()
	p.click(`#first [data-act="sample"]`)
	p.poll("the sample", doneJS)
}

// picture answers a sum over the stage's own pixels once they are refined, and how
// many colours they hold.
func (p *tab) picture() (sum string, colours int) {
	p.t.Helper()
	p.still()
	got := eval[string](p, `(() => { const { rgba, w, h } = stage.pixels(); const seen = new Set(); const v = new Uint32Array(rgba.buffer, rgba.byteOffset, w * h);
		let a = 2166136261; for (let i = 0; i < v.length; i++) { a = Math.imul(a ^ v[i], 16777619); if (i % 7 === 0) seen.add(v[i]); } return (a >>> 0).toString(16) + ' ' + seen.size; })()`)
	sum, rest, _ := strings.Cut(got, " ")
	if _, err := fmt.Sscan(rest, &colours); err != nil {
		p.t.Fatal(err)
	}
	return sum, colours
}

// still waits until what was asked for is drawn and refined: no worker owes an answer, and
// the picture stays the same one for a fifth of a second.
func (p *tab) still() {
	p.t.Helper()
	p.poll("a still picture", `asksOpen.size === 0 && new Promise((done) => { const n = stage.state().frames; setTimeout(() => { const s = stage.state(); done(s.fine && !s.moving && s.frames === n && asksOpen.size === 0); }, 200); })`)
}

// settled waits until nothing of the page moves any more: for a picture of it.
func (p *tab) settled() {
	p.t.Helper()
	p.poll("the end of all movement", `document.fonts.status === 'loaded' && document.getAnimations().every((a) => a.playState !== 'running') && new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(() => r(true))))`)
}

// TestSample: one button from the first page to a figure that is examined, drawn
// and answers; the picture differs by lens, joint and time.
func TestSample(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.shot("01-first")
	p.sample()
	p.settled()
	p.shot("02-sample-day")

	seen := map[string]string{}
	differs := func(name string) {
		t.Helper()
		sum, colours := p.picture()
		if colours < 50 {
			t.Errorf("%s: the picture holds %d colours: blank?", name, colours)
		}
		if other, twice := seen[sum]; twice && !(name == "lens-mirror-weights" && other == "lens-mirror-surface") { // the clean sample: nothing differs
			t.Errorf("%s shows the same picture as %s", name, other)
		}
		seen[sum] = name
		p.shot("03-" + name)
	}
	for _, lens := range eval[[]string](p, `[...stage.lenses]`) {
		if lens == "influence" || lens == "stretch" || lens == "turned-over" { // those of the pose show nothing at rest: TestMovePlayer
			continue
		}
		p.click(fmt.Sprintf(`#lens input[value=%q] + span`, lens))
		differs("lens-" + lens)
	}
	for _, joint := range []string{"head", "upperArm_L", "lowerArm_R"} {
		p.chooseJoint(joint)
		differs("joint-" + joint)
	}
	for _, at := range []float64{0.4, 0.8, 1.3} {
		eval[any](p, fmt.Sprintf(`stage.set({clip: 1, seconds: %v, playing: false})`, at))
		differs(fmt.Sprintf("wave-%.1f", at))
	}
	p.click(`[data-act="paper"]`)
	differs("night")
	p.clean()
}

// chooseJoint takes a joint from the list of the card, by its name.
func (p *tab) chooseJoint(name string) {
	p.t.Helper()
	p.poll("the card of "+name, fmt.Sprintf(`(() => {
		if (document.querySelector('#h-card')?.textContent === %[1]q) return true;
		const rows = [...document.querySelectorAll('.joints button')];
		(rows.find((b) => b.querySelector('b')?.textContent === %[1]q) ?? [...document.querySelectorAll('#card button')].find((b) => /all joints/i.test(b.textContent)))?.click();
		return document.querySelector('#h-card')?.textContent === %[1]q; })()`, name))
}

// TestNumbersAreTheCommandLines: the histogram on the page, read from its table,
// is the command line's, for the sample and for a real figure dropped on the page.
func TestNumbersAreTheCommandLines(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.sample()
	p.sameHistograms(commandLine(t, "examine", "--json", "sample"), []string{"upperArm_L", "spine", "toes_R"})

	name := real(t)
	p.give(name)
	p.poll("the dropped figure", `document.querySelector('#file-name')?.textContent.includes('hand_left') && `+doneJS)
	p.settled()
	p.shot("04-real-figure")
	p.sameHistograms(commandLine(t, "examine", "--json", "--fail-on", "never", name), []string{"wrist", "index-finger-phalanx-proximal"})
	p.shot("05-real-joint")
	p.clean()
}

func (p *tab) sameHistograms(doc map[string]any, names []string) {
	p.t.Helper()
	want := map[string][]any{}
	skins := doc["facts_of"].(map[string]any)["binding"].(map[string]any)["skins"].([]any)
	for _, s := range skins {
		for _, j := range s.(map[string]any)["joints"].([]any) {
			j := j.(map[string]any)
			want[j["name"].(string)] = j["histogram"].([]any)
		}
	}
	for _, name := range names {
		p.chooseJoint(name)
		got := eval[[]float64](p, `[...document.querySelectorAll('.hist table tbody tr')].map((r) => Number(r.querySelector('td').textContent.replace(/[^0-9]/g, '')))`)
		if len(got) != 10 || len(want[name]) != 10 {
			p.t.Errorf("%s: %d bins on the page, %d on the command line", name, len(got), len(want[name]))
			continue
		}
		for i := range got {
			if got[i] != want[name][i].(float64) {
				p.t.Errorf("%s, bin %d: %v on the page, %v on the command line", name, i, got[i], want[name][i])
			}
		}
	}
}

// TestQuietAfterLoad: with everything loaded, opening the sample, a real file, a
// second file and stopping cause no request at all, by three nets: the server's
// log, the browser's own events, and the policy, which is shown to hold.
func TestQuietAfterLoad(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1280, 800)
	p.poll("all that is loaded", `document.fonts.status === 'loaded'`)
	p.settled()
	s.asked()
	p.quiet()
	for range 2 { // the sample's picture on the other paper is here already
		p.click(`[data-act="paper"]`)
		p.settled()
	}
	p.sample()
	p.give(real(t))
	p.poll("the dropped figure", `document.querySelector('#file-name')?.textContent.includes('hand_left') && `+doneJS)
	p.click(`[data-act="paper"]`)
	p.key("?")
	p.still()
	if a := s.asked(); len(a) > 0 {
		t.Errorf("the server was asked for %q", a)
	}
	if a := p.asked(); len(a) > 0 {
		t.Errorf("the browser asked for %q", a)
	}
	p.clean()
	refused := eval[bool](p, `fetch('http://127.0.0.1:9/').then(() => false, () => true)`)
	if f := eval[[]string](p, faultsJS); !refused || len(f) != 1 || !strings.HasPrefix(f[0], "policy: connect-src") {
		t.Errorf("a request to another place was not stopped by the policy: %q", f)
	}
}

// TestStopKeepsWhatWasFound: Stop ends the examination of a large figure; the page
// answers all the while, and what was found stays.
func TestStopKeepsWhatWasFound(t *testing.T) {
	s := serve(t, false)
	big := filepath.Join(t.TempDir(), "big.glb")
	runCommand(t, "sample", "--vertices", "1000000", "--out", big)
	p := open(t, s.URL+"?present=plain", 1280, 800)
	p.give(big)
	p.poll("the examination", `document.body.dataset.phase === 'examining' && !document.querySelector('#stop-here').hidden`)
	p.poll("its picture", `stage.state().shown`)
	p.shot("06-examining")
	eval[any](p, `globalThis.stopped = 0; document.getElementById('stop-here').addEventListener('click', () => { const from = performance.now(); const look = () => { if (document.body.dataset.phase !== 'examining') stopped = performance.now() - from; else setTimeout(look, 10); }; look(); }); 0`)
	p.click("#stop-here")
	p.poll("the end of it", `stopped > 0`)
	if took := eval[float64](p, `stopped`); took > 5000 { // the examination itself would go on for a minute
		t.Errorf("stopping took %.0f ms", took)
	}
	p.settled()
	p.shot("07-stopped")
	p.poll("the words", `document.querySelector('#state').textContent.includes('topped')`)
	// And the next file works as ever.
	p.give(real(t))
	p.poll("the next figure", `document.querySelector('#file-name')?.textContent.includes('hand_left') && `+doneJS)
	p.clean()
}

// TestRefused: a broken file is refused in words, and the figure before stays.
func TestRefused(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1280, 800)
	p.sample()
	data, err := os.ReadFile(real(t))
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "cut short.glb")
	if err := os.WriteFile(name, data[:len(data)/2], 0o644); err != nil {
		t.Fatal(err)
	}
	p.give(name)
	p.poll("the refusal", `!document.querySelector('#notice').hidden`)
	p.settled()
	p.shot("08-refused")
	text := eval[string](p, `document.querySelector('#notice').textContent`)
	for _, want := range []string{"cut short.glb", "the chunk states 86204 bytes"} {
		if !strings.Contains(digits(text), want) {
			t.Errorf("the notice does not say %q: %s", want, text)
		}
	}
	if !eval[bool](p, `stage.state().shown`) {
		t.Error("the figure before is gone")
	}
	p.clean()
}

// digits takes the spaces out of grouped numbers.
func digits(s string) string { return strings.NewReplacer("\u202f", "", "\u00a0", " ").Replace(s) }

// TestPresenters: both show the figure; a lost graphics context keeps the page and
// the figure.
func TestPresenters(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=ebiten", 1280, 800)
	p.sample()
	if eval[bool](p, `stage.state().plain`) {
		t.Fatal("Ebitengine was asked for and does not present")
	}
	if n := eval[int](p, `stage.state().uploads`); n == 0 {
		t.Error("nothing was shown")
	}
	before, _ := p.picture()
	p.shot("09-ebitengine")
	eval[any](p, `globalThis.mark = 1; document.body.lastElementChild.getContext('webgl2').getExtension('WEBGL_lose_context').loseContext(); 0`)
	p.poll("the plain presenter", `globalThis.mark === 1 && globalThis.stage && stage.state().plain && stage.state().fine && stage.state().shown && stage.state().uploads > 0`)
	p.still()
	p.shot("10-after-a-lost-context")
	if after, _ := p.picture(); after != before {
		t.Error("the picture after the lost context is another one")
	}
	if n := eval[int](p, `document.querySelectorAll('body > canvas').length`); n != 1 {
		t.Errorf("%d canvases, want 1", n)
	}
	p.clean()
}

// TestSingleFile: the one HTML file does it all from disk.
func TestSingleFile(t *testing.T) {
	name, err := filepath.Abs(filepath.Join(dist, "rigloupe.html"))
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(name); err != nil || info.Size() > 6_500_000 {
		t.Errorf("the one file: %v, %d bytes, want at most 6.5 MB (packed by Debian's zstd)", err, info.Size())
	}
	p := open(t, "file://"+name+"?present=plain", 1440, 900)
	p.sample()
	p.settled()
	p.shot("11-single-file")
	p.sameHistograms(commandLine(t, "examine", "--json", "sample"), []string{"head"})
	p.quiet()
	p.give(real(t))
	p.poll("the dropped figure", `document.querySelector('#file-name')?.textContent.includes('hand_left') && `+doneJS)
	if a := p.asked(); len(a) > 0 {
		t.Errorf("the browser asked for %q", a)
	}
	p.clean()
}

// TestAnyServer: a server that does not know the type of wasm will do.
func TestAnyServer(t *testing.T) {
	s := serve(t, true)
	p := open(t, s.URL+"?present=plain", 1280, 800)
	p.sample()
	p.clean()
}

// TestSamePixels: the stage's picture is the command line's, byte by byte.
func TestSamePixels(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1000, 700)
	p.sample()
	// The side seen is told to the page, which then sets what it holds: the side first.
	eval[any](p, `stage.set({inset: [0, 0, 0, 0], clip: 1, seconds: 0.8, playing: false, from: 'front', chosen: {kind: 'none'}, joint: -1})`)
	p.still()
	eval[any](p, `stage.set({lens: 'count', bones: true, pointers: false, loupe: false, staff: true, clip: 1, seconds: 0.8, playing: false})`)
	p.still()
	got := eval[string](p, `(async () => { const { rgba, w, h } = stage.pixels(); const d = await crypto.subtle.digest('SHA-256', rgba.slice().buffer); return w + 'x' + h + ' ' + [...new Uint8Array(d)].map((b) => b.toString(16).padStart(2, '0')).join(''); })()`)
	name := filepath.Join(t.TempDir(), "p.png")
	runCommand(t, "picture", "sample", "--out", name, "--size", "1000x700", "--lens", "count", "--no-pointers", "--clip", "wave", "--at", "0.8", "--from", "front")
	sum := sha256.Sum256(pixelsOf(t, name))
	if want := "1000x700 " + hex.EncodeToString(sum[:]); got != want {
		p.shot("failed-same-pixels")
		t.Errorf("the page's picture is %s, the command line's %s", got, want)
	}
	p.clean()
}

// TestKeyboard: Tab walks through the page and out of it again; single keys work.
func TestKeyboard(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.sample()
	eval[any](p, `document.activeElement.blur()`)
	seen := map[string]int{}
	for range 160 { // from wherever the last click was, past the end and round
		p.key("\t")
		id := eval[string](p, `(() => { const e = document.activeElement; return e === document.body ? 'body' : (e.id || e.dataset.focus || e.getAttribute('aria-label') || e.textContent.trim().slice(0, 30)); })()`)
		seen[id]++
		if seen["body"] > 1 {
			break
		}
	}
	for _, want := range []string{"pad", "body"} {
		if seen[want] == 0 {
			t.Errorf("Tab never came to %q; seen %v", want, seen)
		}
	}
	if seen["pad"] > 1 {
		t.Errorf("the stage holds the focus: %v", seen)
	}
	eval[any](p, `document.querySelector('#pad').focus()`)
	before, _ := p.picture()
	p.must(chromedp.Do(p.ctx, chromedp.KeyEvent("b")))
	if after, _ := p.picture(); after == before {
		t.Error("the key B does not take the bones away")
	}
	p.clean()
}

// TestNarrow: the phone's layout.
func TestNarrow(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 390, 844)
	p.shot("12-phone-first")
	p.sample()
	p.settled()
	p.shot("13-phone-sample")
	if w := eval[int](p, `document.documentElement.scrollWidth`); w > 390 {
		t.Errorf("the page is %d pixels wide on a screen of 390", w)
	}
	p.clean()
}

// TestAccessible: no violation that axe-core knows, in the states a person sees.
func TestAccessible(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.axe("first page")
	p.sample()
	p.axe("sample")
	p.chooseJoint("upperArm_L")
	p.axe("joint card")
	p.click(`[data-act="paper"]`)
	p.poll("the papers exchanged", `document.getAnimations().length === 0`)
	p.axe("night by the button")
	p.clean()
}

// TestStationLens: what a station measured is a lens of its own, and a chosen
// finding is inked on the figure.
func TestStationLens(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.sample()
	before, _ := p.picture()
	eval[any](p, `(() => { const more = document.querySelector('#lens select.more'); more.value = [...more.options].map((o) => o.value).find((v) => v === 'mirror-pairs'); more.dispatchEvent(new Event('change', { bubbles: true })); })()`)
	p.poll("the lens", `stage.state().lens === 'mirror-pairs'`)
	if after, _ := p.picture(); after == before {
		t.Error("the lens of the station shows the same picture")
	}
	p.shot("14-station-lens")
	// What a colour stands for is said in words under the pointer, and in the card of a vertex.
	at := eval[[]float64](p, `(() => { for (let y = 150; y < 640; y += 3) for (let x = 380; x < 1060; x += 3) { const hit = stage.pick(x, y); if (hit.kind === 'vertex') return [x, y, hit.surface, hit.vertex]; } })()`)
	reads := fmt.Sprintf(`stage.reads(%v, %v)`, at[2], at[3])
	_, err := chromedp.Call(p.ctx, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: "mouseMoved", X: at[0], Y: at[1]})
	p.must(err)
	p.poll("the words under the pointer", `!document.getElementById('hover-name').hidden && document.getElementById('hover-name').textContent === `+reads+` && ['a partner', 'on the plane', 'no partner'].includes(`+reads+`)`)
	p.must(chromedp.Do(p.ctx, chromedp.MouseClickXY(at[0], at[1])))
	p.poll("the words in the card", `document.querySelector('.under-lens')?.textContent === ' Under the lens: ' + `+reads+` + '.'`)
	p.click(`#lens input[value="dominant"] + span`)
	p.poll("the words of the next lens", `/^ Under the lens: .+, [01][.][0-9][0-9][.]$/.test(document.querySelector('.under-lens')?.textContent)`)
	p.clean()
}
