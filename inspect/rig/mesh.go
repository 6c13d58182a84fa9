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

// Strongest is the influence with most weight of a vertex, as a place in its skin's list
// of so many joints; the first of equal ones; −1 where no such joint has any.
func (m *MeshData) Strongest(v, joints int) int {
	best, most := -1, float32(0)
	for c := v * m.K; c < (v+1)*m.K; c++ {
		if w := m.Weights[c]; w > most && int(m.Joints[c]) < joints {
			best, most = int(m.Joints[c]), w
		}
	}
	return best
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
