package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var doubledVertices = check.Check[Facts]{
	ID:      "surface/doubled-vertices",
	Title:   "Vertices stored twice",
	Measure: "vertices equal to an earlier one of their primitive in position, normal, UV, joints, weights and morph targets (tangents, colours and further UV sets are not compared)",
	Limits:  []check.Limit{{Name: "copies", Unit: say.Vertices, Value: 0, Grade: check.Note}},
	Why: "The copies (duplicate vertices) say nothing new and make the file larger. " +
		"Splits of normals and UVs are another matter, they are not counted here.",
	Remedy: "Join equal vertices when saving, or store the triangles with indices.",
	Source: "common practice, no source",
	Needs:  needsTriangles,
	Judge: func(f *Facts, d *check.Docket) {
		if l := d.Limit("copies"); float64(f.Doubled) > l.Value {
			w := f.gather(func(s *Surface) bool { return s.Doubled > 0 }, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return f.Sheets[s].Doubled, nil })
			d.Found(l, "copies", float64(f.Doubled), w).Subject = f.on(&w, f.Doubled, "vertex", "vertices")
		}
	},
}
