package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var branchingEdges = check.Check[Facts]{
	ID:      "surface/branching-edges",
	Title:   "Branching edges",
	Measure: "welded edges that more than two triangles share",
	Limits:  []check.Limit{{Name: "edges", Unit: say.Edges, Value: 0, Grade: check.Flaw}},
	Why: "There the surface has no inside and no outside: it is not a skin but several meeting in a line (a non-manifold edge). " +
		"Automatic binding by heat or by voxels tends to fail on it.",
	Remedy: "Delete the walls inside the body and triangles that lie double.\nPart what only touches: each part gets vertices of its own, a little apart.",
	Source: "an edge of three or more triangles is not manifold (half-edge criterion, also of EXT_mesh_manifold)",
	Needs:  needsTriangles,
	Judge: func(f *Facts, d *check.Docket) {
		if l := d.Limit("edges"); float64(f.Branching) > l.Value {
			w := f.gather(func(s *Surface) bool { return s.Branching > 0 }, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return nil, f.Sheets[s].Branching })
			d.Found(l, "edges", float64(f.Branching), w).Subject = f.on(&w, f.Branching, "edge", "edges")
		}
	},
}
