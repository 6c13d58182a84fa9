package surface

import (
	"context"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/exam"
)

// What is at risk at a weld distance: the ends of the edges that are lost there, no
// others, from the step of the curve on.
func TestAtRisk(t *testing.T) {
	d := sphereD
	p := slices.Clone(sphere)
	n := uint32(len(p) / 3)
	p = append(p, p[0]-float32(0.0015*d), 0, 0, 0, 0, 0) // a short edge inwards from vertex 0; the last is loose
	far := sphereTri[slices.IndexFunc(sphereTri, func(v uint32) bool { return p[3*v] < -0.9 })]
	f, err := Measure(context.Background(), exam.New(bare(p, append(slices.Clone(sphereTri), 0, n, far))))
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		share float64
		want  []int
	}{{0, nil}, {0.001, nil}, {0.0014, nil}, {0.0021, []int{0, int(n)}}, {0.009, []int{0, int(n)}}} {
		var got []int
		for v, x := range f.AtRisk(0, row.share*d) {
			switch {
			case x == 1:
				got = append(got, v)
			case x != 0 && uint32(v) != n+1 || uint32(v) == n+1 && x == x:
				t.Fatalf("at %g: vertex %d has %g", row.share, v, x)
			}
		}
		if !slices.Equal(got, row.want) {
			t.Errorf("at %g of the diagonal %v at risk, want %v", row.share, got, row.want)
		}
	}
	// The curve says the same: one edge and one triangle from the step on.
	for _, s := range f.Steps {
		want := 0
		if s.Share >= 0.0015 {
			want = 1
		}
		if s.Edges != want || s.Triangles != want || s.Distinct != int(n)+2-want {
			t.Errorf("step %g: %+v", s.Share, s)
		}
		if math.Abs(s.Shift-float64(want)*0.00075*d) > 1e-6 {
			t.Errorf("step %g: shift %g m, want %g", s.Share, s.Shift, float64(want)*0.00075*d)
		}
	}
}
