package mend

import (
	"cmp"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// A flaw that goes in one place and comes in another, as often and as large, is planted: a
// vertex that is pulled back into its place while its like on the other foot is torn off its
// weight. One that stays where it was, or goes, is not.
func TestFlawElsewhere(t *testing.T) {
	bare := func(r *rig.Rig, at [3]float32) {
		m := &r.Meshes[0]
		for v := range m.Vertices() {
			p := m.Positions[3*v : 3*v+3]
			if d := (p[0]-at[0])*(p[0]-at[0]) + (p[1]-at[1])*(p[1]-at[1]) + (p[2]-at[2])*(p[2]-at[2]); d < 0.03*0.03 {
				clear(m.Weights[v*m.K : (v+1)*m.K])
			}
		}
	}
	hat, lantern := [3]float32{0, 1.75, -0.1}, [3]float32{0, 1.2, 0.12}
	put := func(at ...[3]float32) *rig.Rig {
		r := lamplighter.Clone(sample())
		for _, a := range at {
			bare(r, a)
		}
		return r
	}
	for _, row := range []struct {
		name    string
		was, is *rig.Rig
		moved   bool
		cleared bool
	}{
		{"elsewhere", put(hat), put(lantern), true, false},
		{"the same", put(hat, lantern), put(lantern), false, false},
		{"gone", put(hat), put(), false, true},
	} {
		s := ofRig(t, row.was)
		if gradeOf(t, s, "binding/unbound") == 0 && row.name != "gone" {
			t.Fatal(row.name, ": nothing is unbound")
		}
		// A mend that writes the other figure.
		m := Mend{ID: "other", Title: "Other", Answers: []string{"binding/unbound"}, Apply: func(w *Work) error { return w.Write(row.is, nil) }}
		x, err := s.Try(t.Context(), m, nil)
		if err != nil {
			t.Fatal(err)
		}
		r := prove(t, x)
		if got := slices.Contains(r.Planted, "binding/unbound"); got != row.moved || r.Kept == row.moved {
			t.Errorf("%s: planted %v, kept %v, %s", row.name, got, r.Kept, r.Sentence())
		}
		if got := slices.Contains(r.Cleared, "binding/unbound"); got != row.cleared {
			t.Errorf("%s: cleared %v", row.name, got)
		}
		// The slip says the same of all its steps together.
		r, err = x.Prove(t.Context(), nil, []string{"binding/unbound"})
		if err != nil {
			t.Fatal(err)
		}
		before, _ := s.Examine(t.Context(), nil)
		after, _ := x.After.Examine(t.Context(), nil)
		c, says := Sum(before, after, []*Receipt{r})
		if slices.Contains(c.Planted, "binding/unbound") != row.moved || slices.Contains(c.Accepted, "binding/unbound") != row.moved {
			t.Errorf("%s: the slip says %q: planted %v, insisted on %v", row.name, says, c.Planted, c.Accepted)
		}
		// A later step cleared it.
		if c, _ := Sum(before, after, []*Receipt{r, {Cleared: []string{"binding/unbound"}}}); slices.Contains(c.Planted, "binding/unbound") {
			t.Errorf("%s: cleared since, and planted all the same", row.name)
		}
	}
}

// A flaw that stays in its place and grade and grows is made worse: that is planted, and the
// step is not kept unless a person insists. Some per cent are no growth.
func TestFlawGrows(t *testing.T) {
	bare := func(n int) *rig.Rig {
		r := lamplighter.Clone(sample())
		m := &r.Meshes[0]
		hat := space.Vec{0, 1.75, -0.1}
		order := make([]int, m.Vertices())
		for v := range order {
			order[v] = v
		}
		far := func(v int) float64 { return space.At(m.Positions, v).Sub(hat).Len() }
		slices.SortFunc(order, func(a, b int) int { return cmp.Compare(far(a), far(b)) })
		for _, v := range order[:n] {
			clear(m.Weights[v*m.K : (v+1)*m.K])
		}
		return r
	}
	arm := func(share float64) *rig.Rig {
		r := lamplighter.Clone(sample())
		n := &r.Nodes[lamplighter.Node("lowerArm_L")]
		for k := range n.T {
			n.T[k] *= 1 + share
		}
		n.Matrix = n.TRS.Affine()
		return r
	}
	for _, row := range rounds.Rows([]struct {
		name, id string
		was, is  *rig.Rig
		worse    bool
	}{
		{"40 vertices without weight become 49", "binding/unbound", bare(40), bare(49), false},
		{"40 become 51", "binding/unbound", bare(40), bare(51), true},
		{"40 become 20", "binding/unbound", bare(40), bare(20), false},
		{"an upper arm 10 % longer than the other becomes 12 %", "skeleton/uneven-pair", arm(.10), arm(.12), false},
		{"10 % become 13 %", "skeleton/uneven-pair", arm(.10), arm(.13), true},
	}, 3) {
		s := ofRig(t, row.was)
		m := Mend{ID: "other", Title: "Other", Answers: []string{row.id}, Apply: func(w *Work) error { return w.Write(row.is, nil) }}
		x, err := s.Try(t.Context(), m, nil)
		if err != nil {
			t.Fatal(err)
		}
		r := prove(t, x)
		if slices.Contains(r.Worse, row.id) != row.worse || slices.Contains(r.Planted, row.id) != row.worse {
			t.Errorf("%s: %s", row.name, r.Sentence())
		}
		if row.worse && (r.Kept || !strings.Contains(r.Why, "it makes worse "+row.id) || !strings.Contains(r.Sentence(), "made worse: "+row.id)) {
			t.Errorf("%s: %s", row.name, r.Sentence())
		}
		if r, err = x.Prove(t.Context(), nil, r.Planted); err != nil || row.worse && (!slices.Contains(r.Accepted, row.id) || !r.Kept && strings.Contains(r.Why, "worse")) {
			t.Errorf("%s, insisted on: %s %v", row.name, r.Sentence(), err)
		}
	}
}

// What counts as growth: a quarter, whatever the unit; of a measure where less is the fault
// a fifth less; not what follows from a figure that is larger or smaller; no rounding.
func TestGrew(t *testing.T) {
	for _, row := range []struct {
		name    string
		was, is check.Measure
		factor  float64
		want    bool
	}{
		{"1.24 times", check.Also("", 1, say.Degree), check.Also("", 1.24, say.Degree), 1, false},
		{"1.26 times", check.Also("", 1, say.Degree), check.Also("", 1.26, say.Degree), 1, true},
		{"the other way", check.Also("", -1, say.Degree), check.Also("", -1.26, say.Degree), 1, true},
		{"one more vertex", check.Also("", 1, say.Vertices), check.Also("", 2, say.Vertices), 2, true},
		{"a figure twice as large", check.Also("", .01, say.Metre), check.Also("", .02, say.Metre), 2, false},
		{"and three times as long", check.Also("", .01, say.Metre), check.Also("", .03, say.Metre), 2, true},
		{"half as large without its sword", check.Also("", .01, say.TimesDiagonal), check.Also("", .02, say.TimesDiagonal), .5, false},
		{"rounding of a gap", check.Also("", 1e-9, say.Metre), check.Also("", 1e-6, say.Metre), 1, false},
		{"a gap", check.Also("", 1e-9, say.Metre), check.Also("", 3e-6, say.Metre), 1, true},
		{"rounding of a share", check.Also("", 0, say.Share), check.Also("", 5e-7, say.Share), 1, false},
		{"a radius of .45 becomes .37", check.Measure{Value: .45, Below: true}, check.Measure{Value: .37, Below: true}, 1, false},
		{"of .45 becomes .35", check.Measure{Value: .45, Below: true}, check.Measure{Value: .35, Below: true}, 1, true},
		{"of .35 becomes .45", check.Measure{Value: .35, Below: true}, check.Measure{Value: .45, Below: true}, 1, false},
	} {
		if got := grew(&row.was, &row.is, row.factor, 2); got != row.want {
			t.Errorf("%s: %v", row.name, got)
		}
	}
}
