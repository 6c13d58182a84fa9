package binding

import (
	"math"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// seamDifference is how much the weights of vertices in one place may differ in sum
// before the seam between them opens in motion (common practice, no source).
const seamDifference = 0.01

// countSplit counts the stored vertices of one surface that share their place with
// one bound differently: all vertices of such a place.
func countSplit(e *exam.Exam, surface int, joints int) (count int) {
	mesh := e.Rig.Surfaces[surface].Mesh
	m := &e.Rig.Meshes[mesh]
	weld := e.Weld(mesh)
	if m.K == 0 || weld.Groups() == len(weld.Of) {
		return 0
	}
	diff := make([]float64, joints)
	between := func(a, b rig.Vertex) (sum float64) {
		put := func(v rig.Vertex, k float64) {
			for i := int(v) * m.K; i < (int(v)+1)*m.K; i++ {
				if j := int(m.Joints[i]); j < joints {
					diff[j] += k * float64(m.Weights[i])
				}
			}
		}
		put(a, 1)
		put(b, -1)
		for _, v := range [2]rig.Vertex{a, b} {
			for i := int(v) * m.K; i < (int(v)+1)*m.K; i++ {
				if j := int(m.Joints[i]); j < joints {
					sum += math.Abs(diff[j])
					diff[j] = 0
				}
			}
		}
		return sum
	}
	for _, g := range groupMembers(weld) {
		if len(g.list) > 1 && differ(g.list, between) {
			count += len(g.list)
		}
	}
	return count
}

// differ tells whether any two of a list lie farther apart than seamDifference.
// Only those more than half of that from the first can: a place with thousands of
// vertices bound alike costs one comparison each.
func differ(list []rig.Vertex, between func(a, b rig.Vertex) float64) bool {
	var apart []rig.Vertex
	for _, v := range list[1:] {
		d := between(list[0], v)
		if d > seamDifference {
			return true
		}
		if d > seamDifference/2 {
			apart = append(apart, v)
		}
	}
	const most = 64 // of a crowd that no surface has
	apart = apart[:min(len(apart), most)]
	for i, a := range apart {
		for _, b := range apart[i+1:] {
			if between(a, b) > seamDifference {
				return true
			}
		}
	}
	return false
}
