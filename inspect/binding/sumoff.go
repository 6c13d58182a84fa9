package binding

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var sumOff = check.Check[Facts]{
	ID:      "binding/sum-off",
	Title:   "Weights off one",
	Measure: "largest |sum of weights − 1| of a vertex",
	Limits: []check.Limit{
		{Name: "rounding", Value: 0, Grade: check.Note, Per: sumPer},
		{Name: "error", Value: 0.001, Grade: check.Flaw, Reached: true, Per: sumPer},
		{Name: "error-8-bit", Value: 2. / 255, Grade: check.Flaw, Per: 255},
	},
	Why: "What is missing from a sum is missing from the place: a vertex is drawn towards the origin of the scene by that share of its distance. " +
		"At the origin it hardly shows; far from it the figure comes apart.",
	Remedy: "Make the weights of every vertex whole: divide each by their sum.\n" +
		"Do it again after rounding to 8 or 16 bits, and give the rest to the largest weight.\n" +
		"Export again, with the option that normalises weights on.",
	Source: "glTF 2.0, Skinned Mesh Attributes: float sums as near 1 as can be, integer sums exactly 255 or 65535; " +
		"2 × 10⁻⁷ for each non-zero weight is the threshold that a note of the same section names for conformance checks (value from memory). Up to 0.001, or 2/255 in 8 bits, counts as rounding: common practice, no source",
	Lens:  "weight-sum",
	Needs: needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		for i := range f.Skins {
			k := &f.Skins[i]
			var fine, coarse, rounded thrown
			errorLimit, eight, rounding := d.Limit("error"), d.Limit("error-8-bit"), d.Limit("rounding")
			of := func(isEight bool, off float64) *thrown {
				switch {
				// A sum of 253 is exactly at the limit: float64 may put it a digit above.
				case isEight && off > eight.Value*(1+1e-9):
					return &coarse
				case !isEight && !(off < errorLimit.Value):
					return &fine
				case off > rounding.Value:
					return &rounded
				}
				return &thrown{}
			}
			for _, o := range k.Off { // all of one lie on the same side of a limit
				of(o.Eight, o.Largest).tell(o)
			}
			for _, o := range k.Sums {
				of(o.Eight, o.Error).put(o.Surface, o.Vertex)
			}
			fine.file(d, errorLimit, f, k, "")
			coarse.file(d, eight, f, k, ", 8 bits")
			rounded.file(d, rounding, f, k, ", rounding")
		}
	},
}

// sumPer is how finely sums that are off are kept for other limits: steps of 0.0001, a
// tenth of the default. Sums of 8 bits are whole steps of 1/255.
const sumPer = 10000

// Off is how many vertices of one surface have a sum that is off alike: in the same step,
// from it up to the next.
type Off struct {
	Surface int     `json:"surface"`
	Eight   bool    `json:"8_bit"`
	Count   int     `json:"vertices"`
	Largest float64 `json:"largest"` // |sum − 1|
	Throw   float64 `json:"throw_m"` // the largest
}

// sums gathers the sums of one surface that are off: by whether they have 8 bits and step.
type sums map[[2]int]*Off

func (s sums) add(o Sum) {
	key := [2]int{int(min(o.Error, 100) * sumPer)}
	if o.Eight {
		key = [2]int{int(math.Round(min(o.Error, 100) * 255)), 1}
	} else if up := float64(key[0]+1) / sumPer; o.Error >= up {
		key[0]++
	} else if key[0] > 0 && o.Error < float64(key[0])/sumPer {
		key[0]--
	}
	c := s[key]
	if c == nil {
		c = &Off{Surface: o.Surface, Eight: o.Eight}
		s[key] = c
	}
	c.Count++
	c.Largest, c.Throw = max(c.Largest, o.Error), max(c.Throw, o.Throw)
}

// list is what was gathered, by step, floats first.
func (s sums) list() (out []Off) {
	for _, key := range slices.SortedFunc(maps.Keys(s), func(a, b [2]int) int {
		return cmp.Or(cmp.Compare(a[1], b[1]), cmp.Compare(a[0], b[0]))
	}) {
		out = append(out, *s[key])
	}
	return out
}

// thrown gathers sums that are off alike.
type thrown struct {
	Group
	error, throw float64 // largest
}

func (t *thrown) tell(o Off) {
	t.Group.tell(o.Surface, o.Count)
	t.error, t.throw = max(t.error, o.Largest), max(t.throw, o.Throw)
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
