package e2e

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/tracing"
	"github.com/chromedp/chromedp"
)

// happening is one entry of a trace of the browser (Trace Event Format): ts, dur in
// microseconds by the clock; tts, tdur in microseconds that its thread was running.
type happening struct {
	Name string  `json:"name"`
	Cat  string  `json:"cat"`
	Ph   string  `json:"ph"`
	Pid  int     `json:"pid"`
	Tid  int     `json:"tid"`
	Ts   float64 `json:"ts"`
	Dur  float64 `json:"dur"`
	Tts  float64 `json:"tts"`
	Tdur float64 `json:"tdur"`
	Args struct {
		Name string         `json:"name"`
		Data map[string]any `json:"data"`
	} `json:"args"`
}

// block is one task of the page's main thread, less the frames drawn in it.
type block struct {
	At     float64 // milliseconds since the trace began
	Took   float64 // milliseconds of the thread's own time: what other programs do does not count
	Clock  float64 // milliseconds by the clock, frames too
	Frames float64 // left out of Took: milliseconds in callbacks of requestAnimationFrame
	Does   string  // what took most of it
}

// traced runs something and answers the tasks of the page's main thread, longest first.
func (p *tab) traced(run func()) []block {
	p.t.Helper()
	var mu sync.Mutex
	var all []happening
	complete := make(chan struct{})
	chromedp.Listen(p.ctx, func(event any) {
		switch e := event.(type) {
		case *tracing.EventDataCollected:
			mu.Lock()
			defer mu.Unlock()
			for _, v := range e.Value {
				var h happening
				if json.Unmarshal(v, &h) == nil {
					all = append(all, h)
				}
			}
		case *tracing.EventTracingComplete:
			close(complete)
		}
	})
	// Sampling stays off: it would take time of the thread that is measured.
	_, err := chromedp.Call(p.ctx, tracing.Start, tracing.StartParams{TraceConfig: &tracing.TraceConfig{
		IncludedCategories: []string{"__metadata", "devtools.timeline", "disabled-by-default-devtools.timeline", "v8"}, ExcludedCategories: []string{"*"}}})
	p.must(err)
	run()
	_, err = chromedp.Call(p.ctx, tracing.End, cdp.Empty{})
	p.must(err)
	select {
	case <-complete:
	case <-time.After(time.Minute):
		p.t.Fatal("the browser never gives its trace")
	}
	mu.Lock()
	defer mu.Unlock()
	return blocksOf(p.t, all)
}

// blocksOf cuts a trace into tasks.
func blocksOf(t testing.TB, all []happening) []block {
	t.Helper()
	type thread struct{ pid, tid int }
	main := map[thread]float64{} // time it ran for
	for _, h := range all {
		if h.Name == "thread_name" && h.Args.Name == "CrRendererMain" {
			main[thread{h.Pid, h.Tid}] = 0
		}
	}
	within := map[thread][]happening{}
	for _, h := range all {
		at := thread{h.Pid, h.Tid}
		if _, ok := main[at]; !ok || h.Ph != "X" {
			continue
		}
		within[at] = append(within[at], h)
		if h.Name == "RunTask" {
			main[at] += h.Tdur
		}
	}
	busiest, most := thread{}, -1.
	for at, ran := range main {
		if ran > most {
			busiest, most = at, ran
		}
	}
	list := within[busiest]
	if most <= 0 {
		t.Fatal("the trace tells no thread times, so nothing is measured")
	}
	slices.SortFunc(list, func(a, b happening) int { return cmp.Or(cmp.Compare(a.Ts, b.Ts), cmp.Compare(b.Dur, a.Dur)) })
	var out []block
	for i, h := range list {
		if h.Name != "RunTask" {
			continue
		}
		b := block{At: (h.Ts - list[0].Ts) / 1000, Took: h.Tdur / 1000, Clock: h.Dur / 1000}
		var parts []string
		for _, k := range list[i+1:] {
			if k.Ts >= h.Ts+h.Dur {
				break
			}
			if k.Name == "FireAnimationFrame" {
				b.Frames += k.Tdur / 1000
				b.Took -= k.Tdur / 1000
			}
			if k.Tdur > 4000 {
				parts = append(parts, fmt.Sprintf("%s %.0f %v", k.Name, k.Tdur/1000, where(k.Args.Data)))
			}
		}
		b.Does = strings.Join(parts, "; ")
		out = append(out, b)
	}
	slices.SortStableFunc(out, func(a, b block) int { return cmp.Compare(b.Took, a.Took) })
	return out
}

// where tells the script of an entry.
func where(data map[string]any) string {
	url, _ := data["url"].(string)
	name, _ := data["functionName"].(string)
	if kind, ok := data["type"].(string); ok {
		return kind
	}
	if url == "" {
		return ""
	}
	return fmt.Sprintf("%s %s:%v", name, url[strings.LastIndex(url, "/")+1:], data["lineNumber"])
}

// longestTask is how long one task may hold the main thread, frames apart, in milliseconds:
// what browsers call a long task (Long Tasks API, W3C).
const longestTask = 50.

// TestNoBlock: from a file that is dropped to its last station no task but a frame holds
// the main thread for more than 50 ms of its own time.
func TestNoBlock(t *testing.T) {
	const knight = "../../../shared/corpus/models/Knight.glb"
	for _, row := range []struct {
		name, file string
		width      int64
		before     string // done on the page first
	}{
		{"sample", "", 1280, ""},
		{"5,000 joints", heavies["joints"](t), 1280, ""},
		{"76 clips", knight, 1280, ""},
		{"76 clips, the file's tab of a phone", knight, 390, `document.body.dataset.tab = 'file'`},
		{"gear and 14 clips", "../../../shared/corpus/models/robot.glb", 1280, ""},
		{"another", os.Getenv("RIGLOUPE_BLOCKS"), 1280, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			if row.file == "" && row.name == "another" {
				t.Skip("RIGLOUPE_BLOCKS names no file")
			}
			if row.file != "" {
				if _, err := os.Stat(row.file); err != nil {
					t.Skipf("this figure is not here: %v", err)
				}
			}
			p := startWith(t, serve(t, false).URL+"?present=plain", row.width, 800)
			p.poll("the page", readyJS+` && document.body.dataset.ready === 'true'`)
			eval[any](p, row.before+`; 0`)
			list := p.traced(func() {
				if row.file == "" {
					p.press(`#first [data-act="sample"]`)
				} else {
					p.drop(row.file)
				}
				p.poll("the figure", doneJS)
				p.still() // with what follows the last station
			})
			for i, b := range list {
				if b.Took > longestTask {
					t.Errorf("at %.0f ms a task of %.0f ms: %s", b.At, b.Took, b.Does)
				} else if i < 5 && testing.Verbose() {
					fmt.Printf("%8.0f %6.1f ms (%.1f by the clock, %.1f frames) %s\n", b.At, b.Took, b.Clock, b.Frames, b.Does)
				}
			}
			p.clean()
		})
	}
}
