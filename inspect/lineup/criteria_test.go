package lineup

import (
	"strings"
	"testing"

	"rigloupe/inspect/surface"
)

// unbound and person are sound rows of the two kinds.
func unbound(change func(*Row)) Row {
	r := Row{Path: "u.glb", State: Examined, Fit: true, Cells: Cells{
		"ready": {Value: isReady}, "holes": {Value: 0.0}, "lopsided": {Value: 0.0}, "arms": {},
	}}
	change(&r)
	return r
}

func person(change func(*Row)) Row {
	r := Row{Path: "p.glb", State: Examined, Fit: true, Bound: true, Body: "human", Cells: Cells{"ready": {Value: bound}, "arms": {Value: "T"}}}
	change(&r)
	return r
}

// TestCriteria: two rows that differ in one thing are told apart by that, in the
// words of that; and what stands earlier in the order wins over all that follows.
func TestCriteria(t *testing.T) {
	same := func(*Row) {}
	worst := func(r *Row) { r.Counted = Counted{0, 9, 9} }
	for _, w := range []struct {
		by, says string
		a, b     Row
	}{
		{"something to bind", "it has no surface to bind", unbound(worst), unbound(func(r *Row) { r.Cells["ready"] = Cell{Value: nothingToBind} })},
		{"stops", "it has 2 stops, against 1", unbound(func(r *Row) { r.Counted = Counted{1, 9, 9} }), person(func(r *Row) { r.Counted.Stop = 2 })},
		{"bound", "it is not bound yet", person(worst), unbound(same)},
		{"body", "it was not recognised as a body", person(worst), person(func(r *Row) { r.Body = "" })},
		{"verdict", "could not be told which way its main shell faces", unbound(worst), unbound(func(r *Row) { r.Cells["ready"] = Cell{Value: cannotTell} })},
		{"steps", "it needs 2 steps before it is bound (x, y), the other none", unbound(worst), unbound(func(r *Row) { r.Steps = []string{"x", "y"} })},
		{"flaws", "it has 3 flaws, against 2", person(func(r *Row) { r.Counted = Counted{0, 2, 9} }), person(func(r *Row) { r.Counted.Flaw = 3 })},
		{"bones", "it lacks 1 bone of a body, the other none", person(func(r *Row) { r.Counted.Note = 9 }), person(func(r *Row) { r.Missing = []string{"neck"} })},
		{"holes", "it has 4 holes, against 1", unbound(func(r *Row) { r.Cells["holes"] = Cell{Value: 1.0}; r.Counted.Note = 9 }), unbound(func(r *Row) { r.Cells["holes"] = Cell{Value: 4.0} })},
		{"sides", "for 2.3\u00a0% of its places, against 0.1\u00a0%", unbound(func(r *Row) { r.Cells["lopsided"] = Cell{Value: 0.001} }), unbound(func(r *Row) { r.Cells["lopsided"] = Cell{Value: 0.0231} })},
		{"sides", "the two sides of it could not be compared", unbound(same), unbound(func(r *Row) { r.Cells["lopsided"] = Cell{} })},
		{"arms", "it rests its arms in neither T nor A", person(func(r *Row) { r.Counted.Note = 9 }), person(func(r *Row) { r.Cells["arms"] = Cell{Value: "hanging"} })},
		{"notes", "it has 3 notes, the other none", person(same), person(func(r *Row) { r.Counted.Note = 3 })},
	} {
		w.a.Path, w.b.Path = "a.glb", "b.glb"
		for _, rows := range [][]Row{{w.a, w.b}, {w.b, w.a}} {
			got := New(rows).Argument
			if got.Decided != w.by || got.Best[0] != "a.glb" || !strings.Contains(got.Says, w.says) {
				t.Errorf("%s: %q, best %v: %s", w.by, got.Decided, got.Best, got.Says)
			}
		}
	}
	// Finer than it is said does not decide.
	fine := New([]Row{unbound(func(r *Row) { r.Cells["lopsided"] = Cell{Value: 0.00004} }), unbound(same)}).Argument
	if fine.Verdict != "level" {
		t.Errorf("four parts in a hundred thousand decide: %s", fine.Says)
	}
}

// TestNearPairs: pairs that are held apart, since welding them would join moving
// parts, are no near pairs to mend; a count that was broken off says so.
func TestNearPairs(t *testing.T) {
	res := planted(t)
	for i := range res.Stations {
		if f, ok := res.Stations[i].Facts.(*surface.Facts); ok {
			f.NearPairs, f.HeldApart, f.NearAll = 5, 2, false
		}
	}
	if c := Of("x.glb", res).Cells["near"]; c.Value != 3.0 || !c.AtLeast {
		t.Errorf("%+v", c)
	}
}
