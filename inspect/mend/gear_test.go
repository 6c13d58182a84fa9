package mend

import (
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/rig"
)

// The knight's arms and shields go; body, joints and clips stay as they are, bit by bit.
func TestGearOut(t *testing.T) {
	s := corpusState(t, "Knight.glb")
	e := examOf(s)
	gear := e.Gear()
	if len(gear) == 0 {
		t.Fatal("no gear")
	}
	x := try(t, s, "gear", Values{"gear": true})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	is := x.After.Rig
	if len(is.Surfaces) != len(s.Rig.Surfaces)-len(gear) || len(is.Nodes) != len(s.Rig.Nodes) || len(is.Clips) != len(s.Rig.Clips) {
		t.Fatalf("%d surfaces, %d nodes, %d clips", len(is.Surfaces), len(is.Nodes), len(is.Clips))
	}
	if len(examOf(x.After).Gear()) != 0 || examOf(x.After).Height() != e.Height() {
		t.Errorf("gear is left, or the body's height changed: %v, %v", examOf(x.After).Height(), e.Height())
	}
	r := prove(t, x)
	if !r.Kept || r.Bytes.Added+len(r.Bytes.Rewritten) > 0 || r.Moved.Count > 0 {
		t.Errorf("%s %+v %+v", r.Sentence(), r.Bytes, r.Moved)
	}
	for _, p := range r.Pointers {
		if !strings.HasPrefix(p, "/nodes/") || strings.HasSuffix(p, "/translation") {
			t.Errorf("%s changed", p)
		}
	}
}

func TestGearRefuses(t *testing.T) {
	s := ofRig(t, sample())
	for _, row := range []struct {
		v    Values
		want string
	}{
		{nil, "No surface and no piece is named."}, {Values{"gear": true}, "Nothing here counts as gear."},
		{Values{"surfaces": []any{"Lamplighter"}}, "Nothing would be left to see."}, {Values{"surfaces": []any{"hat"}}, `There is no surface "hat".`},
	} {
		if x := try(t, s, "gear", row.v); x.After != nil || x.Refused() != row.want {
			t.Errorf("%v: %q, want %q", row.v, x.Refused(), row.want)
		}
	}
}

// A surface that a clip morphs goes with the channel of its morphs.
func TestGearMorphs(t *testing.T) {
	s := corpusState(t, "MorphStressTest.gltf")
	before := 0
	for _, c := range s.Rig.Clips {
		before += len(c.Channels)
	}
	named := surfaceName(s.Rig, 0)
	x := try(t, s, "gear", Values{"surfaces": []any{named}})
	if x.After == nil {
		if !strings.Contains(x.Refused(), "moves nothing but the morphs") && !strings.Contains(x.Refused(), "Nothing would be left") {
			t.Fatal(x.Refused())
		}
		return
	}
	for _, c := range x.After.Rig.Clips {
		if slices.ContainsFunc(c.Channels, func(ch rig.Channel) bool { return ch.Node == s.Rig.Surfaces[0].Node && ch.Path == rig.Weights }) {
			t.Errorf("of %d channels one still morphs what is gone", before)
		}
	}
}
