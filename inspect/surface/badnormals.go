package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var badNormals = check.Check[Facts]{
	ID:      "surface/bad-normals",
	Title:   "Unsound normals",
	Measure: "share of the triangles whose normals point to their back; vertices without a normal, or with one off length 1 by more than 0.001",
	Limits: []check.Limit{
		{Name: "opposed-share", Unit: say.Share, Value: 0.05, Grade: check.Flaw},
		{Name: "opposed", Unit: say.Triangles, Value: 0, Grade: check.Note},
		{Name: "missing", Unit: say.Vertices, Value: 0, Grade: check.Note},
		{Name: "off-unit", Unit: say.Vertices, Value: 0, Grade: check.Note},
	},
	Why: "Normals say how the light falls. " +
		"Where they point into the body, it is dark where it should be lit.",
	Remedy: "Work the normals out again, outwards, before saving; store them at length 1.",
	Source: "glTF 2.0, Meshes: normals are unit vectors, and flat ones are worked out where there are none",
	Needs:  needsTriangles,
	Judge: func(f *Facts, d *check.Docket) {
		share := 0.0
		if f.WithNormal > 0 {
			share = float64(f.Opposed) / float64(f.WithNormal)
		}
		opposed := func(l check.Limit, name string, value float64) {
			w := f.gather(func(s *Surface) bool { return s.Opposed > 0 }, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return f.corners(s, f.Sheets[s].Opposed), nil })
			found := d.Found(l, name, value, w)
			found.Title, found.Subject = "Normals that point inwards", f.on(&w, f.Opposed, "triangle", "triangles")
		}
		if l := d.Limit("opposed-share"); share > l.Value {
			opposed(l, "opposed share", share)
		} else if l := d.Limit("opposed"); float64(f.Opposed) > l.Value {
			opposed(l, "opposed", float64(f.Opposed))
		}
		if l := d.Limit("missing"); float64(f.NoNormal) > l.Value {
			w := f.gather(func(s *Surface) bool { return s.NoNormal > 0 }, func(s int) (vertices []rig.Vertex, _ [][2]rig.Vertex) {
				m := f.meshes[s]
				for _, p := range m.data.Primitives {
					for v := p.First; v < p.First+p.Count && v < len(m.used) && (!p.HasNormals || m.data.Normals == nil); v++ {
						if m.used[v] {
							vertices = append(vertices, rig.Vertex(v))
						}
					}
				}
				return vertices, nil
			})
			found := d.Found(l, "missing", float64(f.NoNormal), w)
			found.Title, found.Subject = "No normals", f.on(&w, f.NoNormal, "vertex", "vertices")
			found.Why = "Players work flat normals out by themselves, so every triangle shows. Round parts look cut."
		}
		if l := d.Limit("off-unit"); float64(f.OffUnit) > l.Value {
			w := f.gather(func(s *Surface) bool { return s.OffUnit > 0 }, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return f.Sheets[s].OffUnit, nil })
			found := d.Found(l, "off unit", float64(f.OffUnit), w)
			found.Title, found.Subject = "Normals not unit length", f.on(&w, f.OffUnit, "vertex", "vertices")
		}
	},
}
