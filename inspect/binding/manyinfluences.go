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

// influences counts the vertices that a triangle uses by how many weights they have.
func influences(counts []uint8, used []bool) (t check.Tally) {
	var of [256]int
	for v, n := range counts {
		if used[v] {
			of[n]++
		}
	}
	for n, vertices := range of {
		if vertices > 0 {
			t = append(t, [2]int{n, vertices})
		}
	}
	return t
}

// over gathers the vertices of a skin with more influences than some number, and
// the most of any.
func (f *Facts) over(skin rig.Skin, limit float64) (g Group, most int) {
	for s := range f.Surfaces {
		if f.Surfaces[s].Skin != skin {
			continue
		}
		for _, x := range f.Surfaces[s].Influences {
			if float64(x[0]) > limit {
				g.tell(s, x[1])
				most = max(most, x[0])
			}
		}
		if f.Counts == nil {
			continue
		}
		for v, n := range f.Counts[s] {
			if float64(n) > limit && f.used[s][v] {
				g.put(s, rig.Vertex(v))
			}
		}
	}
	g.enclose(f)
	return g, most
}
