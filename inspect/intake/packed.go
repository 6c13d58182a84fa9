package intake

import (
	"fmt"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/say"
)

const notShownWhy = "The surface is drawn with its plain ground there, so what the picture shows is not seen here. Shape, skeleton and weights are examined all the same."

var packed = check.Check[Facts]{
	ID:      "intake/packed",
	Title:   "Data packed coarsely",
	Measure: "step of the stored positions in world metres ÷ diagonal of the figure; the same ÷ 1st percentile of edge length; pictures of a kind not shown",
	Limits: []check.Limit{
		{Name: "step", Unit: say.TimesDiagonal, Value: 1e-4, Grade: check.Note},
		{Name: "edge", Unit: say.TimesEdge, Value: 0.25, Grade: check.Note},
		{Name: "stepped", Unit: say.TimesDiagonal, Value: 1e-3, Grade: check.Flaw},
		{Name: "pictures", Unit: say.Pictures, Value: 0, Grade: check.Note},
	},
	Why:    "Packed (quantised) positions lie on a grid. Where its step nears the size of the triangles the surface shows stairs, seams no longer meet, and a mirror image no longer fits.",
	Remedy: "Export the surface with more bits a position, or as plain floats, and pack it last.",
	Source: "KHR_mesh_quantization (steps); limits: common practice, no source",
	Needs: func(f *Facts) string {
		if len(f.PerSurface) == 0 && len(f.Unshown) == 0 {
			return exam.Lacks("surface", f.NotHonored)
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		step, edge, stepped, pictures := d.Limit("step"), d.Limit("edge"), d.Limit("stepped"), d.Limit("pictures")
		for i := range f.PerSurface {
			p := &f.PerSurface[i]
			if !(p.GridStepM > 0) || !(f.Diagonal > 0) {
				continue
			}
			share, ofEdge := p.GridStepM/f.Diagonal, 0.0
			if p.Packed.EdgeM > 0 {
				ofEdge = p.GridStepM / p.Packed.EdgeM
			}
			w := check.Nowhere()
			w.Nodes, w.Skin = append(w.Nodes, p.Node), p.Skin
			var g *check.Finding
			switch {
			case share > stepped.Value:
				g = d.Found(stepped, "step", share, w)
				g.Subject = p.Name + ", stepped"
			case share > step.Value:
				g = d.Found(step, "step", share, w)
				g.Subject = p.Name
			case ofEdge > edge.Value:
				g = d.Found(edge, "step ÷ edge", ofEdge, w)
				g.Subject = p.Name
			default:
				continue
			}
			g.Measures = append(g.Measures,
				check.Also("step", p.GridStepM, say.Metre),
				check.Also("1st percentile of edge length", p.Packed.EdgeM, say.Metre))
			if p.Packed.WeightStep > 0 {
				g.Measures = append(g.Measures, check.Also("weight step", p.Packed.WeightStep, say.Unit{}))
			}
		}
		if n := float64(len(f.Unshown)); n > pictures.Value {
			w := check.Nowhere()
			first := f.Unshown[0]
			w.Pointer = fmt.Sprintf("/images/%d", first.Index)
			g := d.Found(pictures, "not shown", n, w)
			g.Title, g.Why, g.Remedy = "Picture not shown", notShownWhy, "Keep a PNG or JPEG beside pictures of another kind."
			if first.Why != "" && !strings.Contains(first.Why, "not shown") {
				g.Title, g.Remedy = "Picture missing", "Put the picture where the file says, or pack it into the file (.glb), and look at the file again."
			}
			what := first.Why
			if what == "" {
				what = fmt.Sprintf("%q is not a kind shown here", first.MIME)
			}
			g.Subject = fmt.Sprintf("picture %d: %s; the plain ground is drawn", first.Index, what)
		}
	},
}
