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

// BenchmarkReadAndExamine: a character with 76 clips from bytes to findings, beside
// the glTF conformance checker (npm gltf-validator, all messages kept) on the same
// bytes in the same browser. First runs are cold, the rest warm; least of 9.
func BenchmarkReadAndExamine(b *testing.B) {
	const name = "../../../shared/corpus/models/Knight.glb"
	data, err := os.ReadFile(name)
	if err != nil {
		b.Skipf("the figure with 76 clips is not here: %v", err)
	}
	checker, err := os.ReadFile("../node_modules/gltf-validator/gltf_validator.dart.js")
	if err != nil {
		b.Fatal(err)
	}
	s := serve(b, false)
	p := open(b, s.URL+"?present=plain", 1280, 800)
	eval[any](p, fmt.Sprintf(`globalThis.file = Uint8Array.from(atob(%q), (c) => c.charCodeAt(0)); 0`, base64.StdEncoding.EncodeToString(data)))
	eval[any](p, `globalThis.exports = {}; 0`)
	eval[any](p, string(checker)+"; 0")
	const theirs = `(async () => { const t = []; for (let i = 0; i < 9; i++) { const start = performance.now(); await exports.validateBytes(file, { maxIssues: 0 }); t.push(performance.now() - start); } return t; })()`
	const ours = `(async () => { const { startExaminer } = await import('./js/programs/shell.js'); const t = [];
		for (let i = 0; i < 9; i++) { let told = 0; const x = await startExaminer({ keeps: false, onMessage: (m) => { if (m.kind === 'result') told = performance.now(); } }); const bytes = file.slice().buffer;
			const start = performance.now(); await x.ask('examine', { files: [{ name: 'figure.glb', bytes }], limits: '' }, [bytes]); t.push(told - start); x.end(); } return t; })()`
	for b.Loop() {
		for _, row := range []struct{ name, js string }{{"ours", ours}, {"checker", theirs}} {
			t := eval[[]float64](p, row.js)
			b.ReportMetric(t[0], "ms-"+row.name+"-cold")
			b.ReportMetric(slices.Min(t[1:]), "ms-"+row.name+"-warm")
		}
	}
}
