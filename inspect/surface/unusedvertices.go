package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var unusedVertices = check.Check[Facts]{
	ID:      "surface/unused-vertices",
	Title:   "Unused vertices",
	Measure: "stored vertices that no triangle of a primitive with the same array uses",
	Limits:  []check.Limit{{Name: "vertices", Unit: say.Vertices, Value: 0, Grade: check.Note}},
	Why: "They are never drawn, but stretch the box that players reckon with. " +
		"Programs that bind may count them as part of the body.",
	Remedy: "Delete loose vertices, and save again.",
	Source: "common practice, no source",
	Judge: func(f *Facts, d *check.Docket) {
		if l := d.Limit("vertices"); float64(f.Unused) > l.Value {
			w := f.gather(func(s *Surface) bool { return s.Unused > 0 }, func(s int) (vertices []rig.Vertex, _ [][2]rig.Vertex) {
				for v, used := range f.meshes[s].used {
					if !used {
						vertices = append(vertices, rig.Vertex(v))
					}
				}
				return vertices, nil
			})
			d.Found(l, "vertices", float64(f.Unused), w).Subject = f.on(&w, f.Unused, "vertex", "vertices")
		}
	},
}
