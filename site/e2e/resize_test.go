package e2e

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// ratios are those of common screens, and windows the sizes at each, up and down, from
// 1280 × 800 on: at ratio 1 eight with wide, tall and narrow ones; at the others, whose
// pixels are two and four times as many, smaller, narrow, larger and back.
var (
	ratios  = []float64{2, 1.5, 1}
	few     = [][2]int64{{900, 700}, {600, 800}, {1100, 640}, {1280, 800}}
	windows = [][][2]int64{few, few, {{1280, 800}, {1440, 900}, {900, 700}, {1100, 640}, {1920, 1080}, {600, 800}, {1024, 768}, {1280, 800}}}
)

// bareJS hides all but the stage, for a screenshot of it alone.
const bareJS = `(() => { for (const e of document.body.children) if (e.tagName !== 'CANVAS' && e.tagName !== 'SCRIPT') e.style.visibility = 'hidden'; return 0; })()`

// settledJS: nothing moves, and what the presenter shows is the picture of the window.
const settledJS = `new Promise((done) => { const n = stage.state().frames; setTimeout(() => { const s = stage.state(); done(s.fine && !s.moving && s.frames === n && Math.abs(s.w - innerWidth * s.ratio) < 2 && Math.abs(s.h - innerHeight * s.ratio) < 2); }, 200); })`

// stagePixels is the stage's own picture, as told.
type stagePixels struct {
	W, H int
	RGBA string // base64
}

const pixelsJS = `(() => { const { w, h, rgba } = stage.pixels(); let s = ''; for (let i = 0; i < rgba.length; i += 32768) s += String.fromCharCode(...rgba.subarray(i, i + 32768)); return { W: w, H: h, RGBA: btoa(s) }; })()`

// onScreen fails where a screenshot of the bare stage is not its own picture, stretched
// over the window: bands, a quarter of it, or pixels of another size of before. Each
// pixel looked at must lie within what the picture holds around it.
func onScreen(t *testing.T, state string, shot []byte, p stagePixels) {
	t.Helper()
	for _, wrong := range unlike(t, state, shot, p) {
		t.Error(wrong)
	}
}

// composed is onScreen for a screen that the browser may not have put together yet.
func (p *tab) composed(t *testing.T, state, name string) {
	t.Helper()
	for range 40 {
		if p.settled(); len(unlike(t, state, p.shot(name), eval[stagePixels](p, pixelsJS))) == 0 {
			return
		}
	}
	onScreen(t, state, p.shot(name), eval[stagePixels](p, pixelsJS))
}

// unlike tells in words what of a screenshot is not the picture.
func unlike(t *testing.T, state string, shot []byte, p stagePixels) (out []string) {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(shot))
	if err != nil {
		t.Fatalf("%s: %v", state, err)
	}
	pix, err := base64.StdEncoding.DecodeString(p.RGBA)
	if err != nil || len(pix) != 4*p.W*p.H {
		t.Fatalf("%s: %d bytes of a picture of %d × %d: %v", state, len(pix), p.W, p.H, err)
	}
	b := img.Bounds()
	looked, wrong, ink := 0, 0, 0
	var first string
	for y := b.Min.Y; y < b.Max.Y; y += 5 {
		for x := b.Min.X; x < b.Max.X; x += 5 {
			looked++
			got := rgb(img, x, y)
			lo, hi := [3]int{255, 255, 255}, [3]int{}
			cx, cy := (float64(x)+.5)*float64(p.W)/float64(b.Dx()), (float64(y)+.5)*float64(p.H)/float64(b.Dy())
			for j := int(cy) - 2; j <= int(cy)+2; j++ {
				for i := int(cx) - 2; i <= int(cx)+2; i++ {
					at := 4 * (min(p.H-1, max(0, j))*p.W + min(p.W-1, max(0, i)))
					for k := range 3 {
						lo[k], hi[k] = min(lo[k], int(pix[at+k])), max(hi[k], int(pix[at+k]))
					}
				}
			}
			if hi[0]-lo[0] > 60 {
				ink++
			}
			for k := range 3 {
				if got[k] < lo[k]-10 || got[k] > hi[k]+10 {
					wrong++
					if first == "" {
						first = fmt.Sprintf("at %d, %d of %d × %d: %v, the picture holds %v to %v", x, y, b.Dx(), b.Dy(), got, lo, hi)
					}
					break
				}
			}
		}
	}
	if wrong*1000 > looked { // a thousandth: a stretched hairline may fall between
		out = append(out, fmt.Sprintf("%s: %.1f %% of the screen are not the picture; %s", state, 100*float64(wrong)/float64(looked), first))
	}
	if ink*200 < looked {
		out = append(out, state+": hardly a line in the picture: blank?")
	}
	return out
}

func rgb(img image.Image, x, y int) [3]int {
	r, g, b, _ := img.At(x, y).RGBA()
	return [3]int{int(r >> 8), int(g >> 8), int(b >> 8)}
}

// TestResizeShowsThePicture: windows up and down, at the ratios of common screens, with
// both presenters: what is on the screen is the stage's picture, all of it, and the
// figure is fitted into each.
func TestResizeShowsThePicture(t *testing.T) {
	for _, presenter := range []string{"plain", "ebiten"} {
		t.Run(presenter, func(t *testing.T) {
			for at, ratio := range ratios {
				p := start(t, "about:blank", 1280, 800)
				p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(1280, 800, chromedp.EmulateScale(ratio)))) // the ratio it starts with
				p.must(chromedp.Do(p.ctx, chromedp.Navigate(serve(t, false).URL+"?present="+presenter)))
				p.poll("the page", readyJS)
				p.sample()
				eval[any](p, bareJS)
				for i, w := range windows[at] {
					p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(w[0], w[1], chromedp.EmulateScale(ratio))))
					if i%3 == 2 { // pulled at its edge: sizes follow each other faster than pictures
						for k := range int64(4) {
							p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(w[0]-40+10*k, w[1]-4+k, chromedp.EmulateScale(ratio))))
						}
						p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(w[0], w[1], chromedp.EmulateScale(ratio))))
					}
					state := fmt.Sprintf("%s, %d × %d at %g, number %d", presenter, w[0], w[1], ratio, i)
					p.poll(state, settledJS)
					p.composed(t, state, fmt.Sprintf("resize-%s-%g-%d", presenter, ratio, i))
					if got := eval[bool](p, `(() => { const c = document.querySelector('body > canvas').getBoundingClientRect(); return c.x === 0 && c.y === 0 && Math.abs(c.width - innerWidth) < 1 && Math.abs(c.height - innerHeight) < 1; })()`); !got {
						t.Errorf("%s: the canvas is not the window", state)
					}
					p.fitted(state)
				}
				// A browser that tells of a resize where nothing has changed.
				eval[any](p, `new Promise((done) => { dispatchEvent(new Event('resize')); requestAnimationFrame(() => requestAnimationFrame(() => done(0))); })`)
				state := fmt.Sprintf("%s at %g, told of no change", presenter, ratio)
				p.composed(t, state, fmt.Sprintf("resize-%s-%g-same", presenter, ratio))
				p.clean()
			}
		})
	}
}

// fitted fails where the sample does not stand whole in the free room, or stands small.
func (p *tab) fitted(state string) {
	p.t.Helper()
	// The topmost, lowest, leftmost and rightmost pixel with the figure under it.
	box := eval[[]float64](p, `(() => { let l = 1e9, r = -1, t = 1e9, b = -1; const s = stage.state(), [top, right, bottom, left] = s.camera.inset.map((v) => v / s.ratio);
		for (let y = 0; y < innerHeight; y += 10) for (let x = 0; x < innerWidth; x += 10) if (stage.pick(x, y).kind !== 'none') { l = Math.min(l, x); r = Math.max(r, x); t = Math.min(t, y); b = Math.max(b, y); }
		return [l, t, r, b, left, top, innerWidth - right, innerHeight - bottom]; })()`)
	l, top, r, b, x0, y0, x1, y1 := box[0], box[1], box[2], box[3], box[4], box[5], box[6], box[7]
	if l < x0-4 || r > x1+4 || top < y0-4 || b > y1+4 {
		p.t.Errorf("%s: the figure reaches from %.0f, %.0f to %.0f, %.0f, its room from %.0f, %.0f to %.0f, %.0f", state, l, top, r, b, x0, y0, x1, y1)
	}
	if share := max((r-l)/(x1-x0), (b-top)/(y1-y0)); share < .5 {
		p.t.Errorf("%s: the figure takes %.2f of its room", state, share)
	}
}

// TestResizeFirefox: the same in Firefox, plain without a display, through WebGL with one.
func TestResizeFirefox(t *testing.T) {
	if _, err := exec.LookPath("firefox-esr"); err != nil {
		t.Fatal("firefox-esr is needed; `make ready` installs it")
	}
	url := serve(t, false).URL
	sizes, err := json.Marshal(map[string]any{"ratios": ratios, "windows": windows})
	if err != nil {
		t.Fatal(err)
	}
	pictures := len(ratios) // each told of no change at the end
	for _, list := range windows {
		pictures += len(list)
	}
	for _, presenter := range []string{"plain", "ebiten"} {
		t.Run(presenter, func(t *testing.T) {
			folder := t.TempDir()
			cmd := exec.Command("node", "firefoxsizes.mjs", url+"?present="+presenter, string(sizes), folder)
			cmd.Env = os.Environ()
			if presenter == "ebiten" {
				cmd.Env = append(cmd.Env, "DISPLAY="+display(t))
			}
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Fatalf("%v\n%s", err, out)
			}
			tells, err := filepath.Glob(filepath.Join(folder, "*.json"))
			if err != nil || len(tells) != pictures {
				t.Fatalf("%d pictures: %v", len(tells), err)
			}
			for _, name := range tells {
				state := "Firefox, " + presenter + ", " + strings.TrimSuffix(filepath.Base(name), ".json")
				text, err := os.ReadFile(name)
				if err != nil {
					t.Fatal(err)
				}
				var told stagePixels
				if err := json.Unmarshal(text, &told); err != nil {
					t.Fatal(err)
				}
				shot, err := os.ReadFile(strings.TrimSuffix(name, ".json") + ".png")
				if err != nil {
					t.Fatal(err)
				}
				onScreen(t, state, shot, told)
			}
		})
	}
}

// display starts a screen in memory, which gives Firefox WebGL; without the program for
// it the test says so and is left out.
func display(t *testing.T) string {
	t.Helper()
	if d := os.Getenv("DISPLAY"); d != "" {
		return d
	}
	program, err := exec.LookPath("Xvfb")
	if err != nil {
		t.Skip("no display and no Xvfb: Firefox has no WebGL here, so its presenter cannot be tried")
	}
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program, "-displayfd", "3", "-screen", "0", "1920x1200x24", "-nolisten", "tcp")
	cmd.ExtraFiles = []*os.File{w}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	w.Close()
	var number int
	if _, err := fmt.Fscan(r, &number); err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf(":%d", number)
}
