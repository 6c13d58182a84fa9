package e2e

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Paths, seen from this folder.
const (
	dist  = "../dist"
	shots = "../dist/shots"
)

func TestMain(m *testing.M) {
	if os.Getenv("RIGLOUPE_E2E") == "" {
		fmt.Println("site/e2e: skipped; `make e2e` builds the page and runs it in browsers")
		return
	}
	if err := os.MkdirAll(shots, 0o755); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// site serves the built page under a path of its own and notes what is asked for.
type site struct {
	URL   string
	mu    sync.Mutex
	paths []string

	holds string        // a file that is not answered yet
	free  chan struct{} // until this is closed
}

// let answers what is held back.
func (s *site) let() { close(s.free) }

// serve starts a plain static server, without any header of ours: the page's own
// meta policy is what is tested. bareMIME sends wasm as a server without the type.
func serve(t testing.TB, bareMIME bool) *site {
	s := &site{free: make(chan struct{})}
	files := http.StripPrefix("/some/where", http.FileServer(http.Dir(dist)))
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.mu.Lock()
		s.paths = append(s.paths, r.URL.Path)
		s.mu.Unlock()
		if s.holds != "" && strings.HasSuffix(r.URL.Path, "/"+s.holds) {
			select {
			case <-s.free:
			case <-r.Context().Done(): // the browser is gone
			}
		}
		if bareMIME && strings.HasSuffix(r.URL.Path, ".wasm") {
			w.Header().Set("Content-Type", "application/octet-stream")
		}
		files.ServeHTTP(w, r)
	}))
	t.Cleanup(server.Close)
	s.URL = server.URL + "/some/where/"
	return s
}

// asked answers what was asked for since the last call, workers' requests too.
func (s *site) asked() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	p := s.paths
	s.paths = nil
	return p
}

// tab is one page in a browser of its own.
type tab struct {
	t   testing.TB
	ctx context.Context

	waits time.Duration // for a state, where that is more than usual

	mu       sync.Mutex
	console  []string // errors and uncaught exceptions
	requests []string // seen by the browser: no blob:, no data:
}

// browser starts a browser of its own, cut off from every other machine.
func browser(t testing.TB, more ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("allow-file-access-from-files", false),
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), append(options, more...)...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	most := 20 * time.Minute
	if os.Getenv("RIGLOUPE_SOAK") != "" { // hundreds of figures in one page
		most = 3 * time.Hour
	}
	ctx, cancel = context.WithTimeout(ctx, most)
	t.Cleanup(cancel)
	return ctx
}

// open starts a browser of its own on a page and waits until the page is ready.
func open(t testing.TB, url string, w, h int64) *tab {
	t.Helper()
	p := start(t, url, w, h)
	p.poll("the page", readyJS)
	return p
}

// start starts a browser of its own on a page.
func start(t testing.TB, url string, w, h int64) *tab {
	t.Helper()
	return startWith(t, url, w, h)
}

// startWith is start with scripts of the test that run before any of the page's.
func startWith(t testing.TB, url string, w, h int64, scripts ...string) *tab {
	t.Helper()
	return startIn(t, browser(t), url, w, h, scripts...)
}

// startIn is startWith in a browser that runs already.
func startIn(t testing.TB, ctx context.Context, url string, w, h int64, scripts ...string) *tab {
	t.Helper()
	p := &tab{t: t, ctx: ctx}
	p.must(chromedp.Do(ctx, chromedp.EmulateViewport(w, h)))
	p.listen()
	for _, js := range append([]string{recordJS}, scripts...) {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: js})
		p.must(err)
	}
	p.must(chromedp.Do(ctx, chromedp.Navigate(url)))
	return p
}

// listen notes console errors, exceptions and requests.
func (p *tab) listen() {
	chromedp.Listen(p.ctx, func(event any) {
		p.mu.Lock()
		defer p.mu.Unlock()
		switch e := event.(type) {
		case *runtime.EventConsoleAPICalled:
			if e.Type == "error" || e.Type == "assert" {
				text := string(e.Type)
				for _, a := range e.Args {
					text += " " + string(a.Value) + a.Description
				}
				p.console = append(p.console, text)
			}
		case *runtime.EventExceptionThrown:
			text := e.ExceptionDetails.Text
			if x := e.ExceptionDetails.Exception; x != nil {
				text += " " + x.Description
			}
			p.console = append(p.console, text)
		case *network.EventRequestWillBeSent:
			if u := e.Request.URL; !strings.HasPrefix(u, "blob:") && !strings.HasPrefix(u, "data:") {
				p.requests = append(p.requests, u)
			}
		}
	})
	_, err := chromedp.Call(p.ctx, network.Enable, network.EnableParams{})
	p.must(err)
}

func (p *tab) must(err error) {
	p.t.Helper()
	if err != nil {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.t.Fatalf("%v\nconsole: %q", err, p.console)
	}
}

// quiet forgets the requests so far; asked answers those since.
func (p *tab) quiet() {
	p.mu.Lock()
	p.requests = nil
	p.mu.Unlock()
}

func (p *tab) asked() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]string(nil), p.requests...)
}

// clean fails the test on a console error, an uncaught exception or a breach of
// the page's policy.
func (p *tab) clean() {
	p.t.Helper()
	p.mu.Lock()
	for _, line := range p.console {
		p.t.Errorf("console: %s", line)
	}
	p.mu.Unlock()
	for _, f := range eval[[]string](p, faultsJS) {
		p.t.Errorf("fault: %s", f)
	}
}

// sourceImport is how a test names a module of the page. The page runs joined ones, and
// hands each out under its path.
var sourceImport = regexp.MustCompile(`import\('\./js/([^']+)'\)`)

// eval answers a JavaScript value; a promise is awaited.
func eval[T any](p *tab, js string) T {
	p.t.Helper()
	js = sourceImport.ReplaceAllString(js, "import(new URL('js/page.js', document.baseURI)).then((m) => m.modules['$1'])")
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](js, func(e *runtime.EvaluateParams) { e.AwaitPromise = new(true) }))
	if err != nil {
		p.t.Helper()
		p.must(fmt.Errorf("%s: %w", js, err))
	}
	return v
}

// patience is how long a state is waited for: a busy machine with two processors takes ten
// times what a quiet one does, and nothing passes because it was waited for longer.
const patience = 3 * time.Minute

// poll waits until an expression is true. One that fails for want of an element is not true yet.
func (p *tab) poll(what, js string) {
	p.t.Helper()
	most := max(patience, p.waits)
	if !p.comes(most, js) {
		p.shot("failed-" + strings.NewReplacer(" ", "-", "/", "-").Replace(what))
		p.must(fmt.Errorf("waited %v for %s: %s", most, what, js))
	}
}

// comes tells whether an expression becomes true in time.
func (p *tab) comes(in time.Duration, js string) bool {
	p.t.Helper()
	for end := time.Now().Add(in); ; time.Sleep(30 * time.Millisecond) {
		if eval[bool](p, `(async () => { try { return !!(await (`+js+`)); } catch (e) { if (e instanceof TypeError) return false; throw e; } })()`) {
			return true
		}
		if time.Now().After(end) {
			return false
		}
	}
}

// steadyJS answers the middle of an element that can be pressed there: it is enabled, stays
// where it is for two frames, and nothing lies over it; else nothing.
const steadyJS = `(async (selector) => {
	const find = () => [...document.querySelectorAll(selector)].find((e) => e.checkVisibility()) ?? document.querySelector(selector), frame = () => new Promise((r) => requestAnimationFrame(r));
	const e = find();
	if (!e || e.disabled) return [];
	e.scrollIntoView({block: 'nearest', inline: 'nearest', behavior: 'instant'});
	const at = () => { const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; };
	const was = at();
	await frame(); await frame();
	const now = at();
	if (find() !== e || now[0] !== was[0] || now[1] !== was[1]) return [];
	const hit = document.elementFromPoint(...now);
	if (!hit || !(e.contains(hit) || hit.contains(e) || hit.closest('label')?.contains(e))) return [];
	globalThis.pressed = false;
	addEventListener('click', globalThis.pressedBy = (c) => { if (c.target instanceof Element && (c.target.closest(selector) || hit.closest('label')?.contains(c.target))) pressed = true; }, true);
	return now;
})`

// click presses the middle of the first element in sight that a selector names, as a person
// would: it waits until the element can be pressed, and looks for it and presses again until
// the press has landed, since the page may write it anew in between.
func (p *tab) click(selector string) {
	p.t.Helper()
	for end := time.Now().Add(patience); ; time.Sleep(30 * time.Millisecond) {
		if at := eval[[]float64](p, fmt.Sprintf(`%s(%q)`, steadyJS, selector)); len(at) == 2 {
			p.must(chromedp.Do(p.ctx, chromedp.MouseClickXY(at[0], at[1])))
			landed := eval[bool](p, `(removeEventListener('click', pressedBy, true), pressed)`)
			if landed {
				return
			}
		}
		if time.Now().After(end) {
			p.shot("failed-click")
			p.must(fmt.Errorf("%s cannot be pressed: %s", selector, eval[string](p, fmt.Sprintf(`(document.querySelector(%q)?.outerHTML ?? 'it is not there').slice(0, 300)`, selector))))
		}
	}
}

// press clicks an element by script as soon as it is there and enabled, in sight or not:
// found and clicked in one task, so that nothing comes between.
func (p *tab) press(selector string) {
	p.t.Helper()
	p.pressThe(selector, fmt.Sprintf(`document.querySelector(%q)`, selector))
}

// pressThe is press for an element that an expression answers.
func (p *tab) pressThe(what, js string) {
	p.t.Helper()
	p.poll(what+" to press", `((e) => { if (!e || e.disabled) return false; e.click(); return true; })(`+js+`)`)
}

// saved is one file that the page handed to the browser.
type saved struct {
	name string
	data []byte
}

// files waits until the page has handed so many files to the browser since they were taken
// last, and takes them, in their order.
func (p *tab) files(n int) []saved {
	p.t.Helper()
	p.poll(fmt.Sprintf("%d saved files", n), fmt.Sprintf(`savedFiles.length >= %d`, n))
	var out []saved
	for _, f := range eval[[][]string](p, `Promise.all(savedFiles.splice(0).map(async ([name, blob]) => { let s = ''; for (const x of new Uint8Array(await blob.arrayBuffer())) s += String.fromCharCode(x); return [name, btoa(s)]; }))`) {
		data, err := base64.StdEncoding.DecodeString(f[1])
		p.must(err)
		out = append(out, saved{f[0], data})
	}
	return out
}

// file is files for a single one.
func (p *tab) file() saved {
	p.t.Helper()
	all := p.files(1)
	if len(all) > 1 {
		p.t.Errorf("%d files were saved, want one", len(all))
	}
	return all[0]
}

// key presses one key.
func (p *tab) key(k string) {
	p.t.Helper()
	p.must(chromedp.Do(p.ctx, chromedp.KeyEvent(k)))
}

// drop drops real files or folders on the middle of the window.
func (p *tab) drop(paths ...string) {
	p.t.Helper()
	for i := range paths {
		a, err := filepath.Abs(paths[i])
		p.must(err)
		paths[i] = a
	}
	at := eval[[]float64](p, `[Math.min(640, innerWidth / 2), Math.min(400, innerHeight / 2)]`)
	for _, kind := range []input.DispatchDragEventType{"dragEnter", "dragOver", "drop"} {
		_, err := chromedp.Call(p.ctx, input.DispatchDragEvent, input.DispatchDragEventParams{Type: kind, X: at[0], Y: at[1],
			Data: &input.DragData{Items: []*input.DragDataItem{}, Files: paths, DragOperationsMask: 1}})
		p.must(err)
	}
}

// give drops one file to be looked at; where a figure lies open, the page asks what the
// file is for, and it is opened instead.
func (p *tab) give(path string) {
	p.t.Helper()
	asks := eval[bool](p, `document.body.dataset.phase === 'done'`)
	p.drop(path)
	if asks {
		p.poll("the offer", `document.getElementById('offer').open`)
		p.press(`[data-offer="open"]`)
	}
}

// shot keeps a screenshot for people to look at.
func (p *tab) shot(name string) []byte {
	p.t.Helper()
	png, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	p.must(err)
	if err := os.WriteFile(filepath.Join(shots, name+".png"), png, 0o644); err != nil {
		p.t.Fatal(err)
	}
	return png
}

// commandLine runs the built command line and answers its JSON.
func commandLine(t testing.TB, args ...string) map[string]any {
	t.Helper()
	var out, errs bytes.Buffer
	cmd := exec.Command(filepath.Join(dist, "rigloupe"), args...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("rigloupe %s: %v\n%s", strings.Join(args, " "), err, errs.String())
	}
	var v map[string]any
	if err := json.Unmarshal(out.Bytes(), &v); err != nil {
		t.Fatalf("rigloupe %s: %v", strings.Join(args, " "), err)
	}
	return v
}

// real is a skinned figure that a registry package carries.
func real(t testing.TB) string {
	t.Helper()
	name := "../../testdata/cache/hand_left.glb"
	if _, err := os.Stat(name); err != nil {
		t.Fatalf("%v; `make ready` fetches it", err)
	}
	return name
}

// runCommand runs the built command line for what it writes.
func runCommand(t testing.TB, args ...string) {
	t.Helper()
	if out, err := exec.Command(filepath.Join(dist, "rigloupe"), args...).CombinedOutput(); err != nil {
		t.Fatalf("rigloupe %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

// pixelsOf answers the RGBA bytes of a picture file.
func pixelsOf(t testing.TB, name string) []byte {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	out := image.NewNRGBA(img.Bounds())
	draw.Draw(out, out.Bounds(), img, img.Bounds().Min, draw.Src)
	return out.Pix
}
