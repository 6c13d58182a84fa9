package intake

import (
	"fmt"
	"math"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var morphs = check.Check[Facts]{
	ID:      "intake/morphs",
	Title:   "Odd morph targets",
	Measure: "weight at rest; gap between vertices of one place ÷ diagonal; largest shift ÷ diagonal; targets that move nothing; targets on a skinned surface",
	Limits: []check.Limit{
		{Name: "parts", Unit: say.TimesDiagonal, Value: 1e-4, Grade: check.Flaw},
		{Name: "shift", Unit: say.TimesDiagonal, Value: 1, Grade: check.Flaw},
		{Name: "default", Value: 0, Grade: check.Note},
		{Name: "empty", Unit: say.Targets, Value: 0, Grade: check.Note},
		{Name: "skinned", Unit: say.Targets, Value: 0, Grade: check.Note},
	},
	Why:    "A morph target (blend shape) that moves two vertices of one place differently opens a seam. One that is on at rest changes the shape that everything else was made for, and one that moves nothing costs memory in every player.",
	Remedy: "Make the target again from the surface as it is now, with its seams joined.\nSet the weights to 0 at rest.\nTake empty targets out.",
	Source: "glTF 2.0, Morph Targets and Instantiation; limits: common practice, no source",
	Needs: func(f *Facts) string {
		if f.MorphTargets == 0 {
			return "no morph target in this file"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		if !(f.Diagonal > 0) {
			d.NotLookedAt("the figure has no size")
			return
		}
		parts, shift, on, empty, skinned := d.Limit("parts"), d.Limit("shift"), d.Limit("default"), d.Limit("empty"), d.Limit("skinned")
		for i := range f.PerSurface {
			p := &f.PerSurface[i]
			if len(p.Morphs) == 0 {
				continue
			}
			place := func() check.Where {
				w := check.Nowhere()
				w.Nodes, w.Skin = append(w.Nodes, p.Node), p.Skin
				return w
			}
			var still []string
			for t := range p.Morphs {
				m := &p.Morphs[t]
				if gap := m.PartsM / f.Diagonal; gap > parts.Value {
					w := place()
					w.Spots = []check.Spot{{Surface: p.Surface, Vertices: m.Parted}}
					g := d.Found(parts, "gap", gap, w)
					g.Subject = targetText(p, t) + " parts vertices of one place"
					g.Measures = append(g.Measures, check.Also("gap", m.PartsM, say.Metre))
				}
				if far := m.ShiftM / f.Diagonal; far > shift.Value {
					w := place()
					w.Spots = []check.Spot{{Surface: p.Surface, Vertices: []rig.Vertex{m.Farthest}}}
					g := d.Found(shift, "shift", far, w)
					g.Subject = targetText(p, t) + " moves a vertex farther than the figure is large"
				}
				if math.Abs(m.Default) > on.Value {
					g := d.Found(on, "weight at rest", m.Default, place())
					g.Subject = targetText(p, t) + " is on at rest"
				}
				if m.Empty {
					still = append(still, targetName(m.Name, t))
				}
			}
			if n := float64(len(still)); n > empty.Value {
				g := d.Found(empty, "empty", n, place())
				g.Subject = p.Name + ": " + strings.Join(still[:min(len(still), 3)], ", ")
				if len(still) > 3 {
					g.Subject += fmt.Sprintf(" and %d more", len(still)-3)
				}
			}
			if n := float64(len(p.Morphs)); p.Skin >= 0 && n > skinned.Value {
				g := d.Found(skinned, "targets", n, place())
				keyed := "no clip moves the targets"
				switch n := p.Morphs[0].Keyed; {
				case n == 1:
					keyed = "1 clip moves the targets"
				case n > 1:
					keyed = say.Regular(n, "clip") + " move the targets"
				}
				g.Subject = p.Name + " is skinned and morphed; " + keyed
			}
		}
	},
}

func targetText(p *PerSurface, t int) string {
	return p.Name + ", target " + targetName(p.Morphs[t].Name, t)
}

func targetName(name string, t int) string {
	if name == "" {
		return fmt.Sprint(t)
	}
	return fmt.Sprintf("%q", name)
}
