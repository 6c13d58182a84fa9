package rig

import "math"

// SetsOf tells for every vertex how many influence sets its primitive stores: 0 follows the
// node, n has room for 4·n influences.
func (m *MeshData) SetsOf() []uint8 {
	out := make([]uint8, m.Vertices())
	for i := range m.Primitives {
		p := &m.Primitives[i]
		for v := p.First; v < min(p.First+p.Count, len(out)); v++ {
			out[v] = uint8(min(p.Sets, 255))
		}
	}
	return out
}

// Remeasure works the bounds of every primitive out again after places changed, those of
// the file as well. Places that are not finite have none.
func (m *MeshData) Remeasure() {
	for i := range m.Primitives {
		p := &m.Primitives[i]
		for c := range 3 {
			lo, hi := math.Inf(1), math.Inf(-1)
			for v := p.First; v < p.First+p.Count; v++ {
				if x := float64(m.Positions[3*v+c]); x-x == 0 {
					lo, hi = min(lo, x), max(hi, x)
				}
			}
			if lo <= hi {
				p.TrueMin[c], p.TrueMax[c], p.Min[c], p.Max[c] = lo, hi, lo, hi
			}
		}
	}
}
