package e2e

import "testing"

// playing counts the pictures of a clip that plays for three seconds, as a person sees
// them: frames of the browser in which a new one was shown; and what drawing one took.
const playing = `(async () => { stage.set({ clip: 0, playing: true }); const draw = []; let last = stage.state().frames, n = 0; const start = performance.now();
	while (performance.now() - start < 3000) { await new Promise((r) => requestAnimationFrame(r)); const s = stage.state(); if (s.frames !== last) { n++; last = s.frames; draw.push(s.drawMS); } }
	const took = performance.now() - start; stage.set({ playing: false }); draw.sort((a, b) => a - b); return { rate: n * 1000 / took, draw: draw[draw.length >> 1] || 0 }; })()`

// BenchmarkLarge: a window of 3840×2160 and one of 1280×800: pictures a second while the
// sample walks, what drawing one takes, and the refined one at rest.
func BenchmarkLarge(b *testing.B) {
	for _, row := range []struct {
		name string
		w, h int64
	}{{"1280x800", 1280, 800}, {"3840x2160", 3840, 2160}} {
		b.Run(row.name, func(b *testing.B) {
			s := serve(b, false)
			p := open(b, s.URL+"?present=plain", row.w, row.h)
			p.sample()
			for b.Loop() {
				t := eval[struct{ Rate, Draw float64 }](p, playing)
				b.ReportMetric(t.Rate, "pictures/s")
				b.ReportMetric(t.Draw, "ms-moving")
				p.still()
				b.ReportMetric(eval[float64](p, `stage.state().drawMS`), "ms-refined")
			}
		})
	}
}
