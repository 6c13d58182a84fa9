package e2e

import (
	"fmt"
	"image/png"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// TestSheets: the proof sheet of a mended file and the report of an examination are read with scripts off, ask for
// nothing, fit a phone, and print whole on A4 and on Letter; a file whose name is markup, marks on
// marks and writing from right to left breaks nothing. The pages lie in site/dist/shots.
func TestSheets(t *testing.T) {
	dir := t.TempDir()
	call := func(args ...string) []byte {
		t.Helper()
		name, err := filepath.Abs(filepath.Join(dist, "rigloupe"))
		if err != nil {
			t.Fatal(err)
		}
		c := exec.Command(name, args...)
		c.Dir, c.Stderr = dir, os.Stderr
		out, err := c.Output()
		if err != nil {
			t.Fatal(args, err)
		}
		return out
	}
	const evil = `"><img src=x onerror=document.title='caught'>` + "\u202Egpj שלום Z\u0335\u0322\u0335\u0322\u0335\u0322\u0335\u0322.glb"
	for _, row := range []struct {
		kind, name string
		report     bool
		says       []string
	}{
		{"proof-plain", "lamp.glb", false, []string{"What was done", "Clean weights: kept", "What stays", "Not looked at", "Signature", "Hash of this sheet"}},
		{"proof-hostile", evil, false, []string{"Clean weights: kept", "Signature"}},
		{"report-plain", "lamp.glb", true, []string{"will show", "What was found", "Weight far from joint", "Joints", "stroll", "Checks and limits", "Not looked at", "Signature", "Hash of this sheet"}},
		{"report-hostile", evil, true, []string{"What was found", "Signature"}},
	} {
		call("sample", "--fault", "intake/unapplied-scale,binding/stray-island,skeleton/name-clash", "--out", row.name)
		if row.report {
			call("examine", row.name, "--report", "sheet.html", "--fail-on", "never")
		} else {
			if err := os.WriteFile(filepath.Join(dir, "plan.json"), call("mend", row.name, "--suggest"), 0o644); err != nil {
				t.Fatal(err)
			}
			call("mend", row.name, "--with", "plan.json", "--out", "new.glb", "--proof", "sheet.html")
		}
		p := bare(t)
		_, err := chromedp.Call(p.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		p.must(err)
		p.listen()
		p.must(chromedp.Do(p.ctx, chromedp.Navigate((&url.URL{Scheme: "file", Path: filepath.Join(dir, "sheet.html")}).String())))
		for paper, size := range map[string][2]float64{"a4": {8.27, 11.69}, "letter": {8.5, 11}} {
			prints(t, p, row.kind+"-"+paper, size, row.says)
		}
		_, err = chromedp.Call(p.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: false})
		p.must(err)
		for _, w := range []int64{1280, 794, 390} {
			p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(w, 844)))
			if over := eval[int](p, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("%s: at %d px it is %d px too wide", row.kind, w, over)
			}
			p.shot(fmt.Sprintf("%s-%d", row.kind, w))
		}
		if got := eval[string](p, `document.title`); !strings.Contains(got, ": ") || got == "caught" {
			t.Errorf("%s: the title is %q", row.kind, got)
		}
		if n := eval[int](p, `[...document.images].filter((i) => i.naturalWidth > 100).length`); n < 4 || n != eval[int](p, `document.images.length`) {
			t.Errorf("%s: %d pictures are seen", row.kind, n)
		}
		if got := eval[string](p, `document.querySelector('.facts td').innerText`); row.name == evil && !strings.Contains(got, `"><img src=x onerror=document.title='caught'>\u202egpj שלום`) {
			t.Errorf("the hostile name reads %q", got)
		}
		if asked := p.asked(); len(asked) > 1 {
			t.Errorf("%s: it asks for %q", row.kind, asked)
		}
		p.axeRuns(row.kind, nil) // on its one paper: where colours are forced the browser takes all of a document's own
	}
}

// prints writes the page on show as PDF and each of its pages as a picture, and reads them:
// the words are there, no page is empty, and nothing runs over the margin.
func prints(t *testing.T, p *tab, name string, inches [2]float64, words []string) {
	t.Helper()
	pdf, err := chromedp.Call(p.ctx, page.PrintToPDF, page.PrintToPDFParams{PrintBackground: new(true), PaperWidth: inches[0], PaperHeight: inches[1]})
	p.must(err)
	file := filepath.Join(shots, name+".pdf")
	if err := os.WriteFile(file, pdf.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext (Debian: poppler-utils) is missing: what is printed is not read")
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(string(out)), " ")
	for _, w := range words {
		if !strings.Contains(text, w) {
			t.Errorf("%s: %q is not printed", name, w)
		}
	}
	if err := exec.Command("pdftoppm", "-r", "60", "-png", file, filepath.Join(shots, name)).Run(); err != nil {
		t.Fatal(err)
	}
	pages, _ := filepath.Glob(filepath.Join(shots, name+"-*.png"))
	if want := fmt.Sprintf("%d of %d", len(pages), len(pages)); len(pages) < 2 || !strings.Contains(text, want) {
		t.Errorf("%s: %d pages, and %q is not on the last", name, len(pages), want)
	}
	for _, file := range pages {
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		ink, margin := 0, 0
		b := img.Bounds()
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				r, g, bl, _ := img.At(x, y).RGBA()
				if r+g+bl < 3*0xd000 {
					ink++
					if x < b.Min.X+20 || x >= b.Max.X-20 { // of the 35 that 15 mm are
						margin++
					}
				}
			}
		}
		if ink < 500 || margin > 0 {
			t.Errorf("%s: %d dark pixels, %d of them in the margin", filepath.Base(file), ink, margin)
		}
	}
}
