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

// lattice is the warped grid: the product of three axes, fine where links, brim and
// lanterns are, coarse elsewhere. Each level of y is drawn together or apart in x
// and z by wide: the hat gets small cells, the skirt large ones. x[1] = −x[0], so
// that the first column of cells straddles the mirror plane.
type lattice struct{ x, y, z, wide []float64 }

// node is the place of a grid node.
func (g *lattice) node(i, j, k int) (x, y, z float64) {
	return g.x[i] * g.wide[j], g.y[j], g.z[k] * g.wide[j]
}

// step is the least side of a cell.
func (g *lattice) step(i, j, k int) float64 {
	w := min(g.wide[j], g.wide[j+1])
	return min((g.x[i+1]-g.x[i])*w, g.y[j+1]-g.y[j], (g.z[k+1]-g.z[k])*w)
}

func (b *body) lattice(scale float64) *lattice {
	// Two steps a wire and two a hole: never coarser, or the links melt.
	fine, fifth := 0.0082/max(scale, 1), pitch/5/max(scale, 1)
	cx, cz := b.yokeEnd[0], b.yokeEnd[2]
	w := 3.5 * 0.0082
	first := 0.01 * scale
	g := &lattice{}
	sleeves := 0.62 // where they end and the hands begin
	if b.pose == A {
		sleeves = 0.54
	}
	g.x = axis(first, scale, []stretch{{0.21, 0.022}, {sleeves, 0.037}, {cx - w, 0.0195}, {cx + w, fine}, {cx + 0.15, 0.0195}})
	g.x = slices.Insert(g.x, 0, -first)
	top := b.at[chainL][1]
	g.y = axis(-0.03, scale, []stretch{
		{0.08, 0.0185}, {0.24, 0.0265}, {0.31, 0.0165}, {0.41, 0.0155}, {0.77, 0.039}, {0.945, 0.025}, {1.005, 0.0135}, {top - links*pitch - 0.01, 0.0205},
		{top + 0.5*pitch, fifth}, {1.68, 0.0185}, {1.735, 0.0105}, {1.84, 0.025}, {1.89, 0.0145}})
	g.z = axis(-0.3, scale, []stretch{{cz - w, 0.0205}, {cz + w, fine}, {-0.04, 0.0225}, {0.12, 0.022}, {0.32, 0.03}})
	for _, y := range g.y {
		skirt := smooth((y-0.34)/0.12) * smooth((0.775-y)/0.12)
		feet := smooth((0.34 - y) / 0.06)
		hat := smooth((y - 1.5) / 0.15)
		g.wide = append(g.wide, 1+0.2*skirt-0.12*feet-0.34*hat)
	}
	return g
}
