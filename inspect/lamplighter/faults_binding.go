package lamplighter

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func bindingFaults() []Fault {
	return []Fault{
		{ID: "binding/unbound", Name: "14 vertices of the hat brim, at the back", Grade: "stop",
			Also: []string{"binding/mirror-mismatch", "binding/rough", "intake/bounds-off"}, Plant: Unbind(14)},
		{ID: "binding/sum-off", Name: "left mitten at nine tenths", Grade: "flaw", Plant: Weaken(20, 0.9)},
		{ID: "binding/sum-off", Name: "left mitten off by rounding", Grade: "note", Plant: Weaken(20, 1-1.0/2048)},
		{ID: "binding/bad-index", Name: "three vertices of the collar on a joint that is not there", Grade: "stop",
			Also: []string{"binding/mirror-mismatch", "binding/rough"}, Plant: Misindex(3)},
		{ID: "binding/bad-index", Name: "three vertices of the collar with a negative weight", Grade: "stop",
			Also: []string{"binding/rough"}, Plant: Negative(3)},
		{ID: "binding/many-influences", Name: "30 vertices of the belly on six joints", Grade: "note", Also: crowded, Plant: Crowd(30, 6)},
		{ID: "binding/many-influences", Name: "30 vertices of the belly on nine joints", Grade: "flaw", Also: crowded, Plant: Crowd(30, 9)},
		{ID: "binding/faint", Name: "every tenth weight a 256th, on the hips", Grade: "note", Plant: Faint(0.1, 1.0/256)},
		{ID: "binding/idle-joint", Name: "two helper joints behind the chest", Grade: "note", Plant: Idle},
		{ID: "binding/mirror-mismatch", Name: "left sleeve shared with the chest", Grade: "flaw", Plant: Leak(0.25)},
	}
}

// crowded is what many influences on the belly set off besides: legs and shoulders of
// both sides reach into it, with a hard edge.
var crowded = []string{"binding/stray-island", "binding/cross-body", "binding/rough", "binding/cut-to-four"}

// Unbind clears the weights of the count vertices nearest to the back of the brim.
// Size: count.
func Unbind(count int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		p := at(r, nearest(r, 0, 1.7, -0.18, count))
		m := &r.Meshes[0]
		for _, v := range p.Vertices {
			clear(m.Joints[m.K*int(v) : m.K*int(v+1)])
			clear(m.Weights[m.K*int(v) : m.K*int(v+1)])
		}
		p.Measure, p.Size = "vertices", float64(count)
		return p
	}
}

// Weaken multiplies the weights of the count vertices nearest to the left palm.
// Size: the error of their sums.
func Weaken(count int, factor float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		w := r.RestWorld()[handL]
		q := w.Point(space.Vec{0, 0.08, 0}) // the bone's own +Y runs along it
		p := at(r, nearest(r, q[0], q[1], q[2], count))
		m := &r.Meshes[0]
		for _, v := range p.Vertices {
			sum := float32(0)
			for k := range m.K {
				m.Weights[m.K*int(v)+k] *= factor
				sum += m.Weights[m.K*int(v)+k]
			}
			p.Size = max(p.Size, math.Abs(1-float64(sum)))
		}
		p.Measure = "largest error of a sum"
		return p
	}
}

// Misindex hangs the count vertices nearest to the front of the collar on a joint one
// past the end of the skin. Size: count.
func Misindex(count int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		p := at(r, nearest(r, 0, 1.5, 0.1, count))
		m := &r.Meshes[0]
		for _, v := range p.Vertices {
			m.Joints[m.K*int(v)] = uint16(len(r.Skins[0].Joints))
		}
		p.Measure, p.Size = "vertices", float64(count)
		return p
	}
}

// Negative gives the count vertices nearest to the front of the collar 1.25 of the
// chest and −0.25 of the neck: the sum is whole, so nothing moves at rest. Size: count.
func Negative(count int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		p := at(r, nearest(r, 0, 1.5, 0.1, count))
		m := &r.Meshes[0]
		for _, v := range p.Vertices {
			j, w := m.Joints[m.K*int(v):m.K*int(v+1)], m.Weights[m.K*int(v):m.K*int(v+1)]
			clear(j)
			clear(w)
			j[0], w[0], j[1], w[1] = chest, 1.25, neck, -0.25
		}
		p.Measure, p.Size = "vertices", float64(count)
		return p
	}
}

// widen gives every vertex room for more influences.
func widen(m *rig.MeshData, influences int) {
	k := (influences + 3) / 4 * 4
	if k <= m.K {
		return
	}
	n := m.Vertices()
	joints, weights := make([]uint16, k*n), make([]float32, k*n)
	for v := range n {
		copy(joints[k*v:], m.Joints[m.K*v:m.K*(v+1)])
		copy(weights[k*v:], m.Weights[m.K*v:m.K*(v+1)])
	}
	m.Joints, m.Weights, m.K = joints, weights, k
	for i := range m.Primitives {
		p := &m.Primitives[i]
		p.Sets, p.JointSets, p.WeightSets = k/4, k/4, k/4
	}
}

// Crowd spreads the count vertices nearest to the front of the waist evenly over the
// first so many joints of the trunk and the legs, both sides alike. Size: count.
func Crowd(count, influences int) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		widen(m, influences)
		p := at(r, nearest(r, 0, 1.1, 0.15, count))
		list := [...]uint16{hips, spine, chest, neck, upperLegL, upperLegR, yoke, shoulderL, shoulderR, head}
		for _, v := range p.Vertices {
			left := float32(1)
			w := float32(math.Floor(whole/float64(influences))) / whole
			for k := range m.K {
				i := m.K*int(v) + k
				m.Joints[i], m.Weights[i] = 0, 0
				if k < influences-1 {
					m.Joints[i], m.Weights[i] = list[k], w
					left -= w
				} else if k == influences-1 {
					m.Joints[i], m.Weights[i] = list[k], left
				}
			}
		}
		p.Measure, p.Size = "vertices", float64(count)
		return p
	}
}

// Faint lays a weight so small on the hips for mirrored pairs of vertices, until it
// is the given share of all influences. Only vertices with a free place and without
// the hips are taken. Size: the share, with those that are faint already.
func Faint(share, weight float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		all, faint := 0, 0
		for _, w := range m.Weights {
			if w > 0 {
				all++
			}
			if w > 0 && w < 0.01 {
				faint++
			}
		}
		half := 0 // x ≥ 0 comes first, then the twins of all that are off the middle
		for half < m.Vertices() && m.Positions[3*half] >= 0 {
			half++
		}
		var list []rig.Vertex
		twin := half
		for v := range half {
			pair := []int{v}
			if m.Positions[3*v] != 0 {
				pair = append(pair, twin)
				twin++
			}
			free := slices.Index(m.Weights[4*v:4*v+4], 0)
			if free < 0 || slices.Contains(m.Joints[4*v:4*v+free], hips) || m.Weights[4*v] < 2*weight {
				continue
			}
			if float32(len(list)) >= share*float32(all+len(list)) {
				break
			}
			for _, u := range pair {
				m.Weights[4*u] -= weight
				m.Joints[4*u+free], m.Weights[4*u+free] = hips, weight
				list = append(list, rig.Vertex(u))
			}
		}
		slices.Sort(list)
		p := at(r, list)
		p.Measure, p.Size = "share of influences", float64(len(list)+faint)/float64(all+len(list))
		return p
	}
}

// Idle adds two joints without influence to the skin, one below the other, behind
// the chest. Size: 2.
func Idle(r *rig.Rig) Planted {
	a := addNode(r, "helper_1", chest, rig.TRS{T: [3]float64{0, 0.05, -0.1}})
	b := addNode(r, "helper_2", a, rig.TRS{T: [3]float64{0, 0.05, 0}})
	r.Skins[0].Joints = append(r.Skins[0].Joints, a, b)
	w := r.RestWorld()
	for _, n := range []rig.Node{a, b} {
		inv, _ := w[n].Inverse()
		r.Skins[0].Bind = append(r.Skins[0].Bind, inv)
	}
	p := aboutNodes(a, b)
	p.Measure, p.Size = "joints", 2
	return p
}

// Leak hands a share of the left upper arm's weight to the chest where it has more
// than half. Size: the vertices that then differ from their mirror partner by more
// than 0.1, both sides.
func Leak(share float32) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		m := &r.Meshes[0]
		var list []rig.Vertex
		for v := range m.Vertices() {
			j, w := m.Joints[4*v:4*v+4], m.Weights[4*v:4*v+4]
			k := slices.Index(j, upperArmL)
			if k < 0 || w[k] <= 0.5 {
				continue
			}
			to := slices.Index(j, chest)
			if free := slices.Index(w, 0); to < 0 && free >= 0 {
				to = free
				j[to] = chest
			}
			if to < 0 {
				continue
			}
			d := float32(math.Floor(float64(w[k]*share*whole))) / whole
			w[k] -= d
			w[to] += d
			list = append(list, rig.Vertex(v))
		}
		p := at(r, list)
		p.Nodes = []rig.Node{upperArmL, chest}
		p.Measure, p.Size = "vertices over, both sides", float64(2*len(list))
		return p
	}
}
