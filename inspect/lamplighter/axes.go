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
	first := 0.0095 * scale
	x := axis(first, scale, []stretch{{0.115, 0.021}, {0.62, 0.029}, {cx - w, 0.02}, {cx + w, fine}, {cx + 0.15, 0.02}})
	x = slices.Insert(x, 0, -first)
	top := b.at[chainL][1]
	y := axis(-0.03, scale, []stretch{
		{0.08, 0.0185}, {0.24, 0.027}, {0.31, 0.016}, {0.345, 0.018}, {0.4, 0.0145}, {0.8, 0.033}, {top - links*pitch - 0.01, 0.0205},
		{top + 0.5*pitch, pitch / 6}, {1.68, 0.0185}, {1.735, 0.0095}, {1.84, 0.026}, {1.89, 0.0155}})
	z := axis(-0.3, scale, []stretch{{cz - w, 0.021}, {cz + w, fine}, {-0.04, 0.023}, {0.12, 0.0195}, {0.32, 0.027}})
	return &lattice{x, y, z}
}
