package binding

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var sumOff = check.Check[Facts]{
	ID:      "binding/sum-off",
	Title:   "Weights off one",
	Measure: "largest |sum of weights − 1| of a vertex",
	Limits: []check.Limit{
		{Name: "rounding", Value: 0, Grade: check.Note},
		{Name: "error", Value: 0.001, Grade: check.Flaw, Reached: true},
		{Name: "error-8-bit", Value: 2. / 255, Grade: check.Flaw},
	},
	Why: "What is missing from a sum is missing from the place: a vertex is drawn towards the origin of the scene by that share of its distance. " +
		"At the origin it hardly shows; far from it the figure comes apart.",
	Remedy: "Make the weights of every vertex whole: divide each by their sum.\n" +
		"Do it again after rounding to 8 or 16 bits, and give the rest to the largest weight.\n" +
		"Export again, with the option that normalises weights on.",
	Source: "glTF 2.0, Skinned Mesh Attributes: float sums as near 1 as can be, integer sums exactly 255 or 65535; " +
		"2 × 10⁻⁷ for each non-zero weight is the threshold of the glTF validator. Up to 0.001, or 2/255 in 8 bits, counts as rounding: common practice, no source",
	Lens:  "weight-sum",
	Needs: needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		for i := range f.Skins {
			k := &f.Skins[i]
			var fine, coarse, rounded thrown
			errorLimit, eight, rounding := d.Limit("error"), d.Limit("error-8-bit"), d.Limit("rounding")
			for _, o := range k.Off {
				switch {
				// A sum of 253 is exactly at the limit: float64 may put it a digit above.
				case o.Eight && o.Error > eight.Value*(1+1e-9):
					coarse.add(o)
				case !o.Eight && !(o.Error < errorLimit.Value):
					fine.add(o)
				case o.Error > rounding.Value:
					rounded.add(o)
				}
			}
			fine.file(d, errorLimit, f, k, "")
			coarse.file(d, eight, f, k, ", 8 bits")
			rounded.file(d, rounding, f, k, ", rounding")
		}
	},
}

// thrown gathers sums that are off alike.
type thrown struct {
	Group
	error, throw float64 // largest
}

func (t *thrown) add(o Sum) {
	t.Group.add(o.Surface, o.Vertex)
	t.error, t.throw = max(t.error, o.Error), max(t.throw, o.Throw)
}

func (t *thrown) file(d *check.Docket, limit check.Limit, f *Facts, k *Skin, kind string) {
	if t.Count == 0 {
		return
	}
	t.enclose(f)
	found := d.Found(limit, "largest error", t.error, t.where(k.Skin))
	found.Subject = f.subject(&t.Group) + kind
	found.Measures = append(found.Measures,
		check.Also("off", float64(t.Count), say.Vertices),
		check.Also("throw at the figure", t.throw, say.Metre),
		check.Also("throw 10 m from the origin", 10*t.error, say.Metre),
		check.Also("throw 100 m from the origin", 100*t.error, say.Metre))
}
