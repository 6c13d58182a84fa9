package inspect

import (
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// Several figures without joints that stand apart are told, each with its own height and ground, and each is examined by
// itself: two sound ones have no flaw, and one that is lopsided is named.
func TestStandingFigures(t *testing.T) {
	at := func(x, y float64) menagerie.Options {
		return menagerie.Options{Unbound: true, At: [3]float64{x, y, 0}}
	}
	for _, row := range []struct {
		name    string
		r       *rig.Rig
		figures int
	}{
		{"two people", menagerie.Merge(menagerie.Person(at(-1.2, 0)), menagerie.Person(at(1.2, 0))), 2},
		{"two people in one mesh", oneMesh(menagerie.Merge(menagerie.Person(at(-1.2, 0)), menagerie.Person(at(1.2, 0))), 1), 2},
		{"a person and one three heads high", menagerie.Merge(menagerie.Person(at(-1, 0)), menagerie.ThreeHeads(at(1, 0))), 2},
		{"three people", menagerie.Merge(menagerie.Person(at(-2, 0)), menagerie.Person(at(0, 0)), menagerie.Person(at(2, 0))), 3},
		{"one person", menagerie.Person(at(0, 0)), 0},
		{"one person with gear", menagerie.Person(menagerie.Options{Unbound: true, Gear: true}), 0},
		{"a hand", menagerie.Hand(menagerie.Options{Unbound: true}), 0},
		{"a spider", menagerie.Spider(menagerie.Options{Unbound: true}), 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			res := lookedAt(t, row.r)
			figures := res.Exam.Figures()
			if len(figures) != row.figures {
				t.Fatalf("%d figures, want %d: %s", len(figures), row.figures, res.Verdict().Says)
			}
			for _, f := range res.Findings() {
				if f.Grade > check.Note {
					t.Errorf("%s %s: %s, %s %+v", f.Grade, f.ID, f.Title, f.Subject, f.Measures)
				}
			}
			if row.figures == 0 {
				return
			}
			if says := res.Verdict().Says; strings.Contains(says, "Ready to be bound") || !strings.Contains(says, "figures in one file") {
				t.Errorf("it says %q", says)
			}
			if first := res.Findings()[0]; first.ID != "intake/several-figures" {
				t.Errorf("first said: %s", first.ID)
			}
		})
	}
	r := menagerie.Merge(menagerie.Person(at(-1.2, 0)), menagerie.Person(at(1.2, 0)))
	m := &r.Meshes[r.Surfaces[1].Mesh]
	for v := 0; v < len(m.Positions); v += 3 { // the left arm of the second, thicker by a quarter
		if x := m.Positions[v]; x > 1.2+.3 {
			m.Positions[v+2] *= 1.25
			m.Positions[v+1] += (m.Positions[v+1] - 1.4) * .25
		}
	}
	res := lookedAt(t, r)
	if !slices.ContainsFunc(res.Findings(), func(f check.Finding) bool {
		return f.ID == "surface/lopsided" && strings.HasPrefix(f.Figure, "figure 2")
	}) {
		t.Errorf("nothing says that the second figure is lopsided: %s", res.Verdict().Says)
	}
}
