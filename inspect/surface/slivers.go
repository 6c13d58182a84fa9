package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var slivers = check.Check[Facts]{
	ID:      "surface/slivers",
	Title:   "Triangles without area",
	Measure: "triangles without area after welding; else triangles lower than 0.0001 of their longest edge",
	Limits: []check.Limit{
		{Name: "zero-area", Unit: say.Triangles, Value: 0, Grade: check.Flaw},
		{Name: "slivers", Unit: say.Triangles, Value: 0, Grade: check.Note},
	},
	Why: "A triangle without area (a degenerate triangle) has no direction, so shading and automatic weights have nothing to go by there. " +
		"What divides by its area fails.",
	Remedy: "Remove triangles without area, or join the two corners of their shortest edge.\nThen close what is open there.",
	Source: "common practice, no source",
	Needs:  needsTriangles,
	Judge: func(f *Facts, d *check.Docket) {
		if l := d.Limit("zero-area"); float64(f.ZeroArea) > l.Value {
			w := f.gather(func(s *Surface) bool { return s.ZeroArea > 0 }, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return f.corners(s, f.Sheets[s].Thin), nil })
			d.Found(l, "zero-area", float64(f.ZeroArea), w).Subject = f.on(&w, f.ZeroArea, "triangle", "triangles")
		}
		if l := d.Limit("slivers"); float64(f.Slivers) > l.Value {
			w := f.gather(func(s *Surface) bool { return s.Slivers > 0 }, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return f.corners(s, f.Sheets[s].Slivers), nil })
			found := d.Found(l, "slivers", float64(f.Slivers), w)
			found.Title, found.Subject = "Slivers", f.on(&w, f.Slivers, "triangle", "triangles")
			found.Why = "These triangles are almost lines. Their normals turn about at the smallest move, which shows as flicker."
		}
	},
}
