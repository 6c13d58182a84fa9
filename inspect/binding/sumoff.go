package binding

import "rigloupe/inspect/check"

var sumOff = check.Check[Facts]{
	ID:      "binding/sum-off",
	Title:   "Weights that do not sum to 1",
	Measure: "largest |sum of weights − 1| of a vertex",
	Limits: []check.Limit{
		{Name: "rounding", Value: 0, Grade: check.Note},
		{Name: "error", Value: 0, Grade: check.Flaw},
	},
	Why: "What is missing from a sum is missing from the place: a vertex is drawn towards the origin of the scene by that share of its distance. " +
		"At the origin it hardly shows; far from it the figure comes apart.",
	Remedy: "Make the weights of every vertex whole: divide each by their sum.\n" +
		"Do it again after rounding to 8 or 16 bits, and give the rest to the largest weight.\n" +
		"Export again, with the option that normalises weights on.",
	Source: "glTF 2.0, Skinned Mesh Attributes: float sums as near 1 as can be, integer sums exactly 255 or 65535; " +
		"2e-7 for each non-zero weight is the threshold of the glTF validator. Up to 0.001, or 2/255 in 8 bits, counts as rounding: common practice, no source",
	Needs: needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		for i := range f.Skins {
			k := &f.Skins[i]
			for _, t := range []struct {
				name string
				*Thrown
			}{{"error", &k.Off}, {"rounding", &k.Rounding}} {
				limit := d.Limit(t.name)
				if t.Count == 0 || !(t.Error > limit.Value) {
					continue
				}
				found := d.Found(limit, "largest error", t.Error, t.where(k.Skin))
				found.Subject = f.subject(&t.Group)
				if t.name == "rounding" {
					found.Subject += ", rounding"
				}
				found.Measures = append(found.Measures,
					figure("vertices", float64(t.Count), ""),
					figure("throw at the figure", t.AtFigure, "m"),
					figure("throw 10 m from the origin", 10*t.Error, "m"),
					figure("throw 100 m from the origin", 100*t.Error, "m"))
			}
		}
	},
}
