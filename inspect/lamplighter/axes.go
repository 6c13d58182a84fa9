package lamplighter

import (
	"math"
	"slices"
)

// stretch is one piece of an axis with one step, in metres.
type stretch struct{ to, step float64 }

// axis cuts an axis into steps, finer or coarser by scale. The first step stands
// at from.
func axis(from, scale float64, list []stretch) []float64 {
	out := []float64{from}
	for _, s := range list {
		a := out[len(out)-1]
		n := max(1, int(math.Round((s.to-a)/(s.step*scale))))
		for i := 1; i <= n; i++ {
			out = append(out, a+(s.to-a)*float64(i)/float64(n))
		}
	}
	return out
}

// lattice is the warped grid: the product of three axes, fine where links, brim
// and lanterns are, coarse elsewhere. x[1] = −x[0], so that the first column of
// cells straddles the mirror plane.
type lattice struct{ x, y, z []float64 }

func (b *body) lattice(scale float64) *lattice {
	const fine = 0.0082 // two steps a wire and two a hole
	cx, cz := b.yokeEnd[0], b.yokeEnd[2]
	w := 3.5 * fine
	first := 0.009 * scale
	x := axis(first, scale, []stretch{{0.6, 0.0185}, {cx - 0.11, 0.0165}, {cx - w, 0.014}, {cx + w, fine}, {cx + 0.15, 0.0145}})
	x = slices.Insert(x, 0, -first)
	top := b.at[chainL][1]
	y := axis(-0.03, scale, []stretch{
		{0.1, 0.0145}, {0.3, 0.02}, {0.78, 0.0225}, {1.06, 0.0165}, {top - links*pitch, 0.0125}, {top + 0.5*pitch, pitch / 8},
		{1.69, 0.0155}, {1.75, 0.0085}, {1.85, 0.0195}, {1.89, 0.0125}})
	z := axis(-0.3, scale, []stretch{{cz - w, 0.0145}, {cz + w, fine}, {-0.04, 0.0165}, {0.12, 0.0155}, {0.32, 0.0185}})
	return &lattice{x, y, z}
}
