package intake

import (
	"fmt"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/say"
)

// ceilings are numbers of joints in one draw that players stop at.
var ceilings = []int{24, 48, 75, 110, 128, 255}

var heavy = check.Check[Facts]{
	ID:      "intake/heavy",
	Title:   "Heavy figure",
	Measure: "vertices of all surfaces; joints with influence on one surface",
	Limits: []check.Limit{
		{Name: "vertices", Unit: say.Vertices, Value: 100_000, Grade: check.Note},
		{Name: "vertices-many", Unit: say.Vertices, Value: 300_000, Grade: check.Flaw},
		{Name: "joints", Unit: say.Joints, Value: 128, Grade: check.Note},
		{Name: "joints-many", Unit: say.Joints, Value: 255, Grade: check.Flaw},
	},
	Why:    "Every vertex is moved anew in each frame, and players reserve room for a fixed number of joints a surface. Beyond it they cut, drop or refuse.",
	Remedy: "Thin the surface out where it is denser than its outline needs, before binding, or make coarser copies for a distance (level of detail).\nCut a surface with too many joints into parts, or take joints without influence out of the skin.",
	Source: "common practice, no source",
	Needs:  needsSurface,
	Judge: func(f *Facts, d *check.Docket) {
		few, many := d.Limit("vertices"), d.Limit("vertices-many")
		if v := float64(f.Vertices); v > few.Value || v > many.Value {
			l := few
			if v > many.Value {
				l = many
			}
			w := check.Nowhere()
			worst := 0
			for i := range f.PerSurface {
				w.Nodes = append(w.Nodes, f.PerSurface[i].Node)
				if f.PerSurface[i].Vertices > f.PerSurface[worst].Vertices {
					worst = i
				}
			}
			g := d.Found(l, "vertices", v, w)
			g.Subject = fmt.Sprintf("%s holds %s of them", f.PerSurface[worst].Name, say.Whole(f.PerSurface[worst].Vertices))
			g.Measures = append(g.Measures,
				check.Also("triangles", float64(f.Triangles), say.Triangles),
				check.Also("textures, decoded", float64(f.TextureBytesDecoded), say.Byte))
		}
		few, many = d.Limit("joints"), d.Limit("joints-many")
		for i := range f.PerSurface {
			p := &f.PerSurface[i]
			v := float64(p.JointsUsed)
			if !(v > few.Value) && !(v > many.Value) {
				continue
			}
			l := few
			if v > many.Value {
				l = many
			}
			w := check.Nowhere()
			w.Nodes, w.Skin = append(w.Nodes, p.Node), p.Skin
			g := d.Found(l, "joints with influence", v, w)
			g.Subject = p.Name + "; passes the ceilings " + passed(p.JointsUsed)
		}
	},
}

// passed lists the ceilings below a number of joints.
func passed(joints int) string {
	var out []string
	for _, c := range ceilings {
		if joints > c {
			out = append(out, fmt.Sprint(c))
		}
	}
	return strings.Join(out, ", ")
}

func needsSurface(f *Facts) string {
	const none = "no surface in this file"
	if why := exam.Lacks("surface", f.NotHonored); len(f.PerSurface) == 0 || f.Vertices == 0 && why != none {
		return why
	}
	return ""
}
