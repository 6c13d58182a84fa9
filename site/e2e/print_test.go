package e2e

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// TestPrint: on paper stand the file, the figure, every finding of the ledger and the
// card, dark on white, whatever the screen shows.
func TestPrint(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.sample()
	p.still()
	p.press(`#ledger .find`)
	p.still()
	for _, paper := range []string{"day", "night"} {
		if paper == "night" {
			p.press(`[data-act="paper"]`)
			p.still()
		}
		pdf, err := chromedp.Call(p.ctx, page.PrintToPDF, page.PrintToPDFParams{PrintBackground: new(true)})
		p.must(err)
		name := filepath.Join(shots, "print-"+paper+".pdf")
		if err := os.WriteFile(name, pdf.Data, 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := exec.LookPath("pdftotext"); err != nil {
			t.Skip("pdftotext (Debian: poppler-utils) is missing: what is printed is not read")
		}
		text, err := exec.Command("pdftotext", "-layout", name, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		words := strings.Join(strings.Fields(string(text)), " ")
		for _, f := range eval[[]string](p, `[...document.querySelectorAll('#ledger .find:not(.quietly) .t')].map((e) => e.lastChild.textContent)`) {
			if !strings.Contains(words, strings.Join(strings.Fields(f), " ")) {
				t.Errorf("%s: finding %q is not printed", paper, f)
			}
		}
		for _, want := range []string{"Intake", "Motion", "Remedy", "Lamplighter"} {
			if !strings.Contains(words, want) {
				t.Errorf("%s: %q is not printed", paper, want)
			}
		}
	}
	// What is seen, by the style of paper: the figure has ink, nothing is pinned to the window.
	_, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	p.must(err)
	eval[any](p, `dispatchEvent(new Event('beforeprint'))`)
	if n := eval[int](p, `(() => { const c = document.getElementById('printed'); if (!c.offsetWidth) return 0; const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data; const seen = new Set(); for (let i = 0; i < d.length; i += 28) seen.add(d[i] << 16 | d[i + 1] << 8 | d[i + 2]); return seen.size; })()`); n < 50 {
		t.Errorf("the printed figure holds %d colours", n)
	}
	if got := eval[string](p, `[...document.querySelectorAll('.card')].filter((c) => c.offsetWidth && getComputedStyle(c).position === 'fixed').map((c) => c.id).join(' ')`); got != "" {
		t.Errorf("pinned to the window on paper: %s", got)
	}
	eval[any](p, `dispatchEvent(new Event('afterprint'))`)
	if eval[bool](p, `document.getElementById('printed').hidden`) != true {
		t.Error("the printed figure stays on the page")
	}
}
