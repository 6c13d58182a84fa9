package e2e

import (
	"fmt"
	"math"
	"testing"

	"github.com/chromedp/chromedp"
)

// seenFrom is the yaw of the eye in degrees once nothing moves.
func (p *tab) seenFrom() float64 {
	p.t.Helper()
	p.still()
	return eval[float64](p, `stage.state().camera.yaw * 180 / Math.PI`)
}

// named is what the view control shows: the side, or nothing.
func (p *tab) named() string {
	p.t.Helper()
	return eval[string](p, `document.querySelector('#view input[name="view"]:checked')?.value ?? ''`)
}

// stageKey gives the stage the focus and presses a key.
func (p *tab) stageKey(k string) {
	p.t.Helper()
	eval[any](p, `document.querySelector('#pad').focus({ preventScroll: true }); 0`)
	p.key(k)
}

// TestViewsInThePage: with motion on, each side is seen when it is asked for, by mouse and
// however fast; the control names the side that is seen and no other; 0 shows the whole
// figure; after a place there is a way back.
func TestViewsInThePage(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	if eval[bool](p, `matchMedia('(prefers-reduced-motion: reduce)').matches`) {
		t.Fatal("this browser asks for less motion: the test would prove nothing")
	}
	p.sample()
	yaws := map[string]float64{"three-quarter": 24, "front": 0, "left": 90, "back": 180}
	for _, side := range []string{"front", "left", "back", "three-quarter", "left"} {
		p.click(fmt.Sprintf(`#view input[value=%q] + span`, side))
		if got := p.seenFrom(); math.Abs(math.Abs(got)-yaws[side]) > .01 {
			t.Errorf("asked for %s, it is seen from %.2f°", side, got)
		}
		if got := p.named(); got != side {
			t.Errorf("seen from %s the control shows %q", side, got)
		}
		p.shot("view-" + side)
	}
	// Two at once: the last one counts.
	eval[any](p, `for (const v of ['front', 'back', 'left']) document.querySelector('#view input[value="' + v + '"]').click(); 0`)
	if got := p.seenFrom(); math.Abs(got-90) > .01 || p.named() != "left" {
		t.Errorf("three sides in a moment end at %.2f°, the control shows %q", got, p.named())
	}
	whole := eval[float64](p, `stage.state().camera.scale`)

	// Near and shifted it is still seen from the left, and left again makes it whole.
	p.stageKey("+")
	p.stageKey("+")
	p.still()
	if got := p.named(); got != "left" {
		t.Errorf("near, from the left, the control shows %q", got)
	}
	p.click(`#view input[value="left"] + span`)
	p.still()
	if got := eval[float64](p, `stage.state().camera.scale`); math.Abs(got/whole-1) > 1e-6 {
		t.Errorf("left again: scale %g, want %g", got, whole)
	}
	// Turned by hand it is seen from no side that has a name.
	at := []float64{720, 420}
	p.must(chromedp.Do(p.ctx, chromedp.MouseEvent("mousePressed", at[0], at[1], chromedp.Button("left"))))
	p.must(chromedp.Do(p.ctx, chromedp.MouseEvent("mouseMoved", at[0]+60, at[1]+12, chromedp.Button("left"))))
	p.must(chromedp.Do(p.ctx, chromedp.MouseEvent("mouseReleased", at[0]+60, at[1]+12, chromedp.Button("left"))))
	turned := p.seenFrom()
	if got := p.named(); got != "" || math.Abs(turned-90) < 1 {
		t.Errorf("turned by hand to %.1f°, the control shows %q", turned, got)
	}
	// 0: the whole figure from where the eye is.
	for range 4 {
		p.stageKey("+")
	}
	p.stageKey("0")
	if got := p.seenFrom(); math.Abs(got-turned) > 1e-6 {
		t.Errorf("0 turned the figure from %.2f° to %.2f°", turned, got)
	}
	p.fitted("after 0")

	// Place, other place, back.
	p.stageKey("-")
	p.still()
	was := eval[[]float64](p, `(() => { const c = stage.state().camera; return [...c.target, c.yaw, c.pitch, c.scale]; })()`)
	if eval[bool](p, `document.querySelector('#back').checkVisibility()`) {
		t.Error("a way back stands there before a place is shown")
	}
	eval[any](p, `(async () => { const pad = document.getElementById('pad'), n = () => pad.dispatchEvent(new KeyboardEvent('keydown', { key: 'n', bubbles: true, cancelable: true }));
		pad.focus(); n(); for (let i = 0; i < 3; i++) await new Promise((r) => requestAnimationFrame(r)); n(); })()`) // the second while it glides
	p.still()
	if !eval[bool](p, `document.querySelector('#back').checkVisibility()`) {
		t.Error("no way back after a place was shown")
	}
	p.shot("view-place-back")
	p.axe("way back")
	p.click(`#back button`)
	p.still()
	now := eval[[]float64](p, `(() => { const c = stage.state().camera; return [...c.target, c.yaw, c.pitch, c.scale]; })()`)
	for i := range was {
		if math.Abs(now[i]-was[i]) > 1e-6*max(1, math.Abs(was[i])) {
			t.Errorf("back at %v, was at %v", now, was)
			break
		}
	}
	if eval[bool](p, `document.querySelector('#back').checkVisibility()`) {
		t.Error("back, and the way back is still offered")
	}
	// The same by key.
	p.stageKey("n")
	p.still()
	p.stageKey("\b")
	p.still()
	if now = eval[[]float64](p, `(() => { const c = stage.state().camera; return [c.yaw, c.scale]; })()`); math.Abs(now[0]-was[3]) > 1e-6 || math.Abs(now[1]/was[5]-1) > 1e-6 {
		t.Errorf("Backspace: back at %v, was at %v", now, was)
	}
	p.clean()
}
