package intake

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
)

// influence says which joints move a surface and, for each, the box of the
// vertices it moves.
type influence struct {
	used   int         // joints with any weight
	joints []rig.Joint // those, rising; empty when the surface follows its node
	boxes  []geom.Box  // one a joint of joints: its vertices in the mesh's own space, morphs at rest left out
	short  bool        // some vertex's weights sum to less than 1 by more than 1e-3
}

// influences takes one pass over the vertices. A weight that is no number counts
// as none, as does a joint that the skin does not have.
func influences(r *rig.Rig, surface int) (in influence) {
	s := r.Surfaces[surface]
	m := &r.Meshes[s.Mesh]
	if s.Skin < 0 || m.K == 0 {
		return in
	}
	n, k := len(r.Skins[s.Skin].Joints), m.K
	inf := float32(math.Inf(1))
	lo, hi := make([][3]float32, n), make([][3]float32, n)
	for j := range lo {
		lo[j], hi[j] = [3]float32{inf, inf, inf}, [3]float32{-inf, -inf, -inf}
	}
	for q := range m.Primitives {
		p := &m.Primitives[q]
		if p.Sets == 0 {
			continue // follows its node
		}
		for v := p.First; v < p.First+p.Count; v++ {
			x, y, z := m.Positions[3*v], m.Positions[3*v+1], m.Positions[3*v+2]
			sum := float32(0)
			for i := v * k; i < v*k+k; i++ {
				w, j := m.Weights[i], int(m.Joints[i])
				if w == 0 || w-w != 0 || j >= n {
					continue
				}
				sum += w
				l, h := &lo[j], &hi[j]
				if x < l[0] {
					l[0] = x
				}
				if y < l[1] {
					l[1] = y
				}
				if z < l[2] {
					l[2] = z
				}
				if x > h[0] {
					h[0] = x
				}
				if y > h[1] {
					h[1] = y
				}
				if z > h[2] {
					h[2] = z
				}
			}
			if sum < 1-1e-3 {
				in.short = true
			}
		}
	}
	for j := range lo {
		b := geom.Box{}
		for c := range 3 {
			b.Min[c], b.Max[c] = float64(lo[j][c]), float64(hi[j][c])
		}
		if !b.IsEmpty() && !math.IsInf(b.Diagonal(), 0) {
			in.joints, in.boxes = append(in.joints, rig.Joint(j)), append(in.boxes, b)
		}
	}
	in.used = len(in.joints)
	return in
}
