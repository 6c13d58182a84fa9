package mend

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A coat of a person 1.58 m high onto figures of other sizes and of another build. The factor
// is that of the bones: exact where the build is the same (1.76 ÷ 1.584 = 10/9, and 2.5 or 0.3
// times that), and then no place lies under the surface. On heads a third or a quarter of the
// height flesh stands elsewhere than bones say: the receipt tells the deepest place, and what
// stays under; those depths are held as they were measured, with some room.
func TestPartOfAnotherBuild(t *testing.T) {
	person := func() *rig.Rig { return menagerie.Person(menagerie.Options{Still: true}) }
	for _, row := range []struct {
		name    string
		on      *rig.Rig
		factor  float64
		within  float64 // of the factor
		deepest float64 // heights at most
		kept    bool
	}{
		{"a person a ninth larger", person(), 10. / 9, 1e-6, 1e-6, true},
		{"a giant", taller(person(), 2.5), 25. / 9, 1e-6, 1e-6, true},
		{"a doll", taller(person(), .3), 1. / 3, 1e-6, 1e-6, true},
		{"four heads high", menagerie.Heads(4, true, menagerie.Options{Still: true}), .70, .05, .035, true},
		{"three heads high", menagerie.ThreeHeads(menagerie.Options{Still: true}), .55, .05, .055, false},
	} {
		s := ofRig(t, row.on)
		s.Beside(ofRig(t, menagerie.Visitor()))
		x := try(t, s, "part", Values{"surfaces": []string{"coat"}, "out": .02})
		if x.After == nil {
			t.Fatalf("%s: %s", row.name, x.Refused())
		}
		r := prove(t, x)
		told := func(name string) float64 {
			at := slices.IndexFunc(r.Measures, func(m MeasureOfMend) bool { return m.Name == name })
			if at < 0 {
				t.Fatalf("%s: nothing is told of %s", row.name, name)
			}
			return r.Measures[at].Value
		}
		if f := told("laid on by a factor of"); math.Abs(f/row.factor-1) > row.within {
			t.Errorf("%s: a factor of %g, want %g", row.name, f, row.factor)
		}
		deep := told("deepest under the surface at rest") / s.looked().Height()
		if deep > row.deepest {
			t.Errorf("%s: %.4f heights deep, want %g at most", row.name, deep, row.deepest)
		}
		if said := slices.ContainsFunc(r.Refused, func(s string) bool { return strings.Contains(s, "too deep under the surface") }); said != (row.deepest > .01) {
			t.Errorf("%s: what stays under is told: %v", row.name, said)
		}
		if r.Kept != row.kept {
			t.Errorf("%s: %s", row.name, r.Sentence())
		}
	}
}

// taller is a figure without clips so many times as large: joints, binds, vertices.
func taller(r *rig.Rig, k float64) *rig.Rig {
	r = lamplighter.Clone(r)
	for i := range r.Nodes {
		n := &r.Nodes[i]
		for c := range 3 {
			n.T[c] *= k
		}
		n.Matrix = n.TRS.Affine()
	}
	for i := range r.Skins {
		for j := range r.Skins[i].Bind {
			for c := range 3 {
				r.Skins[i].Bind[j][4*c+3] *= k
			}
		}
	}
	for i := range r.Meshes {
		m := &r.Meshes[i]
		for v := range m.Positions {
			m.Positions[v] *= float32(k)
		}
		m.Remeasure()
	}
	r.SetOrder()
	return r
}

// A lantern on a chain onto a figure that has a clip already: its joints get no keyframes, so
// that the chain hangs still, which is said and is no reason not to keep it; a second one, too (it hangs far from its hand, which
// is another matter).
// The chain then follows, and nothing is left of it.
func TestChainOntoClips(t *testing.T) {
	s := ofRig(t, menagerie.Person(menagerie.Options{}))
	s.Beside(ofRig(t, menagerie.Lantern(space.Vec{.8, 1.37, 0})))
	for n := range 2 {
		x := try(t, s, "part", Values{"surfaces": []string{"lantern on a chain"}, "lay": layAsIs, "onto": []string{"hand_l", "hand_r"}[n]})
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		r := prove(t, x)
		if n == 0 && !r.Kept || slices.Contains(r.Planted, "motion/still-chain") || !slices.Contains(r.Revealed, "motion/still-chain") {
			t.Errorf("lantern %d: %s", n+1, r.Sentence())
		}
		if !slices.ContainsFunc(r.Says, func(s string) bool { return strings.Contains(s, "hang still until") }) {
			t.Errorf("lantern %d: not said: %q", n+1, r.Says)
		}
		if a, b := len(s.Rig.Clips[0].Channels), len(x.After.Rig.Clips[0].Channels); a != b {
			t.Errorf("lantern %d: the clip has %d channels, had %d", n+1, b, a)
		}
		s = x.After
	}
	x := try(t, s, "follow", nil)
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	if r := prove(t, x); !slices.Contains(r.Cleared, "motion/still-chain") || !r.Kept {
		t.Error(r.Sentence())
	}
}
