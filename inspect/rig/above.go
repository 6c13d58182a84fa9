package rig

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
