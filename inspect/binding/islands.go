package binding

import (
	"slices"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
)

// elements are the (place, joint) pairs of one surface, by place, its joints sorted,
// and the patches they fall into.
type elements struct {
	surface    int
	start, end []uint32 // place → its elements
	joint      []uint16
	patches    *geom.Union // of the elements: one set a patch
}

// countIslands adds the patches of one surface to its skin's joints: vertices with
// weight on a joint, joined where a welded edge has it at both ends. Every
// (place, joint) is an element of one union-find. nil: the surface has no weights.
func countIslands(e *exam.Exam, surface int, k *Skin) *elements {
	mesh := e.Rig.Surfaces[surface].Mesh
	m := &e.Rig.Meshes[mesh]
	if m.K == 0 {
		return nil
	}
	weld := e.Weld(mesh)
	groups := weld.Groups()
	// Joints of each place, sorted: those of all its vertices together.
	start := make([]uint32, groups+1)
	for v, g := range weld.Of {
		for i := v * m.K; i < v*m.K+m.K; i++ {
			if m.Weights[i] > 0 && int(m.Joints[i]) < len(k.Joints) {
				start[g+1]++
			}
		}
	}
	for g := range groups {
		start[g+1] += start[g]
	}
	joint := make([]uint16, start[groups])
	end := slices.Clone(start[:groups])
	for v, g := range weld.Of {
	slot:
		for i := v * m.K; i < v*m.K+m.K; i++ {
			j := m.Joints[i]
			if !(m.Weights[i] > 0) || int(j) >= len(k.Joints) {
				continue
			}
			at := end[g]
			for at > start[g] && joint[at-1] >= j {
				if joint[at-1] == j {
					continue slot
				}
				at--
			}
			copy(joint[at+1:end[g]+1], joint[at:end[g]])
			joint[at] = j
			end[g]++
			k.Joints[j].Islands++
		}
	}
	patches := geom.NewUnion(len(joint))
	for t := 0; t+2 < len(m.Triangles); t += 3 {
		a, b, c := weld.Of[m.Triangles[t]], weld.Of[m.Triangles[t+1]], weld.Of[m.Triangles[t+2]]
		joinIslands(k, joint, patches, start[a], end[a], start[b], end[b])
		joinIslands(k, joint, patches, start[b], end[b], start[c], end[c])
		joinIslands(k, joint, patches, start[c], end[c], start[a], end[a])
	}
	return &elements{surface, start, end, joint, patches}
}

// joinIslands joins the patches of the joints that two places share.
func joinIslands(k *Skin, joint []uint16, patches *geom.Union, a, aEnd, b, bEnd uint32) {
	for a < aEnd && b < bEnd {
		switch ja, jb := joint[a], joint[b]; {
		case ja < jb:
			a++
		case jb < ja:
			b++
		default:
			if patches.Join(a, b) {
				k.Joints[ja].Islands--
			}
			a++
			b++
		}
	}
}
