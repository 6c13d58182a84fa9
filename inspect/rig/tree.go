package rig

import "slices"

// World writes the global matrix of every node into out (one a node), from local
// matrices (one a node). Parents come first in r.Order, so one pass is enough.
func (r *Rig) World(local, out []Affine) {
	for _, n := range r.Order {
		if p := r.Nodes[n].Parent; p >= 0 {
			out[n] = out[p].Mul(&local[n])
		} else {
			out[n] = local[n]
		}
	}
}

// RestWorld answers the global matrix of every node at rest.
func (r *Rig) RestWorld() []Affine {
	local, out := make([]Affine, len(r.Nodes)), make([]Affine, len(r.Nodes))
	for i := range r.Nodes {
		local[i] = r.Nodes[i].Matrix
	}
	r.World(local, out)
	return out
}

// SetOrder fills Order from Parent and Children. It answers the nodes that no
// root reaches (they stand in a ring); the caller cuts those first.
func (r *Rig) SetOrder() (unreached []Node) {
	r.Order = r.Order[:0]
	seen := make([]bool, len(r.Nodes))
	for i := range r.Nodes {
		if r.Nodes[i].Parent >= 0 {
			continue
		}
		stack := []Node{Node(i)}
		for len(stack) > 0 {
			n := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if seen[n] {
				continue
			}
			seen[n] = true
			r.Order = append(r.Order, n)
			for _, c := range slices.Backward(r.Nodes[n].Children) {
				stack = append(stack, c)
			}
		}
	}
	for i, s := range seen {
		if !s {
			unreached = append(unreached, Node(i))
		}
	}
	return unreached
}

// IsShown tells for every node whether the default scene holds it. Without any
// scene all nodes count as shown.
func (r *Rig) IsShown() []bool {
	out := make([]bool, len(r.Nodes))
	if r.Shown < 0 || r.Shown >= len(r.Scenes) {
		for i := range out {
			out[i] = true
		}
		return out
	}
	for _, n := range r.Scenes[r.Shown].Roots {
		out[n] = true
	}
	for _, n := range r.Order {
		if p := r.Nodes[n].Parent; p >= 0 && out[p] {
			out[n] = true
		}
	}
	return out
}

// Vertices counts the vertices of a mesh.
func (m *MeshData) Vertices() int { return len(m.Positions) / 3 }
