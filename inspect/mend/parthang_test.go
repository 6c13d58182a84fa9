package mend

import (
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A lantern on a chain from a file of its own hangs on the hand it is laid beside, or on the
// joint that a person names; nothing of it is taken for the figure's own joints, nothing is
// planted, and every joint and vertex stands where it stood in its own file.
func TestPartHangsOnWhatItIsBeside(t *testing.T) {
	for _, row := range []struct {
		name, onto, on string
		at             space.Vec
	}{
		{"beside the left hand", "", "hand_l", space.Vec{.8, 1.37, 0}},
		{"beside the right hand", "", "hand_r", space.Vec{-.8, 1.37, 0}},
		{"before the belt", "", "hips", space.Vec{0, .95, .17}},
		{"as a person says", "hand_r", "hand_r", space.Vec{.8, 1.37, 0}},
		{"near nothing", "", "", space.Vec{2, 1.37, 0}},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := ofRig(t, menagerie.Person(menagerie.Options{Still: true}))
			other := ofRig(t, menagerie.Lantern(row.at))
			s.Beside(other)
			x := try(t, s, "part", Values{"surfaces": []string{"lantern on a chain"}, "lay": layAsIs, "onto": row.onto})
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			top := rig.Node(slices.IndexFunc(x.After.Rig.Nodes, func(n rig.NodeData) bool { return n.Name == "chain 1" }))
			if top < 0 {
				t.Fatal("the first joint of the chain did not come along")
			}
			on := ""
			if p := x.After.Rig.Nodes[top].Parent; p >= 0 {
				on = x.After.Rig.Nodes[p].Name
			}
			if on != row.on {
				t.Errorf("it hangs on %q", on)
			}
			was, is := other.Rig.RestWorld(), x.After.Rig.RestWorld()
			for k := range 6 {
				if d := was[k].Origin().Sub(is[int(top)+k].Origin()).Len(); d > 1e-6 {
					t.Errorf("joint %d stands %g m away", k, d)
				}
			}
			last := len(x.After.Rig.Surfaces) - 1
			if d := farthest(other.looked().RestPositions(0), x.After.looked().RestPositions(last)); d > 1e-6 {
				t.Errorf("a vertex is %g m away", d)
			}
			g := prove(t, x)
			if row.on == "" {
				if !slices.ContainsFunc(g.Refused, func(s string) bool { return strings.Contains(s, "hangs on nothing") }) {
					t.Error(g.Refused)
				}
				return
			}
			if row.onto != "" {
				return // across the body: what the examination says of that is right
			}
			if !g.Kept || slices.Contains(g.Planted, "intake/unapplied-turn") {
				t.Error(g.Sentence(), g.Planted)
			}
		})
	}
	s := ofRig(t, menagerie.Person(menagerie.Options{Still: true}))
	s.Beside(ofRig(t, menagerie.Lantern(space.Vec{})))
	for name, want := range map[string]string{"hand": "no node", "person": "no joint of the skeleton"} {
		if x := try(t, s, "part", Values{"surfaces": []string{"lantern on a chain"}, "lay": layAsIs, "onto": name}); x.After != nil || !strings.Contains(x.Refused(), want) {
			t.Errorf("%q", x.Refused())
		}
	}
}
