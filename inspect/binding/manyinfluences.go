package binding

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var manyInfluences = check.Check[Facts]{
	ID:      "binding/many-influences",
	Title:   "Too many influences",
	Measure: "non-zero weights of a vertex",
	Limits: []check.Limit{
		{Name: "usual", Unit: say.Influences, Value: 4, Grade: check.Note},
		{Name: "most", Unit: say.Influences, Value: 8, Grade: check.Flaw},
	},
	Why: "Many players read the first four weights of a vertex and drop the rest; few read more than eight. " +
		"What is dropped moves the vertex, most where the joints bend far.",
	Remedy: "Keep the four strongest weights of each vertex, drop the others and make the rest whole.\n" +
		"Look at the joints named most often afterwards, bent.",
	Source: "glTF 2.0, Skinned Mesh Attributes: a player may take the first set of four alone. Eight: common practice, no source",
	Lens:   "count",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		for i := range f.Skins {
			k := &f.Skins[i]
			limit := d.Limit("most")
			group, most := f.over(k.Skin, limit.Value)
			if group.Count == 0 {
				limit = d.Limit("usual")
				group, most = f.over(k.Skin, limit.Value)
			}
			if group.Count == 0 {
				continue
			}
			found := d.Found(limit, "most on one vertex", float64(most), group.where(k.Skin))
			found.Subject = f.subject(&group)
			found.Measures = append(found.Measures, check.Also("crowded", float64(group.Count), say.Vertices))
		}
	},
}

// over gathers the vertices of a skin with more influences than some number, and
// the most of any.
func (f *Facts) over(skin rig.Skin, limit float64) (g Group, most int) {
	for s, counts := range f.Counts {
		if f.skinOf[s] != skin {
			continue
		}
		for v, n := range counts {
			if float64(n) > limit && f.used[s][v] {
				g.add(s, rig.Vertex(v))
				most = max(most, int(n))
			}
		}
	}
	g.enclose(f)
	return g, most
}
