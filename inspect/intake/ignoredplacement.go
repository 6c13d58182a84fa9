package intake

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// identitySlack is how far an entry of a matrix may be from identity by rounding
// alone: a few steps of single precision.
const identitySlack = 1e-6

var ignoredPlacement = check.Check[Facts]{
	ID:      "intake/ignored-placement",
	Title:   "Placement without effect",
	Measure: "farthest that a vertex would move if the node of a skinned mesh counted, beyond what the skeleton's own parent carries; else surfaces whose node is placed at all, beyond rounding",
	Limits: []check.Limit{
		{Name: "shift", Unit: say.Metre, Value: 0.001, Grade: check.Flaw},
		{Name: "placed", Unit: say.Surfaces, Value: 0, Grade: check.Note},
	},
	Why:    "A skinned mesh goes where its joints go; the transform of the node that holds it is ignored, with all above it. Programs that do not ignore it draw the figure twice turned, twice scaled or beside its skeleton.",
	Remedy: "Put the mesh's node at the scene root without translation, rotation or scale.\nMake sure that the skeleton carries the whole placement.\nBind again if the figure then stands elsewhere.",
	Source: "glTF 2.0, Skins (only joint transforms act on a skinned mesh); 1 mm: common practice, no source",
	Needs: func(f *Facts) string {
		for i := range f.PerSurface {
			if f.PerSurface[i].Ignored != nil {
				return ""
			}
		}
		return "no skinned surface in this file"
	},
	Judge: func(f *Facts, d *check.Docket) {
		shift, placed := d.Limit("shift"), d.Limit("placed")
		var moved, merely []int
		far, off := -1, -1
		for i := range f.PerSurface {
			g := f.PerSurface[i].Ignored
			if g == nil {
				continue
			}
			switch {
			case g.ShiftM > shift.Value:
				moved = append(moved, i)
				if far < 0 || g.ShiftM > f.PerSurface[far].Ignored.ShiftM {
					far = i
				}
			case g.FromIdentity > identitySlack:
				merely = append(merely, i)
				if off < 0 || g.FromIdentity > f.PerSurface[off].Ignored.FromIdentity {
					off = i
				}
			}
		}
		if far >= 0 {
			p := &f.PerSurface[far]
			w := check.Nowhere()
			w.Nodes, w.Skin = nodesOf(f, moved), p.Skin
			w.Spots = []check.Spot{{Surface: p.Surface, Vertices: []rig.Vertex{p.Ignored.Vertex}}}
			g := d.Found(shift, "shift", p.Ignored.ShiftM, w)
			g.Subject = alsoText(p.Name, len(moved)-1)
			g.Measures = append(g.Measures, check.Also("largest difference from identity", p.Ignored.FromIdentity, say.Unit{}))
		}
		if off >= 0 {
			p := &f.PerSurface[off]
			w := check.Nowhere()
			w.Nodes, w.Skin = nodesOf(f, merely), p.Skin
			g := d.Found(placed, "placed", float64(len(merely)), w)
			g.Subject = alsoText(p.Name, len(merely)-1) + "; the skeleton stands under the same placement"
			g.Measures = append(g.Measures, check.Also("shift", p.Ignored.ShiftM, say.Metre), check.Also("largest difference from identity", p.Ignored.FromIdentity, say.Unit{}))
		}
	},
}

// alsoText names one surface and counts the others.
func alsoText(name string, others int) string {
	if others == 0 {
		return name
	}
	return name + " and " + say.Regular(others, "more surface")
}
