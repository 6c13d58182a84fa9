package e2e

import (
	"path/filepath"
	"strings"
	"testing"
)

// tracked opens the page with its timeline.
func tracked(t testing.TB) *tab {
	t.Helper()
	p := startWith(t, serve(t, false).URL+"?present=plain", 1280, 800, timelineJS)
	p.poll("the page", readyJS+` && document.body.dataset.ready === 'true'`)
	p.freshTimeline()
	return p
}

// TestPictureFirst: the figure is seen before the first station's answer stands in the
// ledger; each document is read once, and one that is overtaken is not read at all.
func TestPictureFirst(t *testing.T) {
	p := tracked(t)
	p.sample()
	line := p.timeline()
	picture, station := line.first("picture"), line.first("station")
	if picture < 0 || station < 0 || picture > station {
		t.Errorf("the picture comes after %.0f ms, the first station's answer after %.0f", picture, station)
	}
	documents := 0
	for _, e := range line.Events {
		if e.What == "message partial" || e.What == "message result" {
			documents++
		}
	}
	if parsed := eval[int](p, `timeline.parsed`); parsed == 0 || parsed > documents {
		t.Errorf("%d documents came, %d were read", documents, parsed)
	}
	p.clean()
}

// TestStopBeforeAnything: Stop here ends the worker at once, before a station has
// answered (answers are held back: on a quick machine the first comes within the 60 ms);
// the figure that is drawn stays, and the next file opens.
func TestStopBeforeAnything(t *testing.T) {
	for _, when := range []string{"message progress read", "message rig", "message prepared"} {
		t.Run(when, func(t *testing.T) {
			p := tracked(t)
			eval[any](p, `timeline.holds = ['partial', 'result', 'done']; timeline.on['`+when+`'] = (w) => { setTimeout(() => { document.querySelector('#stop-here').click(); timeline.gone = w.gone; }, `+map[bool]string{true: "0", false: "60"}[when == "message progress read"]+`); }; document.querySelector('#first [data-act="sample"]').click(); 0`)
			p.poll("the end of it", `'gone' in timeline`)
			if !eval[bool](p, `timeline.gone === true`) {
				t.Error("the worker goes on")
			}
			p.poll("the words", `document.querySelector('#state').textContent.includes('Stopped')`)
			shown := when != "message progress read"
			if shown {
				p.poll("the figure", `stage.state().shown`) // a busy page takes it in slices
			}
			if got := eval[bool](p, `stage.state().shown`); got != shown {
				t.Errorf("a figure on the stage: %v", got)
			}
			if got := eval[string](p, `document.body.dataset.phase`); (got == "done") != shown {
				t.Errorf("phase %q", got)
			}
			eval[any](p, `timeline.holds = []; 0`)
			p.give(real(t))
			p.poll("the next figure", `document.querySelector('#file-name')?.textContent.includes('hand_left') && `+doneJS)
			p.clean()
		})
	}
}

// TestWorkerEnds: a worker that ends, by itself and told or not, is noticed; what had
// happened until then is said, and what was ready stays.
func TestWorkerEnds(t *testing.T) {
	for _, row := range []struct {
		name, when, how string
		says            []string
		keeps           bool
	}{
		{"no word, reading", "message progress read", `w.lose()`, []string{"not opened", "ended without a word", "while it read the file"}, false},
		{"no word, in a station", "message progress binding", `w.lose()`, []string{"broke off", "ended without a word", "after the figure was read and drawn", "stays in the ledger"}, true},
		{"memory, reading", "message progress read", `w.onmessage({data: {kind: 'ended', text: 'it ended with code 2', said: 'runtime: out of memory'}})`, []string{"not opened", "ran out of memory while it read the file"}, false},
		{"memory, in a station", "message partial", `w.onmessage({data: {kind: 'ended', text: 'it ended with code 2', said: 'fatal error: runtime: out of memory'}})`, []string{"broke off", "ran out of memory", "after the figure was read and drawn"}, true},
		{"an error, in a station", "message progress surface", `w.onerror({message: 'RuntimeError: unreachable'})`, []string{"broke off", "unreachable", "That was during S"}, true},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := tracked(t)
			// The page hears this message and no other of how far it is: a busy one would hear of later stations first.
			eval[any](p, `timeline.on['`+row.when+`'] = (w) => { timeline.holds = ['progress']; setTimeout(() => { `+row.how+` }); }; document.querySelector('#first [data-act="sample"]').click(); 0`)
			p.poll("the notice", `!document.querySelector('#notice').hidden && document.querySelector('#notice').classList.contains('err')`)
			text := eval[string](p, `document.querySelector('#notice').textContent`)
			for _, want := range row.says {
				if !strings.Contains(text, want) {
					t.Errorf("the notice does not say %q: %s", want, text)
				}
			}
			if got := eval[bool](p, `stage.state().shown`); got != row.keeps {
				t.Errorf("a figure on the stage: %v", got)
			}
			if row.keeps {
				if got := eval[string](p, `document.body.dataset.phase`); got != "done" {
					t.Errorf("phase %q", got)
				}
			} else if hidden := eval[bool](p, `getComputedStyle(document.querySelector('.first')).display === 'none'`); !hidden {
				t.Error("the notice lies over the first page")
			}
			p.settled()
			p.shot("20-worker-" + strings.ReplaceAll(strings.ReplaceAll(row.name, ",", ""), " ", "-"))
			p.clean()
		})
	}
}

// TestNoticeOverNothing: the card of a file that cannot be read takes the place of the
// first page's words; closed, they are back.
func TestNoticeOverNothing(t *testing.T) {
	p := tracked(t)
	name := filepath.Join(t.TempDir(), "empty.glb")
	write(t, name, nil)
	p.drop(name)
	p.poll("the notice", `!document.querySelector('#notice').hidden`)
	over := `(() => { const r = (s) => document.querySelector(s).getBoundingClientRect(), n = r('#notice');
		return [...document.querySelectorAll('.what, .drop, .route, .promise')].filter((e) => { const b = e.getBoundingClientRect(); return b.width > 0 && b.left < n.right && b.right > n.left && b.top < n.bottom && b.bottom > n.top; }).map((e) => e.className); })()`
	if under := eval[[]string](p, over); len(under) > 0 {
		t.Errorf("the notice lies over %q", under)
	}
	p.shot("21-notice-first")
	p.pressThe("the way out", `[...document.querySelectorAll('#notice button')].at(-1)`)
	p.poll("the first page", `document.querySelector('#notice').hidden && document.querySelector('.what').getBoundingClientRect().width > 0`)
	p.clean()
}
