package rig

import "slices"

// A walk up from every node costs the square of a chain's length. What many nodes ask of
// those above them is therefore worked out for all at once, parents first.

// Depths tells for every node how many stand above it.
func (r *Rig) Depths() []int32 {
	out := make([]int32, len(r.Nodes))
	for _, n := range r.Order {
		if p := r.Nodes[n].Parent; p >= 0 {
			out[n] = out[p] + 1
		}
	}
	return out
}

// Above tells for every node the nearest one above it that is in a set, None.
func (r *Rig) Above(in []bool) []Node {
	out := make([]Node, len(r.Nodes))
	for i := range out {
		out[i] = None
	}
	for _, n := range r.Order {
		if p := r.Nodes[n].Parent; p >= 0 {
			if out[n] = out[p]; in[p] {
				out[n] = p
			}
		}
	}
	return out
}

// AtOrAbove is Above, a node of the set answering itself.
func (r *Rig) AtOrAbove(in []bool) []Node {
	out := r.Above(in)
	for i, is := range in {
		if is {
			out[i] = Node(i)
		}
	}
	return out
}

// Spans numbers the nodes so that what stands below one follows it: from is a node's number,
// to that of the last below it. A node that is not in Order (one figure of several looks at
// its own nodes alone) has none: −1 and −1.
func (r *Rig) Spans() (from, to []int32) {
	n := len(r.Nodes)
	from, to = make([]int32, n), make([]int32, n)
	below := make([]int32, n) // nodes at and below
	for i := range from {
		from[i], to[i] = -1, -1
	}
	for _, k := range slices.Backward(r.Order) {
		if below[k]++; r.Nodes[k].Parent >= 0 {
			below[r.Nodes[k].Parent] += below[k]
		}
	}
	free, roots := make([]int32, n), int32(0) // the next number free below each node
	for _, k := range r.Order {
		at := &roots
		if p := r.Nodes[k].Parent; p >= 0 {
			at = &free[p]
		}
		from[k], to[k], free[k] = *at, *at+below[k]-1, *at+1
		*at += below[k]
	}
	return from, to
}
