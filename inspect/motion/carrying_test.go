package motion

import (
	"slices"
	"testing"

	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// A chain in a hand that no clip turns against the arm is still by itself: the hand is the
// body's own, what hangs in it is not. Fingers are, unless they reach farther from the wrist
// than the forearm is long.
func TestChainInAStillHand(t *testing.T) {
	still := func(links float64) (chains []Chain, names []string) {
		r := menagerie.Carrying(menagerie.Options{})
		var hand rig.Node
		for n := range r.Nodes {
			if r.Nodes[n].Name == "hand_l" {
				hand = rig.Node(n)
			}
		}
		top := r.Nodes[hand].Children[0]
		for n := r.Nodes[top].Children; len(n) > 0; n = r.Nodes[n[0]].Children {
			r.Nodes[n[0]].T = [3]float64{0, -links, 0}
			r.Nodes[n[0]].Matrix = r.Nodes[n[0]].Affine()
		}
		for c := range r.Clips {
			r.Clips[c].Channels = slices.DeleteFunc(r.Clips[c].Channels, func(ch rig.Channel) bool { return ch.Node == hand })
		}
		f := factsOf(t, r)
		for _, c := range f.Chains {
			names = append(names, r.Nodes[c.Joints[0]].Name)
		}
		return f.Chains, names
	}
	chains, names := still(.06)
	if len(chains) != 1 || chains[0].Body || len(chains[0].Joints) != 6 || names[0] != "chain 1" {
		t.Errorf("%+v from %q, want the six joints of the chain", chains, names)
	}
	// Links so short that all lie within a hand: a finger, as far as anyone can tell.
	if chains, _ := still(.01); slices.ContainsFunc(chains, func(c Chain) bool { return !c.Body }) {
		t.Errorf("%+v, want none beside the body's own", chains)
	}
}
