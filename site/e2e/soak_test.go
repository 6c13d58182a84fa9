package e2e

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/systeminfo"
	"github.com/chromedp/chromedp"
)

// packedFigure is a small figure whose views are packed by meshopt.
const packedFigure = "../../inspect/gltfio/testdata/figure-khr.glb"

// TestPackedDrop: a file packed by meshopt is examined in the page as on the terminal.
func TestPackedDrop(t *testing.T) {
	p := open(t, serve(t, false).URL+"?present=plain", 1280, 800)
	p.drop(packedFigure)
	p.poll("the figure", doneJS)
	got := eval[map[string]any](p, `import('./js/state/desk.js').then((m) => m.desk.figure.doc.facts_of)`)
	want := commandLine(t, "examine", packedFigure, "--json")["facts_of"].(map[string]any)
	for _, station := range []string{"intake", "surface", "skeleton", "binding", "bends", "motion"} {
		if !reflect.DeepEqual(got[station], want[station]) {
			t.Errorf("%s: other facts than the command line's", station)
		}
	}
	p.clean()
}

// TestBack, run by hand with TestSoak: a page that was left and come back to, out of the browser's memory of pages or
// loaded anew, examines a file.
func TestBack(t *testing.T) {
	if os.Getenv("RIGLOUPE_SOAK") == "" {
		t.Skip("RIGLOUPE_SOAK=500 runs it")
	}
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1280, 800)
	p.drop(packedFigure)
	p.poll("the figure", doneJS)
	eval[bool](p, `(addEventListener('pageshow', (e) => { globalThis.cameBack = e.persisted; }), true)`)
	p.must(chromedp.Do(p.ctx, chromedp.Navigate("about:blank")))
	history, err := chromedp.Call(p.ctx, page.GetNavigationHistory, cdp.Empty{})
	p.must(err)
	_, err = chromedp.Call(p.ctx, page.NavigateToHistoryEntry, page.NavigateToHistoryEntryParams{EntryID: history.Entries[history.CurrentIndex-1].ID})
	p.must(err)
	p.poll("the page again", `location.href.includes('present=plain') && (globalThis.cameBack === true || document.body?.dataset.ready === 'true')`)
	t.Logf("out of memory: %v", eval[bool](p, `globalThis.cameBack === true`))
	p.give(packedFigure)
	p.poll("the figure again", doneJS)
	p.still()
}

// TestStorageDenied: where a browser keeps nothing, the page works and throws nothing.
func TestStorageDenied(t *testing.T) {
	p := startWith(t, serve(t, false).URL+"?present=plain", 1280, 800,
		`for (const name of ['localStorage', 'sessionStorage', 'indexedDB']) Object.defineProperty(window, name, { get() { throw new DOMException('denied', 'SecurityError'); } });`)
	p.poll("the page", readyJS)
	p.drop(packedFigure)
	p.poll("the figure", doneJS)
	p.still()
	p.shot("storage-denied")
	p.clean()
}

// resident answers what the tab's own process has resident now, MB, after its garbage was
// collected.
func (p *tab) resident() float64 {
	p.t.Helper()
	for range 2 {
		_, err := chromedp.Call(p.ctx, heapprofiler.CollectGarbage, cdp.Empty{})
		p.must(err)
	}
	all, err := chromedp.CallBrowser(p.ctx, systeminfo.GetProcessInfo, cdp.Empty{})
	p.must(err)
	most := 0.0
	for _, x := range all.ProcessInfo {
		if x.Type != "renderer" {
			continue
		}
		status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", x.ID))
		if err != nil {
			continue
		}
		if _, rest, is := strings.Cut(string(status), "VmRSS:"); is {
			kb, err := strconv.ParseFloat(strings.Fields(rest)[0], 64)
			p.must(err)
			most = max(most, kb/1024)
		}
	}
	return most
}

// TestSoak is run by hand, RIGLOUPE_SOAK=500: so many figures one after the other in one page,
// its memory flat within 10 % from a tenth of them on, then a fifth as many examinations of a
// larger figure stopped at random moments, and the page answers as before.
func TestSoak(t *testing.T) {
	n, err := strconv.Atoi(os.Getenv("RIGLOUPE_SOAK"))
	if err != nil {
		t.Skip("RIGLOUPE_SOAK=500 runs it")
	}
	dir := t.TempDir()
	kinds := []string{packedFigure, "../../inspect/gltfio/testdata/simpleskin.gltf"}
	for i, args := range [][]string{{"--pose", "A"}, {"--fault", "surface/boundary-edges"}, {"--vertices", "20000"}} {
		name := filepath.Join(dir, fmt.Sprintf("sample%d.glb", i))
		runCommand(t, append([]string{"sample", "--out", name}, args...)...)
		kinds = append(kinds, name)
	}
	p := open(t, serve(t, false).URL+"?present=plain", 1280, 800)
	var took []float64
	examined := func(path string) {
		want := filepath.Base(path)
		p.give(path)
		p.poll(want, fmt.Sprintf(doneJS+` && import('./js/state/desk.js').then((m) => m.desk.phase === 'done' && m.desk.figure?.doc.file.name === %q)`, want))
	}
	began := time.Now()
	for i := range n {
		examined(kinds[i%len(kinds)])
		if (i+1)%(5*max(1, n/50)) == 0 { // with the same figure each time
			p.still()
			took = append(took, p.resident())
			t.Logf("%d figures, %.0f s: %.0f MB", i+1, time.Since(began).Seconds(), took[len(took)-1])
		}
	}
	if k := len(took); k > 2 {
		early, late := took[1:max(2, k/3)], took[k-max(1, k/3):]
		if a, b := slices.Max(early), slices.Max(late); b > 1.1*a {
			t.Errorf("%.0f MB early, %.0f MB late", a, b)
		}
	}
	large := filepath.Join(dir, "large.glb")
	runCommand(t, "sample", "--out", large, "--vertices", "60000")
	random := rand.New(rand.NewPCG(1, 2))
	ends := map[string]int{}
	for range n / 5 {
		phase := eval[string](p, `document.body.dataset.phase`)
		p.drop(large)
		if p.comes(200*time.Millisecond, `document.getElementById('offer').open`) {
			p.press(`[data-offer="open"]`)
		}
		time.Sleep(time.Duration(random.IntN(1500)) * time.Millisecond)
		eval[bool](p, `import('./js/talk/examine.js').then((m) => (m.stopHere(), true))`)
		p.poll("an end", `document.body.dataset.phase !== 'examining' && asksOpen.size === 0`)
		ends[phase+" → "+eval[string](p, `document.body.dataset.phase`)]++
	}
	t.Logf("stopped: %v", ends)
	examined(kinds[0])
	p.still()
	t.Logf("after the stops: %.0f MB, peak %.0f MB", p.resident(), p.peak())
	p.clean()
}

// TestLargeInTab is run by hand, RIGLOUPE_LARGE=1000000: what a figure of so many vertices takes
// of a tab, at the peak and when all is answered.
func TestLargeInTab(t *testing.T) {
	n, err := strconv.Atoi(os.Getenv("RIGLOUPE_LARGE"))
	if err != nil {
		t.Skip("RIGLOUPE_LARGE=1000000 runs it")
	}
	large := filepath.Join(t.TempDir(), "large.glb")
	runCommand(t, "sample", "--out", large, "--vertices", strconv.Itoa(n))
	p := open(t, serve(t, false).URL+"?present=plain", 1280, 800)
	p.waits = 10 * time.Minute
	began := time.Now()
	p.drop(large)
	p.poll("the figure", doneJS)
	p.still()
	t.Logf("%d vertices, %.0f s: %.0f MB, peak %.0f MB, examiner and stage %.0f; %s", n, time.Since(began).Seconds(), p.resident(), p.peak(), eval[[]float64](p, `import('./js/programs/shell.js').then((m) => [m.memory().examiner / 1048576, m.memory().stage / 1048576])`), p.maps())
	small := filepath.Base(packedFigure)
	p.give(packedFigure)
	p.poll(small, fmt.Sprintf(`document.body.dataset.phase === 'done' && import('./js/state/desk.js').then((m) => m.desk.figure?.doc.file.name === %q)`, small))
	p.still()
	t.Logf("a small one after it: %.0f MB", p.resident())
}
