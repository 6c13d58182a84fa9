package binding

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var badIndex = check.Check[Facts]{
	ID:      "binding/bad-index",
	Title:   "Weights that point nowhere",
	Measure: "vertices with weight on a joint the skin does not have, or with a weight that is negative or no number",
	Limits:  []check.Limit{{Name: "vertices", Unit: say.Vertices, Value: 0, Grade: check.Stop}},
	Why: "A player reads the matrix of a joint that is not there (an index out of range), or blends with a weight that means nothing. " +
		"The vertex flies anywhere, or the whole figure is refused.",
	Remedy: "Bind the named vertices anew to joints of the skin.\n" +
		"If joints were taken out of the skeleton after binding, export skeleton and surface together again.",
	Source: "glTF 2.0, Skinned Mesh Attributes: joints index the skin's list, weights are not negative",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("vertices")
		for i := range f.Skins {
			k := &f.Skins[i]
			if n := float64(k.BadAt.Count); n > limit.Value {
				found := d.Found(limit, "vertices", n, k.BadAt.where(k.Skin))
				found.Subject = f.subject(&k.BadAt)
				found.Measures = append(found.Measures,
					check.Also("joint not in the skin", float64(k.BadIndex), say.Vertices),
					check.Also("negative or no number", float64(k.BadWeight), say.Vertices))
			}
		}
	},
}
