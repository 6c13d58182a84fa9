package e2e

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
)

// timelineJS is put in before any script runs. It notes when each message of a worker
// comes, what each worker was asked last, when each picture is shown, and which tasks held the main thread for more than
// 50 ms (Long Tasks API, W3C), apart from what was drawing.
const timelineJS = `globalThis.timeline = { events: [], long: [], frames: [], parsed: 0, workers: [], on: {}, holds: [] };
{
	const T = globalThis.timeline, now = () => performance.now();
	const note = (what) => { T.events.push({ what, at: now() }); };
	globalThis.Worker = class extends Worker {
		constructor(...a) {
			super(...a);
			T.workers.push(this);
			this.addEventListener('message', (e) => {
				const d = e.data ?? {}, what = 'message ' + d.kind + (d.kind === 'progress' ? ' ' + d.station : '');
				note(what);
				if (T.holds.includes(d.kind)) e.stopImmediatePropagation(); // the page never hears it
				const then = T.on[what];
				if (then) { delete T.on[what]; then(this); }
			});
		}
		postMessage(m, ...a) {
			if (m?.kind && m.kind !== 'stop') this.asked = m.kind;
			if (['examine', 'sample', 'reopen'].includes(m?.kind)) this.opened = true;
			super.postMessage(m, ...a);
		}
		terminate() { this.gone = true; note('terminated'); super.terminate(); }
		lose() { super.terminate(); } // as a browser ends one: nobody is told
	};
	T.opened = () => T.workers.filter((w) => w.opened); // one may wait that has no figure
	const parse = JSON.parse;
	JSON.parse = (text, ...a) => { if (typeof text === 'string' && text.startsWith('{"facts":')) T.parsed++; return parse(text, ...a); };
	new MutationObserver(() => { if (!T.station && document.querySelector('#ledger [data-station].done')) { T.station = true; note('station'); } }).observe(document, { childList: true, subtree: true });
	const ask = globalThis.requestAnimationFrame.bind(globalThis);
	globalThis.requestAnimationFrame = (fn) => ask((t) => { const start = now(); try { fn(t); } finally { T.frames.push([start, now()]); } });
	const put = CanvasRenderingContext2D.prototype.putImageData;
	CanvasRenderingContext2D.prototype.putImageData = function (...a) { put.apply(this, a); note(globalThis.stage?.state().shown ? 'picture' : 'paper'); };
	new PerformanceObserver((list) => { for (const e of list.getEntries()) T.long.push([e.startTime, e.startTime + e.duration]); }).observe({ type: 'longtask', buffered: true });
	try { new PerformanceObserver((list) => { for (const e of list.getEntries()) for (const s of e.scripts) T.events.push({ what: 'script ' + s.invoker + ' ' + Math.round(s.duration) + ' ms', at: s.startTime }); }).observe({ type: 'long-animation-frame', buffered: true }); } catch {}
}`

// happened is one entry of the timeline, milliseconds after it began.
type happened struct {
	What string  `json:"what"`
	At   float64 `json:"at"`
}

type timeline struct {
	Events []happened   `json:"events"`
	Long   [][2]float64 `json:"long"`
	Frames [][2]float64 `json:"frames"`
}

// fresh forgets what the timeline holds and begins it now.
func (p *tab) freshTimeline() {
	p.t.Helper()
	eval[any](p, `Object.assign(globalThis.timeline, {events: [], long: [], frames: [], parsed: 0, station: false, start: performance.now()}); 0`)
}

// timeline answers what happened since it was made fresh, times from then on.
func (p *tab) timeline() timeline {
	p.t.Helper()
	t := eval[timeline](p, `new Promise((r) => setTimeout(r, 200)).then(() => { const T = globalThis.timeline, s = T.start ?? 0;
		return { events: T.events.map((e) => ({ what: e.what, at: e.at - s })), long: T.long.map((a) => a.map((v) => v - s)), frames: T.frames.map((a) => a.map((v) => v - s)) }; })`)
	slices.SortStableFunc(t.Events, func(a, b happened) int {
		switch {
		case a.At < b.At:
			return -1
		case a.At > b.At:
			return 1
		}
		return 0
	})
	return t
}

// first is when something happened first; −1: never.
func (t *timeline) first(what string) float64 {
	for _, e := range t.Events {
		if strings.HasPrefix(e.What, what) {
			return e.At
		}
	}
	return -1
}

// blocks are the long tasks less the drawing in them: start and length, milliseconds.
func (t *timeline) blocks() (out [][2]float64) {
	for _, l := range t.Long {
		length := l[1] - l[0]
		for _, f := range t.Frames {
			if both := min(l[1], f[1]) - max(l[0], f[0]); both > 0 {
				length -= both
			}
		}
		if length > 50 {
			out = append(out, [2]float64{l[0], length})
		}
	}
	return out
}

// BenchmarkBlocks: from a file that is given to its findings; when the figure is seen,
// and what held the main thread. Nothing passes or fails by time.
func BenchmarkBlocks(b *testing.B) {
	for _, row := range []struct{ name, file string }{
		{"sample", ""}, {"knight", "../../../shared/corpus/models/Knight.glb"}, {"robot", "../../../shared/corpus/models/robot.glb"},
		{"extra", os.Getenv("RIGLOUPE_BLOCKS")}, // any other file
	} {
		b.Run(row.name, func(b *testing.B) {
			if row.name != "sample" {
				if _, err := os.Stat(row.file); err != nil {
					b.Skipf("this figure is not here: %v", err)
				}
			}
			s := serve(b, false)
			for b.Loop() {
				p := startWith(b, s.URL+"?present=plain", 1280, 800, timelineJS)
				p.poll("the page", readyJS+` && document.body.dataset.ready === 'true'`)
				p.freshTimeline()
				if row.name == "sample" {
					p.press(`#first [data-act="sample"]`)
				} else {
					p.drop(row.file)
				}
				p.poll("the figure", doneJS)
				t := p.timeline()
				done := t.first("message done")
				b.ReportMetric(t.first("picture"), "ms-picture")
				b.ReportMetric(t.first("message partial"), "ms-first-station")
				b.ReportMetric(done, "ms-done")
				sum, longest := 0., 0.
				for _, l := range t.blocks() {
					sum += l[1]
					longest = max(longest, l[1])
				}
				b.ReportMetric(sum, "ms-blocked")
				b.ReportMetric(longest, "ms-longest")
				if testing.Verbose() {
					for _, e := range t.Events {
						if !strings.Contains(e.What, "progress") {
							fmt.Printf("%8.0f %s\n", e.At, e.What)
						}
					}
					fmt.Println("long tasks", t.Long, "\nwithout frames", t.blocks())
				}
			}
		})
	}
}
