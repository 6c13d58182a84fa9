package e2e

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// lessonJS is true when a lesson stands beside the figure with its numbers measured.
func lessonJS(id string) string {
	return fmt.Sprintf(`document.body.dataset.lesson === 'on' && document.querySelectorAll('#lesson-numbers tr').length > 2 && document.getElementById('lesson-turn') && document.getElementById('lesson').dataset.id === %q`, id)
}

// number reads a number of the lesson as a learner does.
func (p *tab) number(name string) string {
	p.t.Helper()
	return eval[string](p, fmt.Sprintf(`document.querySelector('[data-number=%q] td').textContent`, name))
}

// dial puts the lesson's dial somewhere and waits for its numbers.
func (p *tab) dial(at float64, says string) {
	p.t.Helper()
	eval[any](p, fmt.Sprintf(`(() => { const d = document.getElementById('lesson-turn'); d.value = %g; d.dispatchEvent(new Event('input', { bubbles: true })); })()`, at))
	p.poll("the dial at "+says, fmt.Sprintf(`document.getElementById('lesson-at').textContent === %q`, says))
}

// TestLessons walks lessons from the first page and reads the numbers a learner
// would: each changes as its dial is turned, and they are those of the command line.
func TestLessons(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	s.asked()
	p.click(`#first [data-act="lessons"]`)
	p.poll("the list", `document.getElementById('lessons').open && document.querySelectorAll('#lessons [data-lesson]').length >= 8`)
	p.shot("80-lessons")
	p.axe("the list of lessons")
	p.click(`#lessons [data-lesson="rest"]`)
	for _, row := range []struct {
		id, says string
		at       float64
		first    map[string]string // numbers as the lesson begins
		then     map[string]string // and with the dial at at
	}{
		{"rest", "0°", 0, map[string]string{"joint-turned": "60°", "matrix-rest": "0°"}, map[string]string{"joint-turned": "0°", "moved": "0\u00a0m"}},
		{"sum", "90°", 90, map[string]string{"weight-sum": "1", "largest-error": "0"}, map[string]string{"weight-sum": "1"}},
		{"collapse", "0°", 0, map[string]string{}, map[string]string{"volume-linear": "100\u00a0%", "volume-dual": "100\u00a0%"}},
		{"dual", "0°", 0, map[string]string{}, map[string]string{"width-linear": "100\u00a0%"}},
		{"mirror", "20°", 20, map[string]string{"sides-over": "0\u00a0vertices", "vertex-differs": "0"}, map[string]string{"sides-over": "0\u00a0vertices"}},
		{"arms", "−45°", -45, map[string]string{"arm-rest": "0°", "arm-from-a": "45°"}, map[string]string{"arm-rest": "0°"}},
		{"chain", "", 0, map[string]string{"chain-links": "6\u00a0joints", "chain-channels": "0\u00a0channels", "links-turned": "0°"}, nil},
		{"weld", "", 0, map[string]string{"open-edges": "0\u00a0edges", "edges-lost": "0\u00a0edges"}, nil},
	} {
		p.poll("lesson "+row.id, lessonJS(row.id)+` && `+doneJS)
		for name, want := range row.first {
			if got := p.number(name); got != want {
				t.Errorf("%s: %s is %q, want %q", row.id, name, got, want)
			}
		}
		told := commandLine(t, "lesson", "sample", "--name", row.id, "--json")
		for _, n := range told["numbers"].([]any) {
			n := n.(map[string]any)
			if got := p.number(n["name"].(string)); got != n["says"].(string) {
				t.Errorf("%s: the page says %q of %s, the command line %q", row.id, got, n["name"], n["says"])
			}
		}
		p.poll("the picture", `stage.state().fine`)
		p.shot("81-lesson-" + row.id)
		if row.says != "" {
			p.dial(row.at, row.says)
			for name, want := range row.then {
				p.poll(name, fmt.Sprintf(`document.querySelector('[data-number=%q] td').textContent === %q`, name, want))
			}
			// The figure stands where the dial does.
			p.poll("the figure", fmt.Sprintf(`Math.abs(stage.state().move.degrees - (%g)) < 0.01`, row.at))
		}
		switch row.id {
		case "collapse":
			// A learner's own sum: of a vertex shared half and half the distance from the axis at 120°
			// is that of the mean of two places on a circle, half.
			p.dial(120, "120°")
			p.axe("a lesson")
			l := commandLine(t, "lesson", "sample", "--name", "collapse", "--at", "120", "--json")["numbers"].([]any)
			of := func(i int) float64 { return l[i].(map[string]any)["value"].(float64) }
			if r := of(1) / of(0); math.Abs(r-0.5) > 0.02 {
				t.Errorf("the mean lies at %.3f of the radius", r)
			}
		case "chain":
			eval[any](p, `(() => { const d = document.getElementById('lesson-turn'); d.value = d.max; d.dispatchEvent(new Event('input', { bubbles: true })); })()`)
			p.poll("the end of the clip", `Math.abs(stage.state().seconds - Number(document.getElementById('lesson-turn').max)) < 0.01`)
		case "weld":
			eval[any](p, `(() => { const d = document.getElementById('lesson-turn'); d.value = d.max; d.dispatchEvent(new Event('input', { bubbles: true })); })()`)
			p.poll("edges lost", `!/^0/.test(document.querySelector('[data-number="edges-lost"] td').textContent)`)
		}
		if row.id != "weld" {
			p.click(`#lesson .acts .btn.lead`)
		}
	}
	p.key("\u001b")
	p.poll("left", `document.body.dataset.lesson === undefined && stage.state().method === 'linear'`)
	if got := s.asked(); len(got) > 0 {
		t.Errorf("asked for %v", got)
	}
	p.clean()
}

// TestLessonLink: a link opens a lesson on the sample, at night and on a phone; what a
// figure lacks for a lesson is said.
func TestLessonLink(t *testing.T) {
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain#lesson=collapse", 390, 844)
	p.poll("the lesson", lessonJS("collapse")+` && `+doneJS)
	eval[any](p, `document.querySelector('[data-act="paper"]').click(); 0`) // no room for it on a phone
	p.poll("night", `document.documentElement.dataset.theme === 'dark'`)
	p.shot("82-lesson-phone-night")
	p.axe("a lesson on a phone at night")
	if wide := eval[float64](p, `document.documentElement.scrollWidth`); wide > 390 {
		t.Errorf("the page is %v px wide on a phone", wide)
	}
	eval[any](p, `location.hash = '#view=back&lens=stretch&move=upperArm_L:abduction:-30'; 0`)
	p.poll("the view of the link", `(() => { const s = stage.state(); return s.from === 'back' && s.lens === 'stretch' && s.move.axis === 'abduction' && s.move.degrees === -30; })()`)
	p.clean()
}

// keepsCovered goes wherever a person may look before the answer is asked for: nothing in
// sight, nor read aloud, tells what was planted.
func (p *tab) keepsCovered() {
	p.t.Helper()
	begun := eval[string](p, `stage.state().lens`) // as any figure begins: plain, or painted where it has pictures
	if begun != "plain" && begun != "painted" {
		p.t.Errorf("a puzzle begins with the lens %s", begun)
	}
	hidden := func(where string) {
		p.t.Helper()
		// What can be chosen from, and the search's own field, name every check alike.
		if got := eval[[]string](p, `[...document.querySelectorAll('body *')].filter((e) => e.childElementCount === 0 && !e.closest('select, script, style, template') && e.checkVisibility({ visibilityProperty: true })).map((e) => e.textContent.replaceAll('\u00a0', ' ')).filter((s) => /\b14 vert|1 stop|hat brim|^found$|bound to nothing \(/i.test(s))`); len(got) > 0 {
			p.t.Errorf("%s tells %q", where, got)
		}
		if lens := eval[string](p, `stage.state().lens`); lens != begun {
			p.t.Errorf("%s shows the lens %s", where, lens)
		}
		if n := eval[int](p, `document.querySelectorAll('#card .finding').length`); n > 0 {
			p.t.Errorf("%s puts a finding on the card", where)
		}
	}
	hidden("the state line")
	eval[any](p, `document.getElementById('pad').focus(); 0`)
	p.key("n")
	hidden("the next finding")
	p.key("e")
	p.poll("no report", `document.getElementById('state').textContent.includes('covered until') && !document.getElementById('report').open`)
	p.key("f")
	p.poll("the search", `document.getElementById('find').open`)
	for _, typed := range []string{"bound", "stop", "flaw", "brim", "14"} {
		eval[any](p, fmt.Sprintf(`(() => { const f = document.getElementById('find-text'); f.value = %q; f.dispatchEvent(new Event('input')); })()`, typed))
		if got := eval[[]string](p, `[...document.querySelectorAll('#find-list .kind')].map((e) => e.textContent).filter((k) => !['Joint', 'Clip', 'Do', 'Key'].includes(k))`); len(got) > 0 {
			p.t.Errorf("the search for %q finds %q", typed, got)
		}
		hidden("the search for " + typed)
	}
	p.key("\x1b")
	p.poll("the search is shut", `!document.getElementById('find').open`)
	eval[any](p, `import('./js/ledger/checks.js').then((m) => m.showChecks())`)
	p.poll("the checks", `document.getElementById('checks').open && document.querySelectorAll('#checks-body li').length > 50`)
	hidden("the sheet of checks")
	eval[any](p, `document.getElementById('checks').close(); 0`)
	p.click(`.acts [data-act="lineup"]`)
	p.poll("the line-up", `document.body.dataset.lineup === 'open'`)
	if n := eval[int](p, `document.querySelectorAll('.lined tbody tr, #lineup [data-focus="add-open"]').length`); n > 0 {
		p.t.Error("the line-up takes the figure of the puzzle")
	}
	hidden("the line-up")
	p.click(`#lineup [data-focus="close"]`)
	p.poll("the stage", `document.body.dataset.lineup === undefined`)
	for _, lens := range eval[[]string](p, `[...document.querySelectorAll('#lens .more option')].map((o) => o.textContent)`) {
		if strings.Contains(lens, "14") || strings.Contains(lens, "brim") {
			p.t.Errorf("the lens %q tells", lens)
		}
	}
}

// TestPuzzle: a faulty sample with its ledger covered; what is written down is marked, the
// answer uncovers the ledger, and what is handed in is marked on the teacher's side too.
func TestPuzzle(t *testing.T) {
	s := serve(t, false)
	number := ""
	for text := range strings.Lines(string(commandText(t, "lesson"))) {
		if strings.Contains(text, "14 vertices of the hat brim") {
			number = strings.Fields(text)[0]
		}
	}
	p := open(t, s.URL+"?present=plain#fault="+number, 1440, 900)
	p.poll("the puzzle", `document.body.dataset.puzzle === 'on' && document.getElementById('puzzle-check') && `+doneJS)
	if got := eval[string](p, `getComputedStyle(document.getElementById('ledger')).visibility + getComputedStyle(document.getElementById('road')).visibility`); got != "hiddenhidden" {
		t.Errorf("the ledger is %s", got)
	}
	p.poll("the picture", `stage.state().fine`)
	p.shot("83-puzzle")
	p.axe("a puzzle")
	p.keepsCovered()
	dir := t.TempDir()
	saves := func(selector string) string {
		p.click(selector)
		f := p.file()
		name := filepath.Join(dir, f.name)
		if err := os.WriteFile(name, f.data, 0o644); err != nil {
			t.Fatal(err)
		}
		return name
	}
	eval[any](p, `(() => { const c = document.getElementById('puzzle-check'); c.value = 'binding/unbound'; document.getElementById('puzzle-says').value = 'the brim stays behind'; })()`)
	p.click("#puzzle-write")
	p.poll("written down", `document.querySelectorAll('#puzzle .found li').length === 1`)
	eval[any](p, `document.querySelector('#puzzle .hand-in').open = true; const by = document.getElementById('puzzle-by'); by.value = 'Ada'; by.dispatchEvent(new Event('input')); 0`)
	handed := saves("#puzzle-save")
	p.click("#puzzle-tell")
	p.poll("the answer", `document.getElementById('puzzle-answer') && /14 vertices of the hat brim/.test(document.getElementById('puzzle-answer').textContent) && /named it/.test(document.getElementById('puzzle-answer').textContent)`)
	p.poll("the finding on the card", `/bound to nothing/i.test(document.getElementById('h-card').textContent + document.getElementById('card').textContent)`)
	p.shot("84-puzzle-told")
	p.click("#puzzle-ledger")
	p.poll("the ledger", `document.body.dataset.puzzle === undefined && getComputedStyle(document.getElementById('ledger')).visibility === 'visible'`)

	// The teacher's side, on the page and on the terminal.
	p.click(`.head [data-act="lessons"]`)
	p.poll("the list", `document.getElementById('lessons').open`)
	eval[any](p, `document.querySelector('#lessons .teacher').open = true; const of = document.getElementById('teach-of'); of.value = `+number+`; 0`)
	p.poll("the teacher's part", `document.getElementById('teach-answer').offsetParent !== null`)
	answer := saves("#teach-answer")
	p.upload("#teach-load", handed)
	p.poll("the marks", `/1 of 1 learner found it/.test(document.getElementById('teach-says').textContent) && /Ada/.test(document.querySelector('#teach-says .marks').textContent)`)
	p.shot("85-teacher")
	p.axe("the teacher's part")
	var told struct{ Says string }
	if err := json.Unmarshal(commandText(t, "mark", answer, handed, "--json"), &told); err != nil || !strings.Contains(told.Says, "1 of 1 learner found it") {
		t.Errorf("the command line says %q, %v", told.Says, err)
	}
	p.clean()
}
