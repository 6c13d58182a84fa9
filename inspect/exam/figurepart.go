package exam

import (
	"slices"

	"rigloupe/inspect/rig"
)

// part is the rig of one figure, or of what has no joints of its own. It fills in the
// figure's lists.
func (e *Exam) part(f *Figure) *rig.Rig {
	r := e.Rig
	own := make([]bool, len(r.Nodes))
	for _, n := range f.Joints {
		own[n] = true
	}
	if f.Joints == nil {
		for i := range own {
			own[i] = true
		}
	}
	isJoint := r.Joints()
	for _, n := range r.Order { // what hangs on it, but for joints of others
		if p := r.Nodes[n].Parent; p >= 0 && own[p] && !isJoint[n] {
			own[n] = true
		}
	}
	kept := slices.Clone(own)
	for _, s := range f.Surfaces {
		kept[r.Surfaces[s].Node] = true
	}
	for _, n := range slices.Backward(r.Order) { // what it hangs on
		if p := r.Nodes[n].Parent; p >= 0 && kept[n] {
			kept[p] = true
		}
	}
	out := *r
	out.Malformed, out.Remarks, out.File.NotHonored = nil, nil, nil
	out.Nodes, out.Meshes = slices.Clone(r.Nodes), slices.Clone(r.Meshes)
	for i := range out.Nodes {
		out.Nodes[i].Mesh, out.Nodes[i].Skin = rig.None, rig.None
		if !kept[i] {
			if p := r.Nodes[i].Parent; p >= 0 && kept[p] { // another figure that hangs on this one
				out.Nodes[i].Parent = rig.None
			}
			continue
		}
		out.Nodes[i].Children = slices.DeleteFunc(slices.Clone(r.Nodes[i].Children), func(c rig.Node) bool { return !kept[c] })
	}
	if len(r.Surfaces) == 0 { // all nodes of a capture are joints but for those of others
		out.Order = slices.DeleteFunc(slices.Clone(r.Order), func(n rig.Node) bool { return !kept[n] })
	}
	out.Surfaces, out.Skins, out.Clips = nil, nil, nil
	if len(r.Surfaces) == 0 { // joints alone: a skin is that of the figure whose joints it lists
		for k := range r.Skins {
			if s := &r.Skins[k]; len(s.Joints) > 0 && s.Joints[0] >= 0 && own[s.Joints[0]] {
				out.Skins, f.Skins = append(out.Skins, *s), append(f.Skins, rig.Skin(k))
			}
		}
	}
	place := map[rig.Skin]rig.Skin{}
	for at, i := range f.Surfaces {
		s := r.Surfaces[i]
		if v := f.Vertices[at]; v != nil {
			out.Meshes = append(out.Meshes, cut(&r.Meshes[s.Mesh], v))
			s.Mesh = rig.Mesh(len(out.Meshes) - 1)
		}
		if s.Skin >= 0 {
			k, ok := place[s.Skin]
			if !ok {
				k = rig.Skin(len(out.Skins))
				place[s.Skin] = k
				f.Skins = append(f.Skins, s.Skin)
				out.Skins = append(out.Skins, r.Skins[s.Skin])
			}
			s.Mesh = trim(&out, s.Mesh, &r.Skins[s.Skin], &out.Skins[k], own)
			s.Skin = k
		}
		out.Nodes[s.Node].Mesh, out.Nodes[s.Node].Skin = s.Mesh, s.Skin
		out.Surfaces = append(out.Surfaces, s)
	}
	for i := range r.Clips {
		c := r.Clips[i]
		c.Channels = slices.DeleteFunc(slices.Clone(c.Channels), func(ch rig.Channel) bool { return ch.Node < 0 || !own[ch.Node] })
		if len(c.Channels) > 0 {
			out.Clips, f.Clips = append(out.Clips, c), append(f.Clips, rig.Clip(i))
		}
	}
	if h, ok := r.Humanoid.Bones["hips"]; !ok || h < 0 || !own[h] {
		out.Humanoid = rig.Humanoid{}
	}
	return &out
}

// trim leaves in a skin the joints of the figure alone. It answers the mesh that counts
// by them: the same where the skin had no other joint. What little weight a joint of
// another figure has here is left out.
func trim(out *rig.Rig, mesh rig.Mesh, from, to *rig.SkinData, own []bool) rig.Mesh {
	at := make([]uint16, len(from.Joints))
	var joints []rig.Node
	var binds []rig.Affine
	var rows []float64
	for j, n := range from.Joints {
		if !own[n] {
			continue
		}
		at[j] = uint16(len(joints))
		joints, binds = append(joints, n), append(binds, from.Bind[j])
		if from.BindRow != nil {
			rows = append(rows, from.BindRow[4*j:4*j+4]...)
		}
	}
	if len(joints) == len(from.Joints) {
		return mesh
	}
	to.Joints, to.Bind, to.BindRow = joints, binds, rows
	m := out.Meshes[mesh]
	m.Joints, m.Weights = slices.Clone(m.Joints), slices.Clone(m.Weights)
	for k, j := range m.Joints {
		if int(j) < len(at) {
			if m.Joints[k] = at[j]; !own[from.Joints[j]] {
				m.Weights[k] = 0
			}
		}
	}
	out.Meshes = append(out.Meshes, m)
	return rig.Mesh(len(out.Meshes) - 1)
}

// cut is a mesh of some of the vertices of another, in their order, with the triangles
// that stand on these alone.
func cut(m *rig.MeshData, keep []rig.Vertex) rig.MeshData {
	to := make([]int32, m.Vertices())
	for v := range to {
		to[v] = rig.None
	}
	for i, v := range keep {
		to[v] = int32(i)
	}
	out := *m
	out.Positions, out.Normals, out.UV = rows(m.Positions, keep, 3), rows(m.Normals, keep, 3), rows(m.UV, keep, 2)
	out.Joints, out.Weights = rows(m.Joints, keep, m.K), rows(m.Weights, keep, m.K)
	out.Targets = slices.Clone(m.Targets)
	for i := range out.Targets {
		t := &out.Targets[i]
		t.Positions, t.Normals = rows(t.Positions, keep, 3), rows(t.Normals, keep, 3)
	}
	out.NonFinite = nil
	for _, v := range m.NonFinite {
		if to[v] >= 0 {
			out.NonFinite = append(out.NonFinite, rig.Vertex(to[v]))
		}
	}
	out.Primitives, out.Triangles = slices.Clone(m.Primitives), nil
	next := 0
	for i := range out.Primitives {
		p, from := &out.Primitives[i], m.Primitives[i]
		p.First, p.FirstTri, p.WeightSums = next, len(out.Triangles)/3, nil
		for ; next < len(keep) && int(keep[next]) < from.First+from.Count; next++ {
			if from.WeightSums != nil {
				p.WeightSums = append(p.WeightSums, from.WeightSums[int(keep[next])-from.First])
			}
		}
		p.Count = next - p.First
		for t := from.FirstTri; t < from.FirstTri+from.TriCount; t++ {
			a, b, c := to[m.Triangles[3*t]], to[m.Triangles[3*t+1]], to[m.Triangles[3*t+2]]
			if a >= 0 && b >= 0 && c >= 0 {
				out.Triangles = append(out.Triangles, uint32(a), uint32(b), uint32(c))
			}
		}
		p.TriCount = len(out.Triangles)/3 - p.FirstTri
	}
	return out
}

// rows copies the rows of a flat list, so many numbers each; nil stays nil.
func rows[T any](list []T, keep []rig.Vertex, width int) []T {
	if list == nil {
		return nil
	}
	out := make([]T, 0, len(keep)*width)
	for _, v := range keep {
		out = append(out, list[int(v)*width:(int(v)+1)*width]...)
	}
	return out
}
