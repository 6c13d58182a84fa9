package gltfio

import (
	"fmt"

	"github.com/qmuntal/gltf"

	"rigloupe/inspect/rig"
)

// targets reads the morph targets of all primitives of a mesh.
func (r *reader) targets(mesh int, columns []parts, total, count int) error {
	m := &r.rig.Meshes[mesh]
	if count == 0 {
		return nil
	}
	names := targetNames(r.doc.Meshes[mesh])
	if len(names) > 0 && len(names) != count {
		r.bad(onMesh(mesh), place("meshes", mesh, "extras", "targetNames"), "%d names for %d morph targets", len(names), count)
	}
	m.Targets = make([]rig.Target, count)
	for t := range m.Targets {
		if t < len(names) {
			m.Targets[t].Name = names[t]
		}
	}
	first := 0
	for p := range columns {
		c := &columns[p]
		if c.count > 0 && len(c.targets) != count {
			r.bad(onMesh(mesh), place("meshes", mesh, "primitives", p, "targets"), "%d morph targets, another primitive has %d; the others do not move it", len(c.targets), count)
		}
		for t := range c.targets {
			for _, part := range []struct {
				name string
				c    *column
				to   *[]float32
			}{{gltf.POSITION, c.targets[t].position, &m.Targets[t].Positions}, {gltf.NORMAL, c.targets[t].normal, &m.Targets[t].Normals}} {
				if part.c == nil || c.count == 0 {
					continue
				}
				if *part.to == nil {
					if err := r.spend(total, 12); err != nil {
						return r.refuse(fmt.Sprintf("%s, morph target %d", label("mesh", mesh, m.Name), t), err)
					}
					*part.to = make([]float32, 3*total)
				}
				out := (*part.to)[3*first : 3*(first+c.count)]
				if n := part.c.floats(out, 3); n > 0 {
					r.bad(onMesh(mesh), place("meshes", mesh, "primitives", p, "targets", t, part.name), "%d numbers are not finite; read as 0", n)
				}
				if part.name == gltf.POSITION {
					lo, hi := extremes(out)
					r.stated(mesh, part.c.accessor, lo, hi, 0, place("meshes", mesh, "primitives", p, "targets", t, part.name))
				}
				if part.c.normalized {
					normalise(part.c.component, out, 3, 3)
				}
			}
		}
		first += c.count
	}
	return nil
}

// targetNames are common practice in extras (glTF 2.0, Morph Targets, note).
func targetNames(m *gltf.Mesh) []string {
	extras := []any{m.Extras}
	for _, p := range m.Primitives {
		extras = append(extras, p.Extras)
	}
	for _, e := range extras {
		table, _ := e.(map[string]any)
		list, _ := table["targetNames"].([]any)
		if len(list) == 0 {
			continue
		}
		names := make([]string, len(list))
		for i, n := range list {
			names[i], _ = n.(string)
		}
		return names
	}
	return nil
}
