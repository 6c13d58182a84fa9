package e2e

import (
	"os"
	"path/filepath"
	"testing"

	"rigloupe/inspect/desk"
)

// turned moves a dial of the mend on trial and answers the milliseconds to the picture of
// the figure as it would be: whether the receipt of the turn before is there already
// (idle), or it is still examined.
const turned = `((idle, at) => new Promise(async (done) => {
	const dial = document.getElementById('dial-faint'), real = stage.trial;
	if (idle) while (document.getElementById('trial-keep').disabled) await new Promise((r) => setTimeout(r, 20));
	else await new Promise((r) => setTimeout(r, 300));
	stage.trial = (...a) => real(...a).then(async (wrong) => { const before = stage.state().frames; while (stage.state().frames === before) await new Promise((r) => requestAnimationFrame(r));
		stage.trial = real; done(performance.now() - start); return wrong; });
	dial.value = at; const start = performance.now(); dial.dispatchEvent(new Event('input', {bubbles: true})); }))`

// BenchmarkTrial: from a dial that is turned to the picture of the figure as it would be,
// 30,000 vertices.
func BenchmarkTrial(b *testing.B) {
	f, err := desk.Sample{Vertices: 30000, Faults: []string{"binding/stray-island"}}.File()
	if err != nil {
		b.Fatal(err)
	}
	name := filepath.Join(b.TempDir(), "lamp.glb")
	if err := os.WriteFile(name, f.Data, 0o644); err != nil {
		b.Fatal(err)
	}
	p := open(b, serve(b, false).URL+"?present=plain", 1280, 800)
	p.drop(name)
	p.poll("the figure", doneJS)
	p.poll("what can be mended", offersJS)
	p.findingCard("Weight far", "clean")
	p.tried("clean")
	for b.Loop() {
		least := [2]float64{1e9, 1e9}
		for i := range 6 {
			at := []string{"0.01", "0.02", "0.03"}[i%3]
			least[0] = min(least[0], eval[float64](p, turned+`(true, '`+at+`')`))
			eval[any](p, `0`)
			at = []string{"0.04", "0.05", "0.06"}[i%3]
			least[1] = min(least[1], eval[float64](p, turned+`(false, '`+at+`')`))
		}
		b.ReportMetric(least[0], "ms-to-picture")
		b.ReportMetric(least[1], "ms-to-picture-while-examined")
	}
}
