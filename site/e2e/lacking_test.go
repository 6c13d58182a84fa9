package e2e

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"os"
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
	t.Run("a piece of the single file", func(t *testing.T) {
		whole, err := os.ReadFile(strings.TrimPrefix(single(t), "file://"))
		if err != nil {
			t.Fatal(err)
		}
		at := bytes.Index(whole, []byte(`id="programs"`)) + 2_000_000
		name := filepath.Join(t.TempDir(), "cut.html")
		if err := os.WriteFile(name, append(whole[:at:at], whole[at+1000:]...), 0o644); err != nil {
			t.Fatal(err)
		}
		p := bare(t)
		p.must(chromedp.Do(p.ctx, chromedp.Navigate("file://"+name)))
		p.poll("the sentence", `document.querySelector('#cannot')?.getBoundingClientRect().height > 10`)
		if got := eval[string](p, `document.body.innerText`); !strings.Contains(got, "No file can be examined") || !strings.Contains(got, "this one file carries cannot be unpacked") || strings.Contains(got, "work without") {
			t.Errorf("it says %q", got)
		}
		p.shot("lacking-a-piece")
	})
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

// TestWithoutPicture: where nothing can be drawn, from the start or later, the figure is
// examined all the same: ledger and card answer, and why there is no picture stands where it
// would, as long as there is none.
func TestWithoutPicture(t *testing.T) {
	served := serve(t, false).URL
	cut := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, "/stage.wasm") {
			w.Header().Set("Content-Type", "application/wasm")
			w.Write([]byte("\x00asm\x01\x00\x00\x00\x0a"))
			return
		}
		http.FileServer(http.Dir(dist)).ServeHTTP(w, r)
	}))
	t.Cleanup(cut.Close)
	const get = `{ const real = HTMLCanvasElement.prototype.getContext; HTMLCanvasElement.prototype.getContext = function (kind, ...a) { return kind === '2d' ? null : real.call(this, kind, ...a); }; }`
	for _, row := range []struct{ name, url, breaks, says string }{
		{"no canvas", served, get, "gives no canvas to draw on"},
		{"a canvas that refuses", served, `CanvasRenderingContext2D.prototype.putImageData = () => { throw new Error('refused'); };`, "the program that draws it ended by itself"},
		{"half a program", cut.URL, ``, "stage.wasm is not whole"},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := startWith(t, row.url+"?present=plain", 1280, 800, row.breaks)
			p.poll("the page", `document.body.dataset.ready === 'true'`)
			p.press(`#first [data-act="sample"]`)
			p.poll("the examination", `document.body.dataset.phase === 'done' && asksOpen.size === 0`)
			p.poll("why there is no picture", `document.getElementById('left-out').checkVisibility() && document.getElementById('left-out').textContent.startsWith('There is no picture: ') && document.getElementById('left-out').textContent.includes('`+row.says+`')`)
			p.click(`#ledger .stations .find[data-number]`)
			p.poll("its card", `document.querySelector('#card .finding')`)
			p.chooseJoint("upperArm_L")
			p.poll("its numbers", `document.querySelectorAll('.hist table tbody tr').length === 10`)
			p.shot("lacking-picture-" + strings.ReplaceAll(row.name, " ", "-"))
		})
	}
}
