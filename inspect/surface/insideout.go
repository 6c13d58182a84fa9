package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var insideOut = check.Check[Facts]{
	ID:      "surface/inside-out",
	Title:   "Shell turned inside out",
	Measure: "closed shells whose volume is negative, after the sign of their node's determinant; one inside a shell that faces outwards is a hollow, and sound",
	Limits:  []check.Limit{{Name: "shells", Unit: say.Shells, Value: 0, Grade: check.Flaw}},
	Why: "The shell shows its back everywhere (flipped normals): many players draw only its far wall. " +
		"Automatic binding takes its inside for the outside.",
	Remedy: "Turn all triangles of the shell over.",
	Source: "glTF 2.0, Meshes: front faces run counter-clockwise, clockwise under a negative determinant; signed volume by the divergence theorem",
	Lens:   "winding",
	Needs: func(f *Facts) string {
		if f.Triangles > 0 && !f.Nested {
			return tooDeep
		}
		return needsTriangles(f)
	},
	Judge: func(f *Facts, d *check.Docket) {
		if l := d.Limit("shells"); float64(f.InsideOut) > l.Value {
			w := f.gatherShells(func(s *Surface) bool { return s.InsideOut > 0 }, func(p *Shell) bool { return p.InsideOut })
			d.Found(l, "shells", float64(f.InsideOut), w).Subject = f.on(&w, f.InsideOut, "shell", "shells")
		}
	},
}

// tooDeep is why nesting was given up; see rayWork.
const tooDeep = "too many triangles lie one over the other to tell what is inside what"

// gatherShells is the place of all vertices of the shells chosen; has as in gather.
func (f *Facts) gatherShells(has func(*Surface) bool, chosen func(*Shell) bool) check.Where {
	return f.gather(has, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return f.shellVertices(s, chosen), nil })
}

// shellVertices are those of one surface's shells that are chosen.
func (f *Facts) shellVertices(s int, chosen func(*Shell) bool) (vertices []rig.Vertex) {
	for _, v := range f.meshes[s].first {
		if i := f.Sheets[s].Shell[v]; i >= 0 && chosen(&f.Pieces[i]) {
			vertices = append(vertices, rig.Vertex(v))
		}
	}
	return vertices
}
