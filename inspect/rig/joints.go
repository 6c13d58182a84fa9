package rig

// Joints tells for every node whether it is a joint: those of the skins; without a skin
// those of a figure made of rigid parts (OfParts). A file without any surface is a
// skeleton of itself: in BVH all nodes in Order are joints, else those that clips move or turn
// and what hangs on them.
func (r *Rig) Joints() []bool {
	in := make([]bool, len(r.Nodes))
	any := false
	for i := range r.Skins {
		for _, n := range r.Skins[i].Joints {
			if n >= 0 && int(n) < len(in) {
				in[n], any = true, true
			}
		}
	}
	if any {
		return in
	}
	if len(r.Surfaces) > 0 {
		if parts := r.OfParts(); parts != nil {
			return parts
		}
		return in
	}
	if r.File.Kind == "bvh" {
		for _, n := range r.Order {
			in[n] = true
		}
		return in
	}
	return r.Moved(in)
}

// Moved adds to a set of nodes those that clips move, turn or scale, and what hangs
// on these without a mesh.
func (r *Rig) Moved(in []bool) []bool {
	for i := range r.Clips {
		for _, c := range r.Clips[i].Channels {
			if c.Node >= 0 && int(c.Node) < len(in) && c.Path != Weights {
				in[c.Node] = true
			}
		}
	}
	for _, n := range r.Order {
		p := r.Nodes[n].Parent
		in[n] = in[n] || p >= 0 && in[p] && r.Nodes[n].Mesh < 0
	}
	return in
}
