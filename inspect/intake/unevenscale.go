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
	Why:    "Under an uneven scale every turned part is slanted as well, and few programs carry a slant: they drop it and the figure changes shape. Under a mirroring scale left becomes right and surfaces turn inside out.",
	Remedy: "Apply the scale to mesh and skeleton together.\nIf a mirroring remains, turn the surfaces the right way out and check that left is left.\nBind again if a skeleton stood under it.",
	Source: "shear under uneven scale: closed form (parent S(2,1,1), child 45°: cos −0.6); determinant: glTF 2.0, Instantiation; limit: common practice, no source",
	Needs:  needsAnchor,
	Judge: func(f *Facts, d *check.Docket) {
		ratioLimit, shearLimit, mirrorLimit := d.Limit("ratio"), d.Limit("shear"), d.Limit("mirrored")
		done := make([]bool, len(f.Anchors))
		for i := range f.Anchors {
			a := &f.Anchors[i]
			ratio := unevenness(a.Scale)
			uneven := ratio > ratioLimit.Value
			sign := 1.0
			if a.Mirrored {
				sign = -1
			}
			if done[i] || !uneven && !(sign < mirrorLimit.Value) {
				continue
			}
			w := check.Nowhere()
			slant, roots, meshes := 0.0, 0, 0
			for k := i; k < len(f.Anchors); k++ {
				b := &f.Anchors[k]
				if done[k] || !alike(a.Scale, b.Scale) || a.Mirrored != b.Mirrored {
					continue
				}
				done[k] = true
				slant = max(slant, b.Shear)
				if b.Skin >= 0 {
					roots++
					w.Joints, w.Skin = append(w.Joints, b.Node), b.Skin
				} else {
					meshes++
				}
				for _, n := range append(slices.Clone(b.Scaled), b.Node) {
					if !slices.Contains(w.Nodes, n) {
						w.Nodes = append(w.Nodes, n)
					}
				}
			}
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
			g.Subject = "factor " + factorText(a.Scale) + " above " + anchorText(roots, meshes)
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
