package lamplighter

import (
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
		c.Humanoid.Bones = make(map[string]rig.Node, len(r.Humanoid.Bones))
		for k, v := range r.Humanoid.Bones {
			c.Humanoid.Bones[k] = v
		}
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
	c.Channels = slices.Clone(c.Channels)
	for i := range c.Channels {
		ch := &c.Channels[i]
		old := ch.Times
		ch.Times, ch.Values = slices.Clone(ch.Times), slices.Clone(ch.Values)
		_ = old
	}
}
