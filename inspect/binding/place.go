package binding

import (
	"math"
	"slices"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/space"
)

// belongs answers where the vertices of a surface would lie at rest if their
// weights were whole (3·V, world): sums made 1; vertices bound to nothing, or
// badly, carried by the joint that the skin hangs on most. So that a finding about
// the brim of a hat points at the hat, not at the origin where the vertices ended.
func belongs(e *exam.Exam, surface int, k *Skin) []float32 {
	rest := e.RestPositions(surface)
	if k.SumOff == 0 && k.Unbound == 0 && k.BadIndex == 0 && k.BadWeight == 0 {
		return rest
	}
	most := 0
	for j := range k.Joints {
		if k.Joints[j].WeightSum > k.Joints[most].WeightSum {
			most = j
		}
	}
	if most >= len(k.Joints) {
		return rest
	}
	skin := &e.Rig.Skins[k.Skin]
	a := e.RestWorld()[skin.Joints[most]].Mul(&skin.Bind[most])
	m := &e.Rig.Meshes[e.Rig.Surfaces[surface].Mesh]
	out := slices.Clone(rest)
	for v := range m.Vertices() {
		sum, bad := 0.0, false
		for i := v * m.K; i < (v+1)*m.K; i++ {
			w := float64(m.Weights[i])
			sum += w
			bad = bad || w != 0 && int(m.Joints[i]) >= len(k.Joints) || w < 0 || math.IsNaN(w) || math.IsInf(w, 0)
		}
		switch p := m.Positions[3*v : 3*v+3]; {
		case bad || sum == 0:
			q := a.Point(space.At(p, 0))
			out[3*v], out[3*v+1], out[3*v+2] = float32(q[0]), float32(q[1]), float32(q[2])
		case sum != 1:
			for c := range 3 {
				out[3*v+c] = float32(float64(rest[3*v+c]) / sum)
			}
		}
	}
	return out
}
