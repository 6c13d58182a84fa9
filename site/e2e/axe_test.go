package e2e

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// axeColours are the rules of axe-core that colours decide. The others read the document and
// its layout, which no paper changes: they run once a state.
var axeColours = []string{"color-contrast", "link-in-text-block"}

// axe fails the test on a violation that axe-core knows: of the state as it is, then of its colours
// on the other paper and in forced colours, on black and on white. What else the sheets say for
// forced colours is colour alone (site/test/sheets.test.js holds them to it), so the other rules
// have nothing new to read there. The page is left as it was. All of it takes 0.4 s a state more
// on a quiet machine.
func (p *tab) axe(state string) {
	p.t.Helper()
	from := time.Now()
	p.axeRuns(state, nil)
	if bad := eval[string](p, oneVoiceJS); bad != "" {
		p.t.Errorf("%s: %s", state, bad)
	}
	mid := time.Now()
	was := eval[string](p, `document.documentElement.dataset.theme ?? ''`)
	other := eval[string](p, `getComputedStyle(document.documentElement).colorScheme`)
	if other = map[string]string{"dark": "light", "light": "dark"}[other]; other == "" {
		other = "dark" // both: the system's, which is light here
	}
	p.dressed(other, "")
	p.axeRuns(state+", "+other, axeColours)
	p.dressed(other, "dark")
	p.axeRuns(state+", forced colours on black", axeColours)
	p.dressed(other, "light")
	p.axeRuns(state+", forced colours on white", axeColours)
	p.dressed(was, "")
	p.t.Logf("%s: axe took %d ms, the other colours %d", state, mid.Sub(from).Milliseconds(), time.Since(mid).Milliseconds())
}

// oneVoiceJS answers what is wrong with the regions that are spoken of themselves: exactly one is
// to be heard, of a dialog that is open at most one, since the page behind it is silent then.
// Alerts count where they hold words.
const oneVoiceJS = `(() => { const modal = document.querySelector('dialog[open]'), root = modal ?? document;
	const all = [...root.querySelectorAll('[role="status"], [role="log"], [role="timer"], [aria-live="polite"], [aria-live="assertive"], output')].filter((e) => e.checkVisibility({ visibilityProperty: true }));
	const names = all.map((e) => e.id || e.className || e.tagName).join(', ');
	if (modal ? all.length > 1 : all.length !== 1) return all.length + ' live regions: ' + names;
	const alerts = [...root.querySelectorAll('[role="alert"]')].filter((e) => e.checkVisibility({ visibilityProperty: true }) && e.textContent.trim() !== '');
	return alerts.length > 1 ? alerts.length + ' alerts at once' : ''; })()`

// dressed puts the page on a paper, "" the system's, in its own colours or in forced ones on a
// "dark" or "light" ground, and waits until nothing fades any more. The paper is set past the
// page's button, so that the stage draws nothing anew: its picture is no part of what axe reads.
func (p *tab) dressed(paper, forced string) {
	p.t.Helper()
	active, scheme := "active", forced
	if forced == "" { // an empty list would leave the last ones in force
		active, scheme = "none", "light"
	}
	features := []*emulation.MediaFeature{{Name: "forced-colors", Value: active}, {Name: "prefers-color-scheme", Value: scheme}}
	eval[any](p, fmt.Sprintf(`(() => { const d = document.documentElement.dataset; if (%[1]q) d.theme = %[1]q; else delete d.theme; return 0; })()`, paper))
	_, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features})
	p.must(err)
	p.poll("the colours exchanged", fmt.Sprintf(`matchMedia('(forced-colors: active)').matches === %v && document.getAnimations().every((a) => a.playState !== 'running')`, forced != ""))
}

// axeRuns runs axe-core once, all its rules or those named.
func (p *tab) axeRuns(state string, rules []string) {
	p.t.Helper()
	if !eval[bool](p, `globalThis.axe !== undefined`) {
		axe, err := os.ReadFile("../node_modules/axe-core/axe.min.js")
		p.must(err)
		eval[any](p, string(axe)+"; 0")
	}
	only := ""
	if rules != nil {
		only = fmt.Sprintf(`, runOnly: ["%s"]`, strings.Join(rules, `", "`))
	}
	for _, v := range eval[[]string](p, `axe.run(document, {resultTypes: ['violations']`+only+`}).then((r) => r.violations.map((v) => v.id + ': ' + v.nodes.map((n) => n.target.join(' ') + ' (' + (n.any[0]?.message ?? '') + ')').join(', ')))`) {
		p.t.Errorf("%s: %s", state, v)
	}
}

// TestAxeSeesEachPaper: a text that is too faint on one paper or in forced colours alone is told,
// and the page is as it was afterwards.
func TestAxeSeesEachPaper(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1280, 800)
	for _, row := range []struct{ name, rules, want string }{
		{"day", `#planted { color: light-dark(#ddd, #eee); background: light-dark(#fff, #000); }`, "planted"},
		{"night", `#planted { color: light-dark(#222, #222); background: light-dark(#fff, #000); }`, "planted, dark"},
		{"forced", `@media (forced-colors: active) { #planted { forced-color-adjust: none; color: #888; background: #777; } }`, "planted, forced colours on white"},
	} {
		t.Run(row.name, func(t *testing.T) {
			told := &told{TB: t}
			q := &tab{t: told, ctx: p.ctx}
			eval[any](q, fmt.Sprintf(`(() => { const s = new CSSStyleSheet(); s.replaceSync(%q); document.adoptedStyleSheets = [s];
				const e = document.getElementById('planted') ?? document.querySelector('#what').appendChild(document.createElement('b')); e.id = 'planted'; e.textContent = 'faint'; return 0; })()`, row.rules))
			q.axe("planted")
			if !strings.Contains(strings.Join(told.lines, "\n"), row.want+": color-contrast: #planted") {
				t.Errorf("axe told %q", told.lines)
			}
			if got := eval[string](p, `(document.documentElement.dataset.theme ?? 'none') + matchMedia('(forced-colors: active)').matches`); got != "nonefalse" {
				t.Errorf("the page is left as %s", got)
			}
		})
	}
}

// told is a test that only notes what it would fail of.
type told struct {
	testing.TB
	lines []string
}

func (t *told) Errorf(format string, args ...any) {
	t.lines = append(t.lines, fmt.Sprintf(format, args...))
}
