package bind

import (
	"math"

	"rigloupe/inspect/space"
)

const (
	// smallShare of the figure's diagonal is what a shell that no bone runs in may measure
	// and be held as one piece: a buckle, an eye, a rivet.
	smallShare = 0.12
	// facing is the cosine of how far the normals of a coat and of what is under it may
	// part (60°).
	facing = 0.5
	// nearShare of the diagonal: what lies nearer is carried over just as strongly.
	nearShare = 0.01
)

// carry gives weights to shells that lie on others: those that no bone runs in, and those
// that others stand before. What has no other under it goes by its own heat.
func (w *worker) carry(later []int) error {
	f := w.f
	var under []int
	is := make([]bool, len(f.Shells))
	for _, i := range later {
		is[i] = true
	}
	for i := range f.Shells {
		if !is[i] && w.b.Ways[i] != ByNone {
			under = append(under, i)
		}
	}
	if len(under) == 0 {
		for _, i := range later {
			sources, _ := w.sources(i)
			w.b.Ways[i] = ByNearest
			for k := range sources {
				sources[k].Heat = max(sources[k].Heat, sources[k].Heat/faintHeat*1e-3)
			}
			if err := w.solve(i, sources); err != nil {
				return err
			}
		}
		return nil
	}
	surface, triangles, _ := f.surfaceOf(under)
	all := make([]bool, len(f.Joints.At))
	for j := range all {
		all[j] = true
	}
	for _, i := range later {
		s := &f.Shells[i]
		one := w.o.Parts != nil && w.o.Parts.On[i] >= 0 && s.Box.Diagonal() < smallShare*f.size
		may := all
		if w.o.Parts != nil && w.o.Parts.On[i] < 0 {
			may = w.o.Parts.May[i] // what a person ticked stays
		}
		sources, _ := w.sources(i)
		sum := map[int32]float64{}
		for k, p := range s.Places {
			at := space.At(f.Points, p)
			hit, ok := surface.Closest(at, math.Inf(1))
			if !ok {
				continue
			}
			heat := w.o.Narrow / math.Pow(max(hit.Distance, nearShare*f.size), 2)
			if surface.Normal(hit.Triangle).Dot(space.At(f.normal, p)) < facing*surface.Normal(hit.Triangle).Len() {
				heat *= faintHeat
			}
			row := map[int32]float64{}
			for c := range 3 {
				q := int(triangles[3*hit.Triangle+c])
				total := w.b.Rows.Sum(q)
				for x := range K {
					if j, weight := w.b.Rows.Joint[K*q+x], w.b.Rows.Weight[K*q+x]; weight > 0 && may[j] {
						row[j] += hit.At[c] * weight / total
					}
				}
			}
			whole := 0.0
			for _, j := range Sorted(row) {
				whole += row[j]
			}
			if whole < 1e-3 { // nothing that it may follow lies there
				continue
			}
			sources[k] = Source{Heat: heat}
			for _, j := range Sorted(row) {
				sources[k].Joints, sources[k].Parts = append(sources[k].Joints, j), append(sources[k].Parts, row[j]/whole)
				sum[j] += row[j] / whole / (hit.Distance + 1e-3*f.size)
			}
		}
		w.b.Ways[i] = ByCarry
		if one {
			w.b.Ways[i] = AsOne
			for _, p := range s.Places {
				for _, j := range Sorted(sum) {
					w.b.Rows.Put(int(p), j, sum[j])
				}
			}
			w.done += len(s.Places)
			continue
		}
		if err := w.solve(i, sources); err != nil {
			return err
		}
	}
	return nil
}
