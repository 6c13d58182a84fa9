package weld

import "testing"

// strips are two rows of n cells of a metre, side by side, a gap apart.
func strips(n int, gap float32) (p []float32, tri []uint32) {
	grid(n, 0, 0, &p, &tri, false)
	grid(n, 1+gap, 0, &p, &tri, false)
	return p, tri
}

// Each limit on both sides, on strips whose gap is a share of the diagonal or of the edge.
// The limits: common practice, no source; the figures beside them are worked out here.
func TestLimits(t *testing.T) {
	for _, c := range []struct {
		name           string
		gap            float32
		diagonal       float64
		joined, detail bool
	}{
		{"1.5 thousandths of the diagonal is a seam", 0.015, 10, true, true},
		{"2.5 thousandths is an opening", 0.025, 10, false, false},
		{"edges are twelve gaps long: a distance tells them apart", 1. / 12, 100, true, true},
		{"edges are eight gaps long: none does", 1. / 8, 100, true, false},
	} {
		p, tri := strips(10, c.gap)
		j := Weld(Shape{Points: p, Triangles: tri, Diagonal: c.diagonal}, 0)
		if (j.Seams > 0) != c.joined || j.Plateau != c.detail {
			t.Errorf("%s: %d edges joined, plateau %v", c.name, j.Seams, j.Plateau)
		}
	}
	// Two triangles that touch in one corner alone, no seam: a rounding is 1e-5 of the diagonal.
	for _, c := range []struct {
		apart  float32
		places int
	}{{5e-4, 1}, {2e-3, 0}} {
		p := []float32{0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, c.apart, -1, 0, 0, 0, -1, 0}
		if j := Weld(Shape{Points: p, Triangles: []uint32{0, 1, 2, 3, 4, 5}, Diagonal: 100}, 0); j.Places != c.places {
			t.Errorf("corners %g apart at a rounding of 1e-3: %d joined, want %d", c.apart, j.Places, c.places)
		}
	}
}

// Gaps far wider than the 99th percentile are none of the seam's; a tenth of all is.
func TestTailOfTheSeam(t *testing.T) {
	const n = 400
	wide := func(every int, by float32) Joined {
		p, tri := strips(n, 0.01)
		for i := every; i < n; i += every {
			p[3*(2*(n+1)+2*i)] += by // its left border, on the line 1.01
		}
		return Weld(Shape{Points: p, Triangles: tri, Diagonal: n}, 0)
	}
	if j := wide(n/2, 0.05); j.Distance < 0.01 || j.Distance > 0.012 || j.Gap > 0.012 {
		t.Errorf("one place in 401 is six times as far: joined at %g, widest gap %g", j.Distance, j.Gap)
	}
	if j := wide(10, 0.02); j.Distance < 0.03 || j.Distance > 0.032 {
		t.Errorf("every tenth place is three times as far: joined at %g", j.Distance)
	}
}

// Corners where pieces meet that share no edge lie up to twice the gap of the seams apart;
// where no distance tells seams from detail they are left.
func TestCorners(t *testing.T) {
	for _, c := range []struct {
		name  string
		gap   float32
		apart float32 // in gaps
		joins bool
	}{
		{"one and a half gaps", 0.01, 1.5, true},
		{"two and a half gaps", 0.01, 2.5, false},
		{"half a gap without a plateau", 1. / 8, 0.5, false},
	} {
		p, tri := strips(10, c.gap)
		n := uint32(len(p) / 3)
		x := float32(-5)
		p = append(p, x, 0, 0, x-1, 0, 0, x, -1, 0, x+c.apart*c.gap, 0, 0, x+1, 0, 3, x, 1, 3)
		tri = append(tri, n, n+1, n+2, n+3, n+4, n+5)
		j := Weld(Shape{Points: p, Triangles: tri, Diagonal: 100}, 0)
		if got := j.To[n+3] == n; got != c.joins {
			t.Errorf("%s: joined %v, want %v", c.name, got, c.joins)
		}
	}
}
