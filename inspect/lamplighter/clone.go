package lamplighter

import (
	"maps"
	"slices"

	"rigloupe/inspect/rig"
)

// Clone answers a copy that shares no memory with r but the bytes of its pictures,
// which nobody writes to. Channels that share times go on sharing theirs.
func Clone(r *rig.Rig) *rig.Rig {
	c := *r
	c.File.Used, c.File.Required, c.File.NotHonored = slices.Clone(r.File.Used), slices.Clone(r.File.Required), slices.Clone(r.File.NotHonored)
	c.Nodes = slices.Clone(r.Nodes)
	for i := range c.Nodes {
		n := &c.Nodes[i]
		n.Children, n.Weights = slices.Clone(n.Children), slices.Clone(n.Weights)
	}
	c.Order = slices.Clone(r.Order)
	c.Scenes = slices.Clone(r.Scenes)
	for i := range c.Scenes {
		c.Scenes[i].Roots = slices.Clone(c.Scenes[i].Roots)
	}
	c.Meshes = slices.Clone(r.Meshes)
	for i := range c.Meshes {
		cloneMesh(&c.Meshes[i])
	}
	c.Surfaces = slices.Clone(r.Surfaces)
	c.Skins = slices.Clone(r.Skins)
	for i := range c.Skins {
		s := &c.Skins[i]
		s.Joints, s.Bind, s.BindRow = slices.Clone(s.Joints), slices.Clone(s.Bind), slices.Clone(s.BindRow)
	}
	c.Clips = slices.Clone(r.Clips)
	for i := range c.Clips {
		cloneClip(&c.Clips[i])
	}
	c.Materials, c.Images = slices.Clone(r.Materials), slices.Clone(r.Images)
	c.Malformed, c.Remarks = slices.Clone(r.Malformed), slices.Clone(r.Remarks)
	if r.Humanoid.Bones != nil {
		c.Humanoid.Bones = maps.Clone(r.Humanoid.Bones)
	}
	return &c
}

func cloneMesh(m *rig.MeshData) {
	m.Primitives = slices.Clone(m.Primitives)
	for i := range m.Primitives {
		m.Primitives[i].WeightSums = slices.Clone(m.Primitives[i].WeightSums)
	}
	m.Positions, m.Normals, m.UV = slices.Clone(m.Positions), slices.Clone(m.Normals), slices.Clone(m.UV)
	m.Joints, m.Weights, m.Triangles = slices.Clone(m.Joints), slices.Clone(m.Weights), slices.Clone(m.Triangles)
	m.Targets, m.Morph = slices.Clone(m.Targets), slices.Clone(m.Morph)
	for i := range m.Targets {
		t := &m.Targets[i]
		t.Positions, t.Normals = slices.Clone(t.Positions), slices.Clone(t.Normals)
	}
}

func cloneClip(c *rig.ClipData) {
	old := c.Channels
	c.Channels = slices.Clone(old)
	for i := range c.Channels {
		ch := &c.Channels[i]
		ch.Values = slices.Clone(ch.Values)
		ch.Times = slices.Clone(ch.Times)
		for k := range i {
			if len(old[k].Times) > 0 && len(old[k].Times) == len(old[i].Times) && &old[k].Times[0] == &old[i].Times[0] {
				ch.Times = c.Channels[k].Times
				break
			}
		}
	}
}
