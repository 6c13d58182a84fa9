package lamplighter

import "rigloupe/inspect/rig"

// Merge puts several figures into one file, as they stand: names as they are, the
// clips of each by themselves; materials are those of the first.
func Merge(figures ...*rig.Rig) *rig.Rig {
	out := &rig.Rig{File: figures[0].File, Materials: figures[0].Materials, Images: figures[0].Images}
	for _, f := range figures {
		f = Clone(f)
		nodes, meshes, skins := rig.Node(len(out.Nodes)), rig.Mesh(len(out.Meshes)), rig.Skin(len(out.Skins))
		for _, n := range f.Nodes {
			if n.Parent >= 0 {
				n.Parent += nodes
			}
			for i := range n.Children {
				n.Children[i] += nodes
			}
			if n.Mesh >= 0 {
				n.Mesh += meshes
			}
			if n.Skin >= 0 {
				n.Skin += skins
			}
			out.Nodes = append(out.Nodes, n)
		}
		for _, s := range f.Surfaces {
			s.Node, s.Mesh = s.Node+nodes, s.Mesh+meshes
			if s.Skin >= 0 {
				s.Skin += skins
			}
			out.Surfaces = append(out.Surfaces, s)
		}
		for i := range f.Meshes {
			for k := range f.Meshes[i].Primitives {
				f.Meshes[i].Primitives[k].Array += 1000 * int(meshes)
			}
		}
		out.Meshes = append(out.Meshes, f.Meshes...)
		for _, s := range f.Skins {
			for i := range s.Joints {
				s.Joints[i] += nodes
			}
			out.Skins = append(out.Skins, s)
		}
		for _, c := range f.Clips {
			for i := range c.Channels {
				c.Channels[i].Node += nodes
			}
			out.Clips = append(out.Clips, c)
		}
	}
	scene := rig.Scene{}
	for i := range out.Nodes {
		if out.Nodes[i].Parent < 0 {
			scene.Roots = append(scene.Roots, rig.Node(i))
		}
	}
	out.Scenes, out.Shown = []rig.Scene{scene}, 0
	out.SetOrder()
	return out
}

// Twin puts a second lamplighter beside the first, that many metres to its left. Size:
// the figures there are.
func Twin(metres float64) func(*rig.Rig) Planted {
	return func(r *rig.Rig) Planted {
		twin := Clone(r)
		twin.Nodes[hips].T[0] += metres
		twin.Nodes[hips].Matrix = twin.Nodes[hips].TRS.Affine()
		for i := range twin.Skins[0].Bind {
			back := rig.Identity
			back[3] = -metres
			twin.Skins[0].Bind[i] = twin.Skins[0].Bind[i].Mul(&back)
		}
		m := &twin.Meshes[0]
		for i := 0; i < len(m.Positions); i += 3 {
			m.Positions[i] += float32(metres)
		}
		for i := range m.Primitives {
			p := &m.Primitives[i]
			p.Min[0], p.Max[0] = p.Min[0]+metres, p.Max[0]+metres
			p.TrueMin[0], p.TrueMax[0] = p.TrueMin[0]+metres, p.TrueMax[0]+metres
		}
		node := rig.Node(len(r.Nodes)) + r.Surfaces[0].Node
		first := r.Surfaces[0].Node
		*r = *Merge(r, twin)
		p := aboutNodes(first, node)
		p.Measure, p.Size = "figures", 2
		return p
	}
}
