package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var boundaryEdges = check.Check[Facts]{
	ID:      "surface/boundary-edges",
	Title:   "Open edges",
	Measure: "loops of welded edges that only one triangle has, with length and place",
	Limits:  []check.Limit{{Name: "loops", Unit: say.Loops, Value: 0, Grade: check.Note}},
	Why: "The surface ends at such edges (boundary edges): at a hem on purpose, at a hole by mistake. " +
		"Automatic binding that fills the body with a volume leaks through holes.",
	Remedy: "Fill holes; leave hems, capes and the like as they are.",
	Source: "common practice, no source; an edge of one triangle is a boundary (half-edge without twin)",
	Needs:  needsTriangles,
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("loops")
		if float64(f.Loops) <= l.Value {
			return
		}
		long := f.Longest
		w := f.gather(func(s *Surface) bool { return s.Loops > 0 }, func(s int) (vertices []rig.Vertex, edges [][2]rig.Vertex) {
			for i := range f.Sheets[s].Loops {
				loop := &f.Sheets[s].Loops[i]
				vertices = append(vertices, loop.Vertices...)
				for k := 1; k < len(loop.Vertices); k++ {
					edges = append(edges, [2]rig.Vertex{loop.Vertices[k-1], loop.Vertices[k]})
				}
				if n := len(loop.Vertices); loop.Closed && n > 1 {
					edges = append(edges, [2]rig.Vertex{loop.Vertices[n-1], loop.Vertices[0]})
				}
			}
			return vertices, edges
		})
		found := d.Found(l, "loops", float64(f.Loops), w)
		found.Subject = f.on(&w, f.Loops, "loop", "loops") + "; the longest is " + say.Metres(long)
		found.Measures = append(found.Measures, check.Also("edges", float64(f.Boundary), say.Edges), check.Also("longest", long, say.Metre))
	},
}
