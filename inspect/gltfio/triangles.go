package gltfio

import (
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// triangles unrolls one primitive's triangles (glTF 2.0, Meshes): of a strip
// triangle i is v(i), v(i+1+i mod 2), v(i+2−i mod 2), of a fan v(i+1), v(i+2), v(0).
// Triangles with a corner that does not exist are left out.
func (r *reader) triangles(mesh, i int, c *parts, d *rig.PrimitiveData, m *rig.MeshData) error {
	if c.count == 0 {
		return nil
	}
	where := place("meshes", mesh, "primitives", i)
	n := c.count
	var index []uint32
	if c.indices != nil {
		n = c.indices.count
		where += "/indices"
		if err := r.spend(n, 4); err != nil {
			return err
		}
		index = make([]uint32, n)
		c.indices.whole(index, 1)
	}
	total := 0
	switch d.Mode {
	case 4:
		total = n / 3
		if n%3 != 0 {
			r.bad(onMesh(mesh), where, "%d corners are no multiple of 3; the last %s ignored", n, say.Word(n%3, "one is", "two are"))
		}
	case 5, 6:
		total = n - 2
		if n < 3 {
			r.bad(onMesh(mesh), where, "%s %s no strip or fan", say.Whole(n), say.Word(n, "corner makes", "corners make"))
			return nil
		}
	default:
		if d.Mode <= 3 {
			r.remark("%s, primitive %d holds points or lines, no triangle", label("mesh", mesh, m.Name), i)
		}
		return nil
	}
	if err := r.spend(total, 12); err != nil {
		return err
	}
	if m.Triangles == nil {
		m.Triangles = make([]uint32, 0, 3*total)
	}
	lost, first, count := 0, uint32(d.First), uint32(c.count)
	for t := range total {
		a, b, e := 3*t, 3*t+1, 3*t+2
		switch d.Mode {
		case 5:
			a, b, e = t, t+1+t%2, t+2-t%2
		case 6:
			a, b, e = t+1, t+2, 0
		}
		va, vb, ve := uint32(a), uint32(b), uint32(e)
		if index != nil {
			va, vb, ve = index[a], index[b], index[e]
		}
		if va >= count || vb >= count || ve >= count {
			lost++
			continue
		}
		m.Triangles = append(m.Triangles, first+va, first+vb, first+ve)
	}
	if lost > 0 {
		r.bad(onMesh(mesh), where, "%d of %d triangles %s a corner beyond the %d vertices; left out", lost, total, say.Word(lost, "has", "have"), count)
	}
	return nil
}
