package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var mixedWinding = check.Check[Facts]{
	ID:      "surface/mixed-winding",
	Title:   "Neighbours facing opposite ways",
	Measure: "welded edges whose two triangles run the same way along them",
	Limits:  []check.Limit{{Name: "edges", Unit: say.Edges, Value: 0, Grade: check.Flaw}},
	Why: "The winding of neighbours disagrees, so from outside some triangles show their back: many players leave those out, and the figure has windows. " +
		"The light falls on them from the wrong side.",
	Remedy: "Turn the triangles of the smaller part over, so that all face outwards.",
	Source: "glTF 2.0, Meshes: front faces run counter-clockwise",
	Lens:   "winding",
	Needs:  needsTriangles,
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("edges")
		if float64(f.Mixed) <= l.Value {
			return
		}
		w := f.gather(func(s *Surface) bool { return s.Mixed > 0 }, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return nil, f.Sheets[s].Mixed })
		found := d.Found(l, "edges", float64(f.Mixed), w)
		found.Subject = f.on(&w, f.Mixed, "edge", "edges")
		found.Measures = append(found.Measures, check.Also("turned over", float64(f.Turned), say.Triangles))
	},
}
