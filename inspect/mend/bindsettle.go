package mend

import (
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// placedAlone tells that the node of a surface is placed, and that the placement can go into
// its vertices: with a skin the node counts no more (glTF 2.0, Skins), and a placement that
// is left on it is drawn twice by programs that do not know that. Not where the mesh is shown
// elsewhere as well, where anything hangs on the node or moves it, where it mirrors, and not
// into positions in whole steps, which the placement turns into metres.
func (b *binder) placedAlone(surface int) bool {
	r := b.w.Rig
	s := r.Surfaces[surface]
	world := b.w.Exam.RestWorld()
	n := s.Node
	at := world[n]
	if at == rig.Identity || !(at.Det() > 0) || len(r.Nodes[n].Children) > 0 {
		return false
	}
	if up := r.Nodes[n].Parent; up >= 0 {
		if _, ok := world[up].Inverse(); !ok {
			return false
		}
	}
	for i := range r.Surfaces {
		if i != surface && r.Surfaces[i].Mesh == s.Mesh {
			return false
		}
	}
	for up := n; up >= 0; up = r.Nodes[up].Parent {
		for c := range r.Clips {
			for k := range r.Clips[c].Channels {
				if ch := &r.Clips[c].Channels[k]; ch.Node == up && ch.Path != rig.Weights {
					return false
				}
			}
		}
	}
	const float = 5126 // glTF 2.0, accessor.componentType
	return !slices.ContainsFunc(r.Meshes[s.Mesh].Primitives, func(p rig.PrimitiveData) bool { return p.PositionType != float && p.Count > 0 })
}

// settle puts the placement of a surface's node into its vertices, and empties the node.
func (b *binder) settle(surface int, is *rig.Rig, maps [][]float32) {
	r := b.w.Rig
	s := r.Surfaces[surface]
	world := b.w.Exam.RestWorld()
	at := world[s.Node]
	inverse, _ := at.Inverse()
	// Normals go by the inverse transposed: they stay square to what they stand on.
	normal := func(v space.Vec) space.Vec {
		return space.Vec{inverse[0]*v[0] + inverse[4]*v[1] + inverse[8]*v[2], inverse[1]*v[0] + inverse[5]*v[1] + inverse[9]*v[2], inverse[2]*v[0] + inverse[6]*v[1] + inverse[10]*v[2]}
	}
	m := &is.Meshes[s.Mesh]
	each := func(list []float32, to func(space.Vec) space.Vec) []float32 {
		out := slices.Clone(list)
		for v := range len(out) / 3 {
			set(out, v, to(space.At(out, v)))
		}
		return out
	}
	m.Positions = each(m.Positions, at.Point)
	if m.Normals != nil {
		m.Normals = each(m.Normals, func(v space.Vec) space.Vec { return space.Direction(normal(v)) })
	}
	m.Targets = slices.Clone(m.Targets)
	for t := range m.Targets {
		if m.Targets[t].Positions != nil {
			m.Targets[t].Positions = each(m.Targets[t].Positions, at.Direction)
		}
		if m.Targets[t].Normals != nil {
			m.Targets[t].Normals = each(m.Targets[t].Normals, normal)
		}
	}
	turn := at.Float32()
	turn[3], turn[7], turn[11] = 0, 0, 0
	maps[s.Mesh] = make([]float32, 0, 12*m.Vertices())
	for range m.Vertices() {
		maps[s.Mesh] = append(maps[s.Mesh], turn[:]...)
	}
	local := rig.Identity
	if up := r.Nodes[s.Node].Parent; up >= 0 {
		local, _ = world[up].Inverse()
	}
	is.Nodes = slices.Clone(is.Nodes)
	n := &is.Nodes[s.Node]
	n.HasMatrix, n.TRS, n.Matrix = false, tidy(local.Decompose()), local
	if b.settled == nil {
		b.settled = map[rig.Node]bool{}
	}
	b.settled[s.Node] = true
	b.w.Say("The placement of %s went into its vertices: a bound surface goes where its joints go.", b.w.Exam.SurfaceName(surface))
}
