package surface

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
)

var nearCoincident = check.Check[Facts]{
	ID:      "surface/near-coincident",
	Title:   "Vertices almost in one place",
	Measure: "pairs of welded vertices closer than 0.00001 of the diagonal but not equal; pairs whose weights differ by more than 0.01 in sum are held apart and counted separately",
	Limits: []check.Limit{
		{Name: "pairs", Unit: "pairs", Value: 0, Grade: check.Flaw},
		{Name: "held-apart", Unit: "pairs", Value: 0, Grade: check.Note},
	},
	Why: "The surface looks closed there and is not: its edges only lie side by side. " +
		"Automatic binding gives the two sides different weights, and the gap opens in motion.",
	Remedy: "Weld the vertices by distance, at the suggested weld distance: it loses no edge.\n" +
		"Look at the places held apart first: they belong to parts that move on their own.",
	Source: "common practice, no source; 0.00001 of the diagonal is some eighty steps of float32 at the figure's size",
	Needs:  needsTriangles,
	Judge: func(f *Facts, d *check.Docket) {
		judgePairs(f, d)
		judgeHeld(f, d)
	},
}

// judgePairs grades those that a weld by distance mends.
func judgePairs(f *Facts, d *check.Docket) {
	l := d.Limit("pairs")
	pairs := f.NearPairs - f.HeldApart
	if float64(pairs) <= l.Value {
		return
	}
	w := f.gather(func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return nil, f.Sheets[s].Near })
	found := d.Found(l, "pairs", float64(pairs), w)
	found.Subject = f.on(&w, pairs, "pair", "pairs")
	if !f.NearAll {
		found.Subject = "at least " + found.Subject
	}
	found.Measures = append(found.Measures, figure("held apart", float64(f.HeldApart), "pairs"))
	if f.Suggested != nil {
		found.Measures = append(found.Measures, figure("suggested weld distance", *f.Suggested, "m"))
	}
}

// judgeHeld says the pairs that must not be welded: nothing is wrong with them, but
// a weld by distance would join parts that move on their own.
func judgeHeld(f *Facts, d *check.Docket) {
	l := d.Limit("held-apart")
	if float64(f.HeldApart) <= l.Value {
		return
	}
	w := f.gather(func(s int) ([]rig.Vertex, [][2]rig.Vertex) { return nil, f.Sheets[s].Held })
	found := d.Found(l, "held apart", float64(f.HeldApart), w)
	found.Title, found.Subject = "Parts that touch and move apart", f.on(&w, f.HeldApart, "pair", "pairs")
	found.Why = "Vertices of two parts lie almost in one place, and their weights differ. " +
		"A weld by distance would sew the parts together, and one would drag the other along."
	found.Remedy = "Leave these places out when welding by distance.\nWhere they belong to one skin after all, give both the same weights first."
}
