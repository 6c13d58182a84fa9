package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

// scattered are n places in a box of 2 × 2 × 2, none of them near a plane of the axes.
func scattered(n int, seed uint64) (out [][3]float64) {
	random := rand.New(rand.NewPCG(seed, 17))
	for range n {
		var q [3]float64
		for k := range q {
			q[k] = .1 + .9*random.Float64()
		}
		out = append(out, q)
	}
	return out
}

func flatten(list [][3]float64) (p []float32) {
	for _, q := range list {
		p = append(p, float32(q[0]), float32(q[1]), float32(q[2]))
	}
	return p
}

// A partner is one within 0.5 % of the diagonal: of pairs over x = 0 one is moved off its
// image by 0.4 and one by 0.6 %.
func TestPartnerReach(t *testing.T) {
	for _, row := range []struct {
		off       float64 // × diagonal
		unmatched int
	}{{.004, 0}, {.006, 2}} {
		// A lattice, so that no other place is near the image.
		var list [][3]float64
		for i := range 4 {
			for j := range 5 {
				for k := range 5 {
					x, y, z := .2+.2*float64(i), -1+.4*float64(j)+.03*float64(i), -1+.45*float64(k)
					list = append(list, [3]float64{x, y, z}, [3]float64{-x, y, z})
				}
			}
		}
		p := flatten(list)
		diagonal := BoxOf(p).Diagonal()
		p[3*60+1] += float32(row.off * diagonal)
		m := FindMirror(Shape{Points: p})
		if !m.Found || math.Abs(m.Normal[0]) < .9999 || m.Unmatched != row.unmatched {
			t.Errorf("moved by %g of the diagonal: plane %v, %d unmatched, want %d", row.off, m.Plane, m.Unmatched, row.unmatched)
		}
	}
}

// Of several planes over which points meet exactly the one with most wins, and one over
// which few do is not taken although a fitted one has them all.
func TestWhichPlaneWins(t *testing.T) {
	t.Run("three of four over x = 0, all over z = 0", func(t *testing.T) {
		var list [][3]float64
		for i, q := range scattered(120, 1) {
			sides := []float64{1, -1}
			if i%4 == 0 {
				sides = sides[:1]
			}
			for _, x := range sides {
				list = append(list, [3]float64{x * q[0], q[1], q[2]}, [3]float64{x * q[0], q[1], -q[2]})
			}
		}
		if m := FindMirror(Shape{Points: flatten(list)}); math.Abs(m.Normal[2]) < .9999 {
			t.Errorf("normal %v, want the z axis", m.Normal)
		}
	})
	t.Run("one of four exactly over x = 0, all nearly over z = 0", func(t *testing.T) {
		var list [][3]float64
		random := rand.New(rand.NewPCG(4, 5))
		off := func() float64 { return .004 * (random.Float64() - .5) }
		for i, q := range scattered(120, 2) {
			if i%4 == 0 {
				z := off()
				for _, x := range []float64{1, -1} {
					list = append(list, [3]float64{x * q[0], q[1], q[2]}, [3]float64{x * q[0], q[1], -q[2] + z})
				}
				continue
			}
			list = append(list, [3]float64{q[0] - .5, q[1], q[2]}, [3]float64{q[0] - .5 + off(), q[1] + off(), -q[2] + off()})
		}
		if m := FindMirror(Shape{Points: flatten(list)}); math.Abs(m.Normal[2]) < .99 {
			t.Errorf("normal %v, want the z axis", m.Normal)
		}
	})
}
