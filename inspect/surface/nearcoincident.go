package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// On real figures: none has a seam that misses. The sample, cut along its joints into
// 2,112 open edges and shaken by 0.005 to 0.5 mm, has all of them found, and the
// suggested distance (where the plateau of the weld curve begins, at most twice the
// shake) leaves none open and loses no edge. Hems, cuffs over wrists and cloth of two
// layers, down to 0.2 mm apart, stay clear.
var nearCoincident = check.Check[Facts]{
	ID:    "surface/near-coincident",
	Title: "Nearly coincident vertices",
	Measure: "share of a surface's open edges that meet another open edge running the opposite way, within a third of their length and 0.2 % of the diagonal, the surface going on beyond; " +
		"pairs of welded vertices closer than 0.00001 of the diagonal but not equal; what differs in weights by more than 0.01 in sum is held apart and counted separately",
	Limits: []check.Limit{
		{Name: "seam", Unit: say.Share, Value: seamShare, Grade: check.Flaw},
		{Name: "pairs", Unit: say.Pairs, Value: 0, Grade: check.Flaw},
		{Name: "seam-edges", Unit: say.Edges, Value: 0, Grade: check.Note},
		{Name: "held-apart", Unit: say.Pairs, Value: 0, Grade: check.Note},
	},
	Why: "The surface looks closed there and is not: its edges only lie side by side. " +
		"Automatic binding gives the two sides different weights, and the gap opens in motion.",
	Remedy: weldRemedy,
	Source: "common practice, no source; an open edge is a half-edge without twin, and twins run opposite ways; 0.00001 of the diagonal is some eighty steps of float32 at the figure's size",
	Lens:   "detail-at-risk",
	Needs:  needsTriangles,
	Judge: func(f *Facts, d *check.Docket) {
		if !judgeSeams(f, d, d.Limit("seam")) && !judgePairs(f, d) {
			judgeSeams(f, d, d.Limit("seam-edges"))
		}
		judgeHeld(f, d)
	},
}

const (
	weldRemedy = "Weld the vertices by distance, at the distance suggested.\n" +
		"Look at the places held apart first: they belong to parts that move on their own."
	noDistance = "No one distance closes the seams and spares the detail: weld by hand along the seams, " +
		"or weld one part at a time at a distance below its shortest edges."
)

// judgeSeams grades borders that miss each other, by share or by number.
func judgeSeams(f *Facts, d *check.Docket, l check.Limit) bool {
	share := 0.0
	for i := range f.Surfaces {
		share = max(share, f.Surfaces[i].seamShare())
	}
	value, name := share, "share of the open edges"
	if l.Name == "seam-edges" {
		value, name = float64(f.SeamEdges), "open edges that meet another"
	}
	if value <= l.Value {
		return false
	}
	w := f.gather(func(s *Surface) bool { return s.SeamEdges > 0 }, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return nil, f.Sheets[s].Seams })
	found := d.Found(l, name, value, w)
	found.Title = "Seams that miss"
	found.Subject = f.on(&w, f.SeamEdges, "of "+say.Count(f.Boundary, "open edge", "open edges")+" meets another", "of "+say.Count(f.Boundary, "open edge", "open edges")+" meet another")
	if !f.SeamAll {
		found.Subject = "at least " + found.Subject
	}
	found.Why = "Two borders of the surface run along each other and do not touch, as after rounding, moving or cutting along a seam. " +
		"The surface looks closed there and is not: automatic binding gives the two sides different weights, and the seam opens in motion."
	if l.Name != "seam-edges" {
		found.Measures = append(found.Measures, check.Also("open edges that meet another", float64(f.SeamEdges), say.Edges))
	}
	found.Measures = append(found.Measures,
		check.Also("widest gap", *f.SeamGap, say.Metre),
		check.Also("pairs almost in one place", float64(f.NearPairs-f.HeldApart), say.Pairs))
	f.adviseWeld(found)
	return true
}

// judgePairs grades vertices almost in one place that a weld by distance mends.
func judgePairs(f *Facts, d *check.Docket) bool {
	l := d.Limit("pairs")
	pairs := f.NearPairs - f.HeldApart
	if float64(pairs) <= l.Value {
		return false
	}
	w := f.gather(func(s *Surface) bool { return s.NearPairs > s.HeldApart }, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return nil, f.Sheets[s].Near })
	found := d.Found(l, "pairs", float64(pairs), w)
	found.Subject = f.on(&w, pairs, "pair", "pairs")
	if !f.NearAll {
		found.Subject = "at least " + found.Subject
	}
	found.Measures = append(found.Measures, check.Also("held apart", float64(f.HeldApart), say.Pairs))
	f.adviseWeld(found)
	return true
}

// adviseWeld puts the suggested distance into a finding, and what it leaves open.
func (f *Facts) adviseWeld(found *check.Finding) {
	if f.Suggested == nil {
		found.Remedy = noDistance
		return
	}
	found.Measures = append(found.Measures, check.Also("suggested weld distance", *f.Suggested, say.Metre))
	found.Measures = append(found.Measures,
		check.Also("open edges after it", float64(f.Seams.Weld.OpenLeft), say.Edges),
		check.Also("edges lost by it", float64(f.Seams.Weld.Edges), say.Edges))
}

// judgeHeld says the pairs that must not be welded: nothing is wrong with them, but
// a weld by distance would join parts that move on their own.
func judgeHeld(f *Facts, d *check.Docket) {
	l := d.Limit("held-apart")
	if float64(f.HeldApart) <= l.Value {
		return
	}
	w := f.gather(func(s *Surface) bool { return s.HeldApart > 0 }, func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return nil, f.Sheets[s].Held })
	found := d.Found(l, "held apart", float64(f.HeldApart), w)
	found.Title, found.Subject = "Parts that touch", f.on(&w, f.HeldApart, "pair", "pairs")
	found.Why = "Vertices of two parts that move on their own lie almost in one place: their weights differ. " +
		"A weld by distance would sew the parts together, and one would drag the other along."
	found.Remedy = "Leave these places out when welding by distance.\nWhere they belong to one skin after all, give both the same weights first."
}
