package mend

import (
	"slices"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
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
	}
}
