package e2e

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// TestWithoutWhatItNeeds: a browser that lacks something the page stands on is told so in
// one sentence that is seen, and offered no button that would do nothing.
func TestWithoutWhatItNeeds(t *testing.T) {
	for _, row := range []struct{ name, url, without, says string }{
		{"WebAssembly", serve(t, false).URL, `delete window.WebAssembly`, "does not run WebAssembly"},
		{"workers", serve(t, false).URL, `delete window.Worker`, "allows no workers"},
		{"ResizeObserver", serve(t, false).URL, `delete window.ResizeObserver`, "ResizeObserver"},
		{"unpacking", single(t), `delete window.DecompressionStream`, "cannot unpack"},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := bare(t)
			_, err := chromedp.Call(p.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: row.without})
			p.must(err)
			p.must(chromedp.Do(p.ctx, chromedp.Navigate(row.url)))
			p.poll("the sentence", `document.querySelector('#cannot')?.getBoundingClientRect().height > 10`)
			if got := eval[string](p, `document.querySelector('#cannot').innerText`); !strings.Contains(got, row.says) || strings.Contains(got, "work without") {
				t.Errorf("it says %q", got)
			}
			if n := eval[int](p, `[...document.querySelectorAll('.first button, .acts button')].filter((b) => b.offsetWidth && !b.disabled).length`); n != 0 {
				t.Errorf("%d buttons can be pressed and do nothing", n)
			}
			p.shot("lacking-" + strings.ReplaceAll(row.name, " ", "-"))
		})
	}
	t.Run("script", func(t *testing.T) {
		p := bare(t)
		_, err := chromedp.Call(p.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		p.must(err)
		p.must(chromedp.Do(p.ctx, chromedp.Navigate(serve(t, false).URL)))
		p.shot("lacking-script")
		_, err = chromedp.Call(p.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: false})
		p.must(err)
		if got := eval[string](p, `document.querySelector('noscript').textContent`); !strings.Contains(got, "script is off") {
			t.Errorf("it says %q", got)
		}
	})
}

// bare is a tab without a page.
func bare(t testing.TB) *tab {
	p := &tab{t: t, ctx: browser(t)}
	p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(1280, 800)))
	return p
}

// single is the address of the page in one file, on disk.
func single(t testing.TB) string {
	name, err := filepath.Abs(filepath.Join(dist, "rigloupe.html"))
	if err != nil {
		t.Fatal(err)
	}
	return "file://" + name
}
