package surface

import (
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// gather makes the place of a finding: the surfaces that have what is told, and of each
// the vertices and edges that pick answers, as far as it is still known where they are.
func (f *Facts) gather(has func(*Surface) bool, pick func(surface int) (vertices []rig.Vertex, edges [][2]rig.Vertex)) check.Where {
	w := check.Nowhere()
	var places []float32
	for s := range f.Surfaces {
		if !has(&f.Surfaces[s]) {
			continue
		}
		w.Nodes = append(w.Nodes, f.Surfaces[s].Node)
		if f.Sheets == nil {
			continue
		}
		vertices, edges := pick(s)
		if len(vertices) == 0 && len(edges) > 0 {
			vertices = ends(edges)
		}
		if len(vertices) == 0 {
			continue
		}
		w.Spots = append(w.Spots, check.Spot{Surface: s, Vertices: vertices, Edges: edges})
		for _, v := range vertices {
			places = append(places, f.rest[s][3*v:3*v+3]...)
		}
	}
	if centre, radius, ok := geom.Ball(places); ok {
		w.Point, w.Extent = &centre, radius
	}
	return w
}

// corners answers the vertices of triangles of a surface, each once, in the order
// of the triangles.
func (f *Facts) corners(surface int, triangles []uint32) (out []rig.Vertex) {
	mesh := f.meshes[surface]
	seen := make(map[uint32]bool, 3*len(triangles))
	for _, t := range triangles {
		for _, v := range mesh.data.Triangles[3*t : 3*t+3] {
			if g := mesh.of[v]; !seen[g] {
				seen[g] = true
				out = append(out, rig.Vertex(mesh.first[g]))
			}
		}
	}
	return out
}

// ends answers the vertices of edges, each once.
func ends(edges [][2]rig.Vertex) (out []rig.Vertex) {
	seen := make(map[rig.Vertex]bool, len(edges))
	for _, e := range edges {
		for _, v := range e {
			if !seen[v] {
				seen[v] = true
				out = append(out, v)
			}
		}
	}
	return out
}

// on says how many of what stand on which surfaces: "4 edges of surface "Body"".
func (f *Facts) on(w *check.Where, count int, one, many string) string {
	text := say.Count(count, one, many)
	if len(f.Surfaces) == 1 || len(w.Nodes) == 0 {
		return text
	}
	var names []string
	for i := range f.Surfaces { // a node has one surface
		if slices.Contains(w.Nodes, f.Surfaces[i].Node) {
			names = append(names, f.Surfaces[i].Called)
		}
	}
	return text + ", " + exam.Listed(names)
}

// needsTriangles is why a check of the shape cannot run.
func needsTriangles(f *Facts) string {
	if f.Triangles == 0 {
		return exam.Lacks("triangles", f.NotHonored)
	}
	return ""
}
