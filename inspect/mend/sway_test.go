package mend

import (
	"math"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// swungAt is how far a link's direction is turned in the world against what it hangs on, about
// the way forward, degrees.
func swungAt(r *rig.Rig, first, last string, clip int, at float64) float64 {
	is, rest := worldAt(r, clip, at), r.RestWorld()
	own := func(w []rig.Affine, n rig.Node) space.Quat { return space.FromXYZW(w[n].Decompose().R) }
	above := r.Nodes[lamplighter.Node(first)].Parent
	turn := func(n rig.Node) space.Quat { return own(is, n).Mul(own(rest, n).Conjugate()) }
	against := turn(above).Conjugate().Mul(turn(lamplighter.Node(last)))
	_, angle, _ := space.SwingTwist(against, space.Vec{0, 0, 1})
	return angle * 180 / math.Pi
}

// The end of a chain is where the dials say: the sine by hand, the curl, and each link later
// than the one above; moments that are set are met, and between them it goes no farther.
func TestSwayIsWhereItIsSaid(t *testing.T) {
	r := lamplighter.Clone(coarse())
	s := ofRig(t, r)
	span := r.Clips[0].Seconds
	sway := func(v Values) *rig.Rig {
		v["chains"], v["clips"] = []string{"chain_L_1"}, []string{"0"}
		x := try(t, s, "sway", v)
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		if g := prove(t, x); !g.Kept {
			t.Error(g.Sentence(), g.Planted)
		}
		return x.After.Rig
	}
	plain := sway(Values{"swing": 30.0, "times": 1.0, "lag": 0.0})
	bent := sway(Values{"swing": 0.0, "curl": -45.0})
	late := sway(Values{"swing": 12.0, "times": 2.0, "lag": 0.05})
	set := sway(Values{"lag": 0.0, "set": []string{"0.2 25", "0.7: -10°"}})
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > .25 { // keys are thinned to 0.1° at the end of a chain
			t.Errorf("%s: %.3f°, want %.3f°", what, got, want)
		}
	}
	for k := range 25 {
		at := span * float64(k) / 24
		near("sine", swungAt(plain, "chain_L_1", "chain_L_6", 0, at), 30*math.Sin(2*math.Pi*at/span))
		near("a third of it", swungAt(plain, "chain_L_1", "chain_L_2", 0, at), 10*math.Sin(2*math.Pi*at/span))
		near("curl", swungAt(bent, "chain_L_1", "chain_L_6", 0, at), -45)
		want := 0.0
		for link := range 6 {
			want += 2 * math.Sin(4*math.Pi*(at-.05*float64(link))/span)
		}
		near("lag", swungAt(late, "chain_L_1", "chain_L_6", 0, at), want)
		if x := swungAt(set, "chain_L_1", "chain_L_6", 0, at); x > 25.3 || x < -10.3 {
			t.Errorf("at %g it is turned by %g", at, x)
		}
	}
	near("set", swungAt(set, "chain_L_1", "chain_L_6", 0, .2), 25)
	near("set", swungAt(set, "chain_L_1", "chain_L_6", 0, .7), -10)
	near("a loop", swungAt(set, "chain_L_1", "chain_L_6", 0, 0), swungAt(set, "chain_L_1", "chain_L_6", 0, span))
	// Other chain, other joints: as they were.
	if far, turned := posesApart(worldAt(s.Rig, 0, .4)[:22], worldAt(set, 0, .4)[:22]); far > 0 || turned > 1e-12 {
		t.Errorf("others moved by %g m, %g", far, turned)
	}
}

func TestSwayRefuses(t *testing.T) {
	s := ofRig(t, lamplighter.Clone(coarse()))
	for _, row := range []struct {
		v    Values
		want string
	}{
		{Values{"swing": 0.0}, "nothing moves"},
		{Values{"set": []string{"now 20"}}, "no moment with degrees"},
		{Values{"set": []string{"0.4"}}, "no moment with degrees"},
		{Values{"chains": []string{"rope"}}, "no node"},
		{nil, "No chain stays still"},
	} {
		x := try(t, s, "sway", row.v)
		if x.After != nil || !strings.Contains(x.Refused(), row.want) {
			t.Errorf("%v: %q", row.v, x.Refused())
		}
	}
}
