package intake

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// Over clips it is a note only: nearly every animated figure leaves its rest box.
var boundsOff = check.Check[Facts]{
	ID:      "intake/bounds-off",
	Title:   "Box off the surface",
	Measure: "share of the true box outside the one a player takes (POSITION min and max through the node's stored transform); ratio of their diagonals; declared against stored extremes ÷ diagonal",
	Limits: []check.Limit{
		{Name: "outside", Unit: say.PartOfBox, Value: 0.25, Grade: check.Flaw},
		{Name: "ratio", Unit: say.Factor, Value: 2, Grade: check.Flaw},
		{Name: "declared", Unit: say.TimesDiagonal, Value: 1e-5, Grade: check.Flaw},
		{Name: "outside-packed", Unit: say.PartOfBox, Value: 0.25, Grade: check.Note},
		{Name: "outside-clips", Unit: say.PartOfBox, Value: 0.25, Grade: check.Note},
	},
	Why:    "A player draws a surface only while its bounding box is in view. Where the box does not hold the surface, the figure vanishes while it is still to be seen.",
	Remedy: "Export again so that the stored box is the surface's own.\nFor clips: give the player the safe box named here, or tell it to draw the figure always.",
	Source: "declared extremes: glTF 2.0, Accessors Bounds; shares: common practice, no source. The box over clips is conservative: joints carry the boxes of their vertices, at up to 128 moments a clip",
	Needs:  needsSurface,
	Judge: func(f *Facts, d *check.Docket) {
		blamed := make([]bool, len(f.PerSurface))
		declared := d.Limit("declared")
		for i := range f.PerSurface {
			p := &f.PerSurface[i]
			if b := &p.Bounds; b.Declared > declared.Value {
				w := check.Nowhere()
				w.Nodes = append(w.Nodes, p.Node)
				g := d.Found(declared, "declared against stored", b.Declared, w)
				g.Subject = fmt.Sprintf("%s, primitive %d: declared min and max are not those of its positions", p.Name, b.Wrong)
				g.Measures = append(g.Measures, check.Also("difference", b.WrongM, say.Metre))
			}
		}
		judgeRest(f, d, blamed)
		judgeClips(f, d, blamed)
	},
}

// judgeRest files one finding for the plain surfaces and one for packed ones.
func judgeRest(f *Facts, d *check.Docket, blamed []bool) {
	out, ratio, soft := d.Limit("outside"), d.Limit("ratio"), d.Limit("outside-packed")
	var hard, easy []int
	worst, soften := -1, -1
	excess := func(i int) float64 {
		b := &f.PerSurface[i].Bounds
		return max(b.Outside/out.Value, spread(b.Ratio)/ratio.Value)
	}
	for i := range f.PerSurface {
		p := &f.PerSurface[i]
		if p.Skin < 0 || !p.Shown || !p.Bounds.Boxed {
			continue
		}
		b := &p.Bounds
		if p.GridStepM > 0 {
			if b.Outside > soft.Value || spread(b.Ratio) > ratio.Value {
				easy, blamed[i] = append(easy, i), true
				if soften < 0 || excess(i) > excess(soften) {
					soften = i
				}
			}
			continue
		}
		if b.Outside > out.Value || spread(b.Ratio) > ratio.Value {
			hard, blamed[i] = append(hard, i), true
			if worst < 0 || excess(i) > excess(worst) {
				worst = i
			}
		}
	}
	file := func(at int, all []int, share check.Limit, packed bool) {
		p := &f.PerSurface[at]
		w := check.Nowhere()
		w.Nodes, w.Skin = nodesOf(f, all), p.Skin
		var g *check.Finding
		if p.Bounds.Outside > share.Value {
			g = d.Found(share, "outside", p.Bounds.Outside, w)
			g.Measures = append(g.Measures, check.Held(ratio, "size against the true box", p.Bounds.Ratio))
		} else {
			l := ratio
			if packed {
				l.Grade = share.Grade
			}
			g = d.Found(l, "size against the true box", p.Bounds.Ratio, w)
			g.Measures = append(g.Measures, check.Held(share, "outside", p.Bounds.Outside))
		}
		g.Subject = alsoText(p.Name, len(all)-1) + ", at rest"
		if packed {
			g.Subject += "; packed positions of a skinned surface are unlike its box by design"
		}
	}
	if worst >= 0 {
		file(worst, hard, out, false)
	}
	if soften >= 0 {
		file(soften, easy, soft, true)
	}
}

// judgeClips files one finding for all surfaces that leave their box in a clip and
// not at rest.
func judgeClips(f *Facts, d *check.Docket, blamed []bool) {
	l := d.Limit("outside-clips")
	worst := -1
	var all []int
	for k := range f.Safe.Surfaces {
		s := &f.Safe.Surfaces[k]
		if blamed[s.At] || !(s.Outside > l.Value) {
			continue
		}
		all = append(all, s.At)
		if worst < 0 || s.Outside > f.Safe.Surfaces[worst].Outside {
			worst = k
		}
	}
	if worst < 0 {
		return
	}
	s := &f.Safe.Surfaces[worst]
	p := &f.PerSurface[s.At]
	w := check.Nowhere()
	w.Nodes, w.Skin, w.Clip = nodesOf(f, all), p.Skin, s.Clip
	g := d.Found(l, "outside, over all clips", s.Outside, w)
	g.Subject = alsoText(p.Name, len(all)-1) + ", in clips; the safe box of all that is shown, gear as well, is named below"
	if f.Safe.Min != nil {
		for c, axis := range [3]string{"x", "y", "z"} {
			g.Measures = append(g.Measures,
				check.Also("safe box, least "+axis, f.Safe.Min[c], say.Metre),
				check.Also("safe box, greatest "+axis, f.Safe.Max[c], say.Metre))
		}
	}
}

// spread is a ratio or its inverse, whichever is above 1.
func spread(r float64) float64 {
	if r > 0 && r < 1 {
		return 1 / r
	}
	return r
}
