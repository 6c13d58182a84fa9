package e2e

import (
	"encoding/base64"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// Benchmarks in a real browser, plain presenter (the other would time the
// software that stands in for a GPU). Each reports the cold figure, in a fresh
// browser, beside the warm one. Nothing passes or fails by time.

// BenchmarkSampleOnScreen: from navigation to the sample drawn, nothing cached.
func BenchmarkSampleOnScreen(b *testing.B) {
	for b.Loop() {
		s := serve(b, false)
		p := start(b, s.URL+"?present=plain#sample", 1280, 800)
		b.ReportMetric(eval[float64](p, `new Promise((done) => { const look = () => { if (globalThis.stage?.state && stage.state().shown && stage.state().uploads > 0) done(performance.now()); else setTimeout(look, 5); }; look(); })`), "ms-navigation-to-picture")
	}
}

// frames times pictures while the clip is scrubbed, as a person sees them.
const frames = `(async (n, moving) => { const t = []; for (let i = 0; i < n; i++) { const before = stage.state().frames; stage.set({ clip: %d, seconds: 0.01 + (i %% 60) * 0.02, playing: false });
	const start = performance.now(); while (stage.state().frames === before) await new Promise((r) => requestAnimationFrame(r)); t.push(stage.state().drawMS); } t.sort((a, b) => a - b); return t[t.length >> 1]; })(%d)`

// BenchmarkFrame: a frame of skin, lens and raster for figures of three sizes.
func BenchmarkFrame(b *testing.B) {
	for _, row := range []struct {
		name     string
		vertices int
	}{{"sample", 10_000}, {"100k-vertices", 100_000}} {
		b.Run(row.name, func(b *testing.B) {
			name := filepath.Join(b.TempDir(), row.name+".glb")
			runCommand(b, "sample", "--vertices", fmt.Sprint(row.vertices), "--out", name)
			s := serve(b, false)
			p := open(b, s.URL+"?present=plain", 1280, 800)
			p.give(name)
			p.poll("the figure", doneJS)
			for b.Loop() {
				cold := eval[float64](p, fmt.Sprintf(frames, 0, 3))
				warm := eval[float64](p, fmt.Sprintf(frames, 0, 60))
				b.ReportMetric(cold, "ms-moving-cold")
				b.ReportMetric(warm, "ms-moving-warm")
			}
		})
	}
}

// BenchmarkMove: a frame of a move that plays, by lens and way of blending: only what
// is shown is worked out. 1280×800.
func BenchmarkMove(b *testing.B) {
	for _, row := range []struct{ name, set string }{
		{"plain", `lens: 'plain', split: false`}, {"stretch", `lens: 'stretch', split: false`},
		{"turned-over", `lens: 'turned-over', split: false`}, {"stretch-split", `lens: 'stretch', split: true`},
	} {
		b.Run(row.name, func(b *testing.B) {
			s := serve(b, false)
			p := open(b, s.URL+"?present=plain", 1280, 800)
			p.sample()
			joint := eval[int](p, `(async () => { const { desk } = await import('./js/state/desk.js'); return desk.figure.joints.find((j) => j.name === 'upperLeg_R').node; })()`)
			const frames = `(async () => { const t = []; for (let i = 0; i < 60; i++) { const before = stage.state().frames; stage.set({ degrees: i, playing: false });
				while (stage.state().frames === before) await new Promise((r) => requestAnimationFrame(r)); t.push(stage.state().drawMS); } t.sort((a, b) => a - b); return t[t.length >> 1]; })()`
			eval[any](p, fmt.Sprintf(`stage.set({move: {joint: %d, axis: 'flexion', degrees: 0}, %s})`, joint, row.set))
			for b.Loop() {
				b.ReportMetric(eval[float64](p, frames), "ms-moving")
				p.still()
				b.ReportMetric(eval[float64](p, `stage.state().drawMS`), "ms-refined")
			}
		})
	}
}

// BenchmarkReadAndExamine: real figures from bytes to all answers, to the first finding
// and to the figure at hand, beside the glTF conformance checker (npm gltf-validator, all
// messages kept) on the same bytes in the same browser, by turns. First runs are cold, of
// the rest the median is told. What is called ÷checker does not depend on the machine.
func BenchmarkReadAndExamine(b *testing.B) {
	checker, err := os.ReadFile("../node_modules/gltf-validator/gltf_validator.dart.js")
	if err != nil {
		b.Fatal(err)
	}
	for _, name := range []string{"Knight", "robot", "Fox", "hand_left"} {
		b.Run(name, func(b *testing.B) {
			data, err := os.ReadFile("../../../shared/corpus/models/" + name + ".glb")
			if err != nil {
				b.Skipf("the figure is not here: %v", err)
			}
			s := serve(b, false)
			p := open(b, s.URL+"?present=plain", 1280, 800)
			eval[any](p, fmt.Sprintf(`globalThis.file = Uint8Array.from(atob(%q), (c) => c.charCodeAt(0)); 0`, base64.StdEncoding.EncodeToString(data)))
			eval[any](p, `globalThis.exports = {}; 0`)
			eval[any](p, string(checker)+"; 0")
			for b.Loop() {
				t := eval[map[string][]float64](p, byTurns)
				cold := func(what string) float64 { return t[what][0] }
				warm := func(what string) float64 { return median(t[what][1:]) }
				for heat, of := range map[string]func(string) float64{"cold": cold, "warm": warm} {
					for _, what := range []string{"all", "first", "rig", "checker"} {
						b.ReportMetric(of(what), "ms-"+what+"-"+heat)
						if what != "checker" {
							b.ReportMetric(of(what)/of("checker"), what+"÷checker-"+heat)
						}
					}
				}
			}
		})
	}
}

// byTurns times one examination and one check after the other, in ms from the bytes.
const byTurns = `(async () => { const { startExaminer } = await import('./js/programs/shell.js'); const t = { all: [], first: [], rig: [], checker: [] };
	for (let i = 0; i < 9; i++) {
		const told = {}; const see = (what) => { told[what] ??= performance.now(); };
		const x = await startExaminer({ keeps: false, onMessage: (m) => {
			if (m.kind === 'rig') see('rig');
			if (m.kind === 'result') see('all');
			if (m.kind === 'result' || m.kind === 'partial' && JSON.parse(m.json).findings.length > 0) see('first');
		} });
		const bytes = file.slice().buffer; let start = performance.now();
		await x.ask('examine', { files: [{ name: 'figure.glb', bytes }], limits: '' }, [bytes]); x.end();
		for (const what of ['all', 'first', 'rig']) t[what].push(told[what] - start);
		start = performance.now(); await exports.validateBytes(file, { maxIssues: 0 }); t.checker.push(performance.now() - start);
	}
	return t; })()`

func median(t []float64) float64 {
	t = slices.Sorted(slices.Values(t))
	return t[len(t)/2]
}
