package menagerie

import (
	"slices"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Without answers a copy that lacks a joint: what hung on it, and what followed it,
// goes to the node above. It must have one.
func Without(r *rig.Rig, gone rig.Node) *rig.Rig {
	r = lamplighter.Clone(r)
	up := r.Nodes[gone].Parent
	moved := func(n rig.Node) rig.Node {
		switch {
		case n == gone:
			n = up
		case n < 0:
			return n
		}
		if n > gone {
			n--
		}
		return n
	}
	for i := range r.Skins {
		s := &r.Skins[i]
		at, above := slices.Index(s.Joints, gone), slices.Index(s.Joints, up)
		if at < 0 {
			continue
		}
		for _, surface := range r.Surfaces {
			if int(surface.Skin) != i {
				continue
			}
			m := &r.Meshes[surface.Mesh]
			for k, j := range m.Joints {
				if int(j) == at {
					j = uint16(above)
				}
				if int(j) > at {
					j--
				}
				m.Joints[k] = j
			}
		}
		s.Joints, s.Bind = slices.Delete(s.Joints, at, at+1), slices.Delete(s.Bind, at, at+1)
	}
	kids := r.Nodes[up].Children
	at := slices.Index(kids, gone)
	r.Nodes[up].Children = slices.Concat(kids[:at], r.Nodes[gone].Children, kids[at+1:])
	for _, c := range r.Nodes[gone].Children {
		r.Nodes[c].Matrix = r.Nodes[gone].Matrix.Mul(&r.Nodes[c].Matrix)
		r.Nodes[c].TRS = r.Nodes[c].Matrix.Decompose()
	}
	r.Nodes = slices.Delete(r.Nodes, int(gone), int(gone)+1)
	for i := range r.Nodes {
		n := &r.Nodes[i]
		n.Parent = moved(n.Parent)
		for k := range n.Children {
			n.Children[k] = moved(n.Children[k])
		}
	}
	for i := range r.Surfaces {
		r.Surfaces[i].Node = moved(r.Surfaces[i].Node)
	}
	for i := range r.Skins {
		for k := range r.Skins[i].Joints {
			r.Skins[i].Joints[k] = moved(r.Skins[i].Joints[k])
		}
	}
	for i := range r.Clips {
		c := &r.Clips[i]
		c.Channels = slices.DeleteFunc(c.Channels, func(ch rig.Channel) bool { return ch.Node == gone })
		for k := range c.Channels {
			c.Channels[k].Node = moved(c.Channels[k].Node)
		}
	}
	finish(r)
	return r
}
