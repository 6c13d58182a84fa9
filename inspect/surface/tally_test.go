package surface

import (
	"context"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
)

// TestMismatchTally: what is kept of the mismatches counts, at every step, as many as lie
// above it, on a figure whose one side was moved unevenly.
func TestMismatchTally(t *testing.T) {
	r := checktest.Built(lamplighter.Options{Vertices: 1500})
	p := r.Meshes[0].Positions
	for v := 0; v < len(p); v += 3 {
		if p[v] > .1 && p[v+1] > .3 && p[v+1] < 1.2 {
			p[v] += .012 * (p[v+1] - .3)
		}
	}
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	several := 0
	for k := range 40 {
		limit := float64(k) / 2000 * f.Size // 2000 steps in the figure's size
		want := 0
		for _, d := range f.mirror.Distance {
			if float64(d) > limit {
				want++
			}
		}
		got := 0
		for i := range f.Surfaces {
			if a := f.Surfaces[i].Alike; a != nil {
				got += a.Off.Over(k)
			}
		}
		if got != want {
			t.Errorf("above %g m: %d, want %d", limit, got, want)
		}
		if want > 0 && want < len(f.mirror.Distance) {
			several++
		}
	}
	if several < 3 {
		t.Errorf("only %d steps part the figure: the test asks nothing", several)
	}
}
