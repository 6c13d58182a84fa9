package found

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/menagerie"
)

// Of two figures each has its partners on its own other side, and its own mismatch: a
// foot drawn out on the left of the second shows there and nowhere else.
func TestMirrorOfEachFigure(t *testing.T) {
	r := menagerie.Two(menagerie.Options{Still: true})
	m := &r.Meshes[1]
	for v := range m.Vertices() {
		if m.Positions[3*v] > -.95 && m.Positions[3*v+1] < .2 {
			m.Positions[3*v+2] += .1
		}
	}
	res, err := inspect.Examine(context.Background(), r, inspect.Options{Only: []string{"surface", "binding"}})
	if err != nil {
		t.Fatal(err)
	}
	f := Fields(res)
	if len(f.MirrorPartner) != 2 || len(f.SurfaceMismatch) != 2 || len(f.WeightMismatch) != 2 {
		t.Fatalf("%d, %d and %d surfaces", len(f.MirrorPartner), len(f.SurfaceMismatch), len(f.WeightMismatch))
	}
	for s := range 2 {
		pos, middle := r.Meshes[s].Positions, []float64{.95, -.95}[s]
		worst, far := 0.0, 0.0
		for v, p := range f.MirrorPartner[s] {
			if p < 0 {
				continue
			}
			if int(f.MirrorSurface[s][v]) != s {
				t.Fatalf("figure %d, vertex %d: partner on surface %d", s, v, f.MirrorSurface[s][v])
			}
			worst = max(worst, math.Abs(float64(pos[3*v])+float64(pos[3*p])-2*middle))
		}
		for _, d := range f.SurfaceMismatch[s] {
			if d == d {
				far = max(far, float64(d))
			}
		}
		if worst > .03 {
			t.Errorf("figure %d: a partner %g m off its image", s, worst)
		}
		if s == 0 && far > .02 || s == 1 && far < .05 {
			t.Errorf("figure %d: largest mismatch %g m", s, far)
		}
	}
}
