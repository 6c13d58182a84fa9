package surface

import (
	"context"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// A closed figure that is cut and shaken: its seams are found however far they are
// off, the suggested distance closes them, and the figure is not called ready.
func TestShaken(t *testing.T) {
	for _, row := range []struct {
		millimetres float64
		leave       float64 // share of the open edges that the suggested weld may leave
	}{{0.005, 0}, {0.02, 0}, {0.05, 0}, {0.1, 0}, {0.2, 0.001}, {0.35, 0.002}, {0.5, 0.01}} {
		r := checktest.Built(lamplighter.Options{})
		for i := range r.Surfaces {
			r.Surfaces[i].Skin = rig.None
			r.Nodes[r.Surfaces[i].Node].Skin = rig.None
		}
		lamplighter.Shake(row.millimetres / 1000)(r)
		f, err := Measure(context.Background(), exam.New(r))
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%g mm: %d open, %d meet, gap %.3g, suggested %v, %+v, %d pairs", row.millimetres, f.Boundary, f.SeamEdges, *f.SeamGap, *f.Suggested, *f.Surfaces[0].Weld, f.NearPairs)
		if f.seamShare() < 0.98 {
			t.Errorf("%g mm: %d of %d open edges meet another", row.millimetres, f.SeamEdges, f.Boundary)
		}
		if f.Suggested == nil || *f.Suggested > 2.2*row.millimetres/1000 {
			t.Fatalf("%g mm: suggested %v m, want no more than two vertices can part, and rounding", row.millimetres, f.Suggested)
		}
		if w := f.Surfaces[0].Weld; float64(w.OpenLeft) > row.leave*float64(f.Boundary) {
			t.Errorf("%g mm: %d of %d open edges stay open at %g m", row.millimetres, w.OpenLeft, f.Boundary, *f.Suggested)
		}
		if f.Ready.Verdict != "not-yet" {
			t.Errorf("%g mm: %s", row.millimetres, f.Ready.Says)
		}
		found, _ := Station.Judge(f, nil)
		i := slices.IndexFunc(found, func(x check.Finding) bool { return x.ID == nearCoincident.ID && x.Grade == check.Flaw })
		if i < 0 {
			t.Errorf("%g mm: nothing found", row.millimetres)
		}
	}
}

// tube stands on the ring y = 0 and is open at both ends: n around, k rings of 0.1 m.
func tube(n, k int, radius, from float64) (p []float32, tri []uint32) {
	for j := range k + 1 {
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			p = append(p, float32(radius*math.Cos(a)), float32(from+0.1*float64(j)), float32(-radius*math.Sin(a)))
		}
	}
	for j := range k {
		for i := range n {
			a, b := uint32(j*n+i), uint32(j*n+(i+1)%n)
			c, d := a+uint32(n), b+uint32(n)
			tri = append(tri, a, b, c, b, d, c)
		}
	}
	return p, tri
}

// True openings stay clear: a tube, a sleeve of two layers, a sleeve over an arm, a
// hem that ends short of another with other vertices; and what is no opening does not.
func TestOpenings(t *testing.T) {
	join := func(parts ...func() ([]float32, []uint32)) func() *rig.Rig {
		var p []float32
		var tri []uint32
		for _, part := range parts {
			q, more := part()
			p, tri = with(p, tri, q, more, false)
		}
		return shape(p, tri)
	}
	part := func(n, k int, radius, from float64, in bool) func() ([]float32, []uint32) {
		return func() ([]float32, []uint32) {
			p, tri := tube(n, k, radius, from)
			if in {
				tri = inverted(tri)
			}
			return p, tri
		}
	}
	// 24 around a radius of 0.1 m: edges of 26.1 mm. The diagonal is 0.58 m and more, so
	// what lies more than 1.2 mm apart is no seam.
	const r = 0.1
	all := func(value float64) []checktest.Want {
		return []checktest.Want{{Grade: check.Flaw, Name: "share of the open edges", Value: value, Tolerance: 1e-9}}
	}
	checktest.Run(t, nearCoincident, Measure, []checktest.Row{
		{Name: "a tube", Rig: join(part(24, 5, r, 0, false))},
		{Name: "a sleeve of two layers 1 mm apart", Rig: join(part(24, 5, r, 0, false), part(24, 5, r-0.001, 0, true))},
		{Name: "a sleeve of two layers 0.2 mm apart", Rig: join(part(24, 5, r, 0, false), part(24, 5, r-0.0002, 0, true))},
		{Name: "a sleeve that ends 2.5 mm before a glove", Rig: join(part(24, 3, r, 0, false), part(24, 3, r, 0.3025, false))},
		{Name: "a cuff 1 mm above a glove of other vertices", Rig: join(part(24, 3, r, 0, false), part(17, 3, r, 0.301, false))},
		{Name: "a cuff over a wrist", Rig: join(part(24, 3, r, 0, false), part(24, 3, 0.97*r, 0.28, false))},
		{Name: "an arm cut through 0.5 mm apart", Rig: join(part(24, 3, r, 0, false), part(24, 3, r, 0.3005, false)), Want: all(0.5)},
		{Name: "the same, its lower half turned over", Rig: join(part(24, 3, r, 0, true), part(24, 3, r, 0.3005, false))},
	})
}

// Both sides of each bound of what counts as meeting, on a row of squares cut in two:
// the right half stands off by gap and is folded by an angle.
func TestMeeting(t *testing.T) {
	strip := func(gap, fold float64, squares int, edge float64) func() *rig.Rig {
		return func() *rig.Rig {
			var p []float32
			var tri []uint32
			half := func(x0, dx, dz float64, turned bool) {
				base := uint32(len(p) / 3)
				for j := range squares + 1 {
					y := float32(edge * float64(j))
					p = append(p, float32(x0), y, 0, float32(x0+dx), y, float32(dz))
				}
				for j := range uint32(squares) {
					a, b, c, d := base+2*j, base+2*j+1, base+2*j+2, base+2*j+3
					if turned {
						tri = append(tri, a, c, b, b, c, d)
					} else {
						tri = append(tri, a, b, c, b, d, c)
					}
				}
			}
			half(0, -1, 0, true)
			half(gap, -math.Cos(fold), math.Sin(fold), false)
			return bare(p, tri)
		}
	}
	flat := math.Pi
	edges := func(r *rig.Rig) int {
		f, err := Measure(context.Background(), exam.New(r))
		if err != nil {
			t.Fatal(err)
		}
		return f.SeamEdges
	}
	d := math.Hypot(2, 10) // diagonal of ten squares of 1 m, flat
	for _, row := range []struct {
		name string
		rig  *rig.Rig
		want int
	}{
		{"0.19 % of the diagonal", strip(1.9e-3*d, flat, 10, 1)(), 20},
		{"0.21 % of the diagonal", strip(2.1e-3*d, flat, 10, 1)(), 0},
		{"0.32 of an edge", strip(0.0032, flat, 6, 0.01)(), 12},
		{"0.35 of an edge", strip(0.0035, flat, 6, 0.01)(), 0},
		{"folded to 35°", strip(0.001, 35*math.Pi/180, 6, 0.01)(), 12},
		{"folded to 25°: a cloth of two layers", strip(0.001, 25*math.Pi/180, 6, 0.01)(), 0},
	} {
		if got := edges(row.rig); got != row.want {
			t.Errorf("%s: %d edges meet, want %d", row.name, got, row.want)
		}
	}
}
