package e2e

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// condition is a way of looking at the page.
type condition struct {
	name     string
	w, h     int64
	ratio    float64
	features [][2]string
}

var conditions = []condition{
	{"day", 1440, 900, 1, nil},
	{"night", 1440, 900, 1, [][2]string{{"prefers-color-scheme", "dark"}}},
	{"forced", 1440, 900, 1, [][2]string{{"forced-colors", "active"}, {"prefers-color-scheme", "dark"}}},
	{"narrow", 900, 900, 1, nil},
	{"phone", 390, 844, 1, nil},
	{"phone-night", 390, 844, 1, [][2]string{{"prefers-color-scheme", "dark"}}},
	{"zoom200", 720, 450, 2, nil},
	{"zoom400", 360, 225, 4, nil},
	{"wide", 3840, 2160, 1, nil},
}

// cell is the place of one picture on the sheet, pixels.
const cellW, cellH = 360, 225

// TestContactSheet lays every state under every condition on one sheet, to be looked at:
// `make shots`. A state that cannot be reached fails it; what is not handsome it cannot see.
func TestContactSheet(t *testing.T) {
	if os.Getenv("RIGLOUPE_SHOTS") == "" {
		t.Skip("pictures to look at: make shots")
	}
	url := serve(t, false).URL + "?present=plain"
	walk, files := capture(t), jobFiles(t)
	var rows [][]image.Image
	for _, c := range conditions {
		p := startIn(t, browser(t), "about:blank", c.w, c.h)
		p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(c.w, c.h, chromedp.EmulateScale(c.ratio))))
		var features []*emulation.MediaFeature
		for _, f := range c.features {
			features = append(features, &emulation.MediaFeature{Name: f[0], Value: f[1]})
		}
		_, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features})
		p.must(err)
		p.must(chromedp.Do(p.ctx, chromedp.Navigate(url)))
		p.poll("the page", readyJS)
		rows = append(rows, append(p.states(c, walk), p.jobStates(c, files)...))
	}
	sheet := image.NewRGBA(image.Rect(0, 0, cellW*len(rows[0]), cellH*len(rows)))
	draw.Draw(sheet, sheet.Bounds(), image.NewUniform(color.Gray{96}), image.Point{}, draw.Src)
	for y, row := range rows {
		for x, m := range row {
			lay(sheet, image.Rect(x*cellW, y*cellH, (x+1)*cellW, (y+1)*cellH).Inset(3), m)
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, sheet); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(shots, "contact.png")
	if err := os.WriteFile(name, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Logf("%d pictures on %s", len(rows)*len(rows[0]), name)
}

// take takes a picture of a state, the n-th, once nothing moves and all is drawn.
func (p *tab) take(c condition, name string, n int) image.Image {
	p.t.Helper()
	if eval[bool](p, `Boolean(globalThis.stage?.state().shown)`) {
		p.poll("the picture of "+name, `stage.state().fine`)
	}
	p.still()
	p.settled()
	m, err := png.Decode(bytes.NewReader(p.shot(fmt.Sprintf("contact-%s-%02d-%s", c.name, n, name))))
	p.must(err)
	return m
}

// jobFiles are what the job's screens are taken of, by what they are for.
func jobFiles(t *testing.T) map[string]string {
	t.Helper()
	dir, out := t.TempDir(), map[string]string{}
	for name, r := range map[string]*rig.Rig{"sculpt": menagerie.Shaken(), "visitor": menagerie.Visitor()} {
		out[name] = filepath.Join(dir, name+".glb")
		write(t, out[name], menagerie.GLB(r))
	}
	return out
}

// jobStates goes through the screens of the job: a skeleton is fitted to a sculpt, bound, put
// into another rest, dressed from another figure, and handed over.
func (p *tab) jobStates(c condition, files map[string]string) (out []image.Image) {
	p.t.Helper()
	take := func(name string) { out = append(out, p.take(c, name, len(out)+31)) }
	keep := func(n int) {
		p.poll("the receipt", receiptJS)
		p.press("#trial-keep")
		p.poll("insisting, or kept", `!document.body.dataset.trial || document.getElementById('trial-keep').textContent === 'Keep it with that'`)
		eval[any](p, `document.getElementById('trial-keep')?.click(); 0`)
		p.kept(n)
		p.poll("rest", doneJS)
	}
	p.give(files["sculpt"])
	p.poll("the sculpt", `document.querySelector('#file-name')?.textContent.includes('sculpt') && `+doneJS)
	p.poll("what can be mended", offersJS)
	take("road")
	p.press(`#road [data-step="fit"]`)
	p.poll("the board", `document.querySelectorAll('.board .point').length === 16`)
	p.poll("the receipt", receiptJS)
	take("fit")
	keep(1)
	p.press("#slip-all")
	take("all-mends")
	p.press(`[data-any="bind"]`)
	p.poll("the pieces", `document.querySelectorAll('#trial-pieces details').length > 0`)
	p.poll("the receipt", receiptJS)
	take("bind")
	keep(2)
	p.drop(files["visitor"])
	p.poll("what it is for", `document.getElementById('offer').open`)
	take("offer")
	p.press(`[data-offer="part"]`)
	p.poll("the receipt", receiptJS)
	take("part")
	keep(3)
	p.press("#slip-all")
	p.press(`[data-any="rebind"]`)
	p.poll("the receipt", receiptJS)
	take("trial")
	p.press("#trial-leave")
	p.poll("left", `!document.body.dataset.trial && `+doneJS)
	eval[any](p, `document.getElementById('slip').scrollIntoView({block: 'end', behavior: 'instant'}); 0`)
	take("slip")
	p.press(`#slip-hand`)
	p.poll("the sheet", `document.getElementById('hand-over').open`)
	take("hand-over")
	eval[any](p, `document.querySelector('dialog[open]')?.close(); 0`)
	p.clean()
	return out
}

// states goes through the states of the page and takes a picture of each.
func (p *tab) states(c condition, walk string) (out []image.Image) {
	p.t.Helper()
	take := func(name string) { out = append(out, p.take(c, name, len(out)+1)) }
	tab := func(name string) {
		eval[any](p, fmt.Sprintf(`[...document.querySelectorAll('#tabs [data-tab=%q]')].find((e) => e.checkVisibility())?.click(); 0`, name))
	}
	shut := func() { eval[any](p, `document.querySelector('dialog[open]')?.close(); 0`) }
	take("first")
	p.press(`[data-act="sample"]`)
	p.poll("the sample", doneJS)
	take("verdict")
	p.press(`#ledger .find`)
	p.poll("the card", `document.querySelector('#card .finding')`)
	take("finding")
	p.chooseJoint("upperArm_L")
	take("joint")
	eval[any](p, `import('./js/shared/clips.js').then((m) => m.openClip(0))`)
	tab("time")
	take("clip")
	for _, d := range []string{"find", "lessons", "help", "checks", "report", "vow"} {
		p.press(fmt.Sprintf(`[data-act=%q]`, d))
		p.poll(d, `document.querySelector('dialog[open]')`)
		take(d)
		shut()
	}
	p.press(`[data-act="lineup"]`)
	p.poll("the line-up", `document.querySelector('.lined tbody tr')`)
	take("line-up")
	p.press(`[data-act="lineup"]`)
	p.drop(walk)
	p.poll("the offer", `document.getElementById('offer').open`)
	p.press(`[data-offer="motion"]`)
	p.poll("the pairs", `document.querySelectorAll('#match-rows tr').length > 20`)
	take("pairs")
	p.press("#match-stage")
	p.poll("two figures", `stage.state().beside`)
	tab("figure")
	take("two")
	p.press(`#beside [data-focus="beside-away"]`)
	eval[any](p, `location.hash = '#lesson=collapse'; 0`)
	p.poll("the lesson", lessonJS("collapse"))
	take("lesson")
	p.key("\u001b")
	eval[any](p, `location.hash = '#fault=73603'; 0`)
	p.poll("the puzzle", `document.body.dataset.puzzle === 'on' && document.getElementById('puzzle-check') && `+doneJS)
	take("puzzle")
	p.press("#puzzle-leave")
	p.press(`[data-act="tour"]`)
	p.poll("the tour", `!document.getElementById('tour').hidden`)
	take("tour")
	p.press("#tour-leave")
	p.clean()
	return out
}

// lay puts a picture into a box, whole, its pixels averaged.
func lay(to *image.RGBA, box image.Rectangle, m image.Image) {
	b := m.Bounds()
	k := min(float64(box.Dx())/float64(b.Dx()), float64(box.Dy())/float64(b.Dy()))
	w, h := int(k*float64(b.Dx())), int(k*float64(b.Dy()))
	for y := range h {
		for x := range w {
			var sum [3]uint32
			n := uint32(0)
			for v := y * b.Dy() / h; v < max(y*b.Dy()/h+1, (y+1)*b.Dy()/h); v++ {
				for u := x * b.Dx() / w; u < max(x*b.Dx()/w+1, (x+1)*b.Dx()/w); u++ {
					r, g, c, _ := m.At(b.Min.X+u, b.Min.Y+v).RGBA()
					sum[0], sum[1], sum[2], n = sum[0]+r>>8, sum[1]+g>>8, sum[2]+c>>8, n+1
				}
			}
			to.SetRGBA(box.Min.X+x, box.Min.Y+y, color.RGBA{uint8(sum[0] / n), uint8(sum[1] / n), uint8(sum[2] / n), 255})
		}
	}
}
