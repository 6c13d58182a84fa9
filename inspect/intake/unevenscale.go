package intake

import (
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var unevenScale = check.Check[Facts]{
	ID:      "intake/uneven-scale",
	Title:   "Uneven or mirroring scale",
	Measure: "largest ÷ smallest axis of the scales multiplied down to each skeleton root or mesh; |cos| between two axes below it; sign of the determinant",
	Limits: []check.Limit{
		{Name: "ratio", Unit: say.Factor, Value: 1.001, Grade: check.Flaw},
		{Name: "shear", Value: 0.001, Grade: check.Stop},
		{Name: "mirrored", Value: 0, Grade: check.Flaw, Below: true},
	},
	Why:    "Under an uneven (non-uniform) scale every turned part is slanted as well, and few programs carry a slant: they drop it and the figure changes shape. Under a mirroring scale left becomes right and surfaces turn inside out.",
	Remedy: "Apply the scale to mesh and skeleton together.\nIf a mirroring remains, turn the surfaces the right way out and check that left is left.\nBind again if a skeleton stood under it.",
	Source: "shear under uneven scale: closed form (parent S(2,1,1), child 45°: cos −0.6); determinant: glTF 2.0, Instantiation; limit: common practice, no source",
	Needs:  needsAnchor,
	Judge: func(f *Facts, d *check.Docket) {
		ratioLimit, shearLimit, mirrorLimit := d.Limit("ratio"), d.Limit("shear"), d.Limit("mirrored")
		all := func(*Anchor) bool { return true }
		begins := func(a *Anchor) bool {
			return unevenness(a.Scale) > ratioLimit.Value || a.Mirrored && -1 < mirrorLimit.Value || !a.Mirrored && 1 < mirrorLimit.Value
		}
		for _, p := range grouped(f.Anchors, all, begins, func(a *Anchor) bool { return a.Mirrored }) {
			a := &f.Anchors[p.of[0]]
			ratio, slant, w, sign := unevenness(a.Scale), p.shear, p.where, 1.0
			if a.Mirrored {
				sign = -1
			}
			uneven := ratio > ratioLimit.Value
			more := []check.Measure{
				check.Held(ratioLimit, "largest ÷ smallest axis", ratio),
				check.Held(shearLimit, "shear", slant),
				check.Held(mirrorLimit, "sign of the determinant", sign),
			}
			var g *check.Finding
			switch {
			case uneven && slant > shearLimit.Value:
				g = d.Found(shearLimit, "shear", slant, w)
				more = slices.Delete(more, 1, 2)
			case uneven:
				g = d.Found(ratioLimit, "largest ÷ smallest axis", ratio, w)
				more = slices.Delete(more, 0, 1)
			default:
				g = d.Found(mirrorLimit, "sign of the determinant", sign, w)
				more = slices.Delete(more, 2, 3)
			}
			g.Measures = append(g.Measures, more...)
			g.Subject = "factor " + factorText(a.Scale) + " above " + anchorText(p.roots, p.meshes)
			if a.Mirrored {
				g.Subject += ", mirrored"
			}
		}
	},
}

func unevenness(s [3]float64) float64 {
	lo, hi := min(s[0], s[1], s[2]), max(s[0], s[1], s[2])
	if lo <= 0 {
		if hi <= 0 {
			return 1 // scaled to nothing on all axes: hidden, not uneven
		}
		return math.MaxFloat32
	}
	return hi / lo
}
