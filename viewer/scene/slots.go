package scene

import (
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// carry fills S with the sum of the slots' straight coordinates and goal with the
// wished gradient. A slot is a joint of any skin, or the node of a rigid part.
func (p *Prepared) carry(r *rig.Rig, pos []float32, size float32, goal []float32) {
	h := p.slots(r)
	n := len(h.nodes)
	slots := geom.FieldSlots{Parent: h.parents(r), Origin: make([]float32, 3*n), Own: make([]float32, n), Middle: make([]float32, 3*n)}
	world := r.RestWorld()
	for i, n := range h.nodes {
		for c, x := range world[n].Origin() {
			slots.Origin[3*i+c] = float32(x)
		}
	}
	h.weigh(p, r)
	loose := h.middles(p, pos, &slots)
	axes := geom.FieldAxes(slots, float32(geom.Box{Min: p.Low, Max: p.High}.Diagonal()))
	// Rigid parts go by their own long axis, or by height where they are about as
	// thick as long.
	for i := h.joints; i < len(h.nodes); i++ {
		if len(loose[i]) == 0 {
			continue
		}
		mean, axis, share := geom.LongAxis(pos, loose[i])
		axes[i] = geom.FieldAxis{At: mean, Dir: space.Vec32{0, 1, 0}}
		if share > .62 {
			axes[i].Dir = axis
		}
	}
	geom.CarryField(pos, h.k, h.slot, h.weight, axes, p.S, goal)
}

// holding is which slots hold the vertices that are drawn.
type holding struct {
	nodes  []rig.Node // by slot: joints of skins first, then nodes of parts
	joints int        // how many of them are joints
	of     []int32    // by node its slot, −1: none
	k      int        // slots a vertex

	slot   []uint32  // k a vertex
	weight []float32 // as many; they sum to 1
}

// slots numbers what may hold a vertex.
func (p *Prepared) slots(r *rig.Rig) *holding {
	h := &holding{of: make([]int32, len(r.Nodes)), k: 1}
	for i := range h.of {
		h.of[i] = -1
	}
	add := func(n rig.Node) {
		if n >= 0 && int(n) < len(h.of) && h.of[n] < 0 {
			h.of[n] = int32(len(h.nodes))
			h.nodes = append(h.nodes, n)
		}
	}
	for i := range r.Skins {
		for _, n := range r.Skins[i].Joints {
			add(n)
		}
	}
	h.joints = len(h.nodes)
	for _, s := range p.Surface {
		sf := &r.Surfaces[s]
		if sf.Skin < 0 {
			add(sf.Node)
		}
		h.k = max(h.k, r.Meshes[sf.Mesh].K)
	}
	for _, s := range p.Surface { // a primitive without joints in a skinned mesh follows its node
		add(r.Surfaces[s].Node)
	}
	return h
}

// parents is by slot the next joint above a joint, −1: none.
func (h *holding) parents(r *rig.Rig) []int32 {
	parent := make([]int32, len(h.nodes))
	for i, n := range h.nodes {
		parent[i] = -1
		if i >= h.joints {
			continue
		}
		for q, left := r.Nodes[n].Parent, len(r.Nodes); q >= 0 && left > 0; q, left = r.Nodes[q].Parent, left-1 {
			if s := h.of[q]; s >= 0 && int(s) < h.joints {
				parent[i] = s
				break
			}
		}
	}
	return parent
}

// weigh fills slot and weight, which sum to 1: what nothing holds its node does.
func (h *holding) weigh(p *Prepared, r *rig.Rig) {
	h.slot, h.weight = make([]uint32, h.k*len(p.Source)), make([]float32, h.k*len(p.Source))
	for part, s := range p.Surface {
		sf := &r.Surfaces[s]
		m := &r.Meshes[sf.Mesh]
		for v := p.First[part]; v < p.end(part); v++ {
			at, sum := h.k*int(v), float32(0)
			if sf.Skin >= 0 && int(sf.Skin) < len(r.Skins) && m.K > 0 {
				skin := &r.Skins[sf.Skin]
				for i := range m.K {
					w := m.Weights[int(p.Source[v])*m.K+i]
					j := int(m.Joints[int(p.Source[v])*m.K+i])
					if n := jointNode(r, skin, j); n >= 0 && w > 0 && w-w == 0 {
						h.slot[at+i], h.weight[at+i] = uint32(h.of[n]), w
						sum += w
					}
				}
			}
			if sum == 0 {
				h.slot[at], h.weight[at], sum = uint32(h.of[sf.Node]), 1, 1
			}
			for i := at; i < at+h.k; i++ {
				h.weight[i] /= sum
			}
		}
	}
}

// middles fills Own and Middle of slots, the weight each holds and the middle of it, and
// answers the vertices of rigid parts by slot.
func (h *holding) middles(p *Prepared, pos []float32, slots *geom.FieldSlots) (loose [][]uint32) {
	loose = make([][]uint32, len(h.nodes))
	for v := range uint32(len(p.Source)) {
		at := h.k * int(v)
		q := space.At32(pos, v)
		for i := at; i < at+h.k; i++ {
			if w := h.weight[i]; w > 0 {
				j := h.slot[i]
				slots.Own[j] += w
				for c := range 3 {
					slots.Middle[3*j+uint32(c)] += w * q[c]
				}
			}
		}
		if int(h.slot[at]) >= h.joints {
			loose[h.slot[at]] = append(loose[h.slot[at]], v)
		}
	}
	for i, own := range slots.Own {
		if own > 0 {
			for c := range 3 {
				slots.Middle[3*i+c] /= own
			}
		}
	}
	return loose
}
