package mend

import (
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/original"
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

// A lamp in the hand goes, and its node with it where that is asked for: the hand holds
// nothing more, everything else is where it was. A node that stands above it for its sake
// goes too; one that carries more, or that a skin lists, stays.
func TestGearJointsDropped(t *testing.T) {
	r := damagedFigure()
	lamp := rig.Node(len(r.Nodes) - 1)
	if r.Nodes[lamp].Mesh < 0 {
		t.Fatal("the lamp is not the last node")
	}
	hand := r.Nodes[lamp].Parent
	s := ofRig(t, r)
	for joints, want := range map[string]bool{"kept": true, "dropped": false} {
		x := try(t, s, "gear", Values{"surfaces": []any{"lamp"}, "joints": joints})
		if x.After == nil {
			t.Fatal(x.Refused())
		}
		is := x.After.Rig
		if got := slices.Contains(is.Nodes[hand].Children, lamp); got != want || len(is.Nodes) != len(s.Rig.Nodes) {
			t.Errorf("%s: the hand holds it: %v; %d nodes of %d", joints, got, len(is.Nodes), len(s.Rig.Nodes))
		}
		receipt := prove(t, x)
		if !receipt.Kept || len(receipt.Planted) > 0 || receipt.Moved.Count > 0 {
			t.Errorf("%s: %s %+v", joints, receipt.Sentence(), receipt.Moved)
		}
		soundAfter(t, x, true, true, 1)
	}
}

// A body's own joints are never dropped: the knight's arms go, the joints that held them
// stand in his skin and stay; what hung there by itself leaves.
func TestGearJointsOfTheKnight(t *testing.T) {
	k := corpusState(t, "Knight.glb")
	x := try(t, k, "gear", Values{"gear": true, "joints": "dropped"})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	for _, n := range k.Rig.Skins[0].Joints {
		if x.After.Rig.Nodes[n].Parent != k.Rig.Nodes[n].Parent {
			t.Errorf("joint %d lost its parent", n)
		}
	}
	left := 0
	for _, i := range examOf(k).Gear() {
		if n := k.Rig.Surfaces[i].Node; k.Rig.Nodes[n].Parent >= 0 && x.After.Rig.Nodes[n].Parent < 0 {
			left++
		}
	}
	if left == 0 {
		t.Error("nothing of the knight's gear left the scene")
	}
	if receipt := prove(t, x); !receipt.Kept || receipt.Moved.Count > 0 {
		t.Errorf("%s %+v", receipt.Sentence(), receipt.Moved)
	}
}

// What springs name stays, though nothing else needs it.
func TestGearJointsNeeded(t *testing.T) {
	r := damagedFigure()
	lamp := rig.Node(len(r.Nodes) - 1)
	s := edited(t, r, func(d *original.Document) {
		d.Root.Set("extensions", original.Object("VRMC_springBone", original.Object("specVersion", original.Text("1.0"),
			"springs", original.List(original.Object("joints", original.List(original.Object("node", original.Whole(int(lamp)))))))))
	})
	x := try(t, s, "gear", Values{"surfaces": []any{"lamp"}, "joints": "dropped"})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	if x.After.Rig.Nodes[lamp].Parent < 0 {
		t.Error("a node that springs name left the scene")
	}
}
