package lamplighter

import (
	"math"
	"math/rand/v2"

	"rigloupe/inspect/rig"
)

// Shake cuts the figure along the lines where triangles hang mostly on another joint,
// gives every piece vertices of its own, and moves each stored vertex at random by at
// most so many metres: what rounding, or a seam of the picture that was exported and
// scaled, makes of a closed figure. Size: the share of the open edges that meet
// another, which is all of them.
func Shake(metres float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		type copied struct {
			v     uint32
			joint uint16
		}
		owner, copies := map[uint32]uint16{}, map[copied]uint32{}
		seam := []rig.Vertex{}
		for t := 0; t < len(m.Triangles); t += 3 {
			joint := strongest(m, m.Triangles[t])
			for k := range 3 {
				v := m.Triangles[t+k]
				first, known := owner[v]
				if !known {
					owner[v] = joint
				} else if first != joint {
					n, ok := copies[copied{v, joint}]
					if !ok {
						n = uint32(again(r, rig.Vertex(v)))
						copies[copied{v, joint}] = n
						seam = append(seam, rig.Vertex(n))
					}
					m.Triangles[t+k] = n
				}
			}
		}
		rnd := rand.New(rand.NewPCG(1, uint64(metres*1e9)))
		for v := range m.Vertices() {
			var d [3]float64
			for {
				d = [3]float64{2*rnd.Float64() - 1, 2*rnd.Float64() - 1, 2*rnd.Float64() - 1}
				if d[0]*d[0]+d[1]*d[1]+d[2]*d[2] <= 1 {
					break
				}
			}
			for k := range 3 {
				m.Positions[3*v+k] += float32(metres * d[k])
			}
		}
		rebound(m)
		return planted(at(r, seam), "share of the open edges", 1)
	}
}

// strongest is the joint with the largest weight of a vertex.
func strongest(m *rig.MeshData, v uint32) (joint uint16) {
	best := float32(math.Inf(-1))
	for k := range m.K {
		if w := m.Weights[m.K*int(v)+k]; w > best {
			best, joint = w, m.Joints[m.K*int(v)+k]
		}
	}
	return joint
}
