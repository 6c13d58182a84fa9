package rig

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// What is worked out in one pass is what a walk up from every node finds.
func TestAboveIsTheWalk(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		r := &Rig{Nodes: make([]NodeData, 1+rnd.IntN(60))}
		in := make([]bool, len(r.Nodes))
		at := rnd.Perm(len(r.Nodes)) // parents do not stand first in the list
		for i, n := range at {
			r.Nodes[n].Parent, in[n] = None, rnd.IntN(4) == 0
			if i > 0 && rnd.IntN(8) > 0 {
				p := Node(at[rnd.IntN(i)])
				r.Nodes[n].Parent = p
				r.Nodes[p].Children = append(r.Nodes[p].Children, Node(n))
			}
		}
		r.SetOrder()
		depth, above, here := r.Depths(), r.Above(in), r.AtOrAbove(in)
		for n := range r.Nodes {
			wantDepth, want := int32(0), Node(None)
			for p := r.Nodes[n].Parent; p >= 0; p = r.Nodes[p].Parent {
				if wantDepth++; want < 0 && in[p] {
					want = p
				}
			}
			if depth[n] != wantDepth || above[n] != want {
				t.Fatalf("node %d: depth %d, above %d; want %d, %d", n, depth[n], above[n], wantDepth, want)
			}
			if in[n] {
				want = Node(n)
			}
			if here[n] != want {
				t.Fatalf("node %d: at or above %d, want %d", n, here[n], want)
			}
		}
	}
}

// A node stands in the span of every node above it, and of no other.
func TestSpansHoldWhatIsBelow(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 30 {
		r := &Rig{Nodes: make([]NodeData, 1+rnd.IntN(40))}
		at := rnd.Perm(len(r.Nodes))
		for i, n := range at {
			if r.Nodes[n].Parent = None; i > 0 && rnd.IntN(8) > 0 {
				p := Node(at[rnd.IntN(i)])
				r.Nodes[n].Parent = p
				r.Nodes[p].Children = append(r.Nodes[p].Children, Node(n))
			}
		}
		r.SetOrder()
		from, to := r.Spans()
		for n := range r.Nodes {
			for m := range r.Nodes {
				above := false
				for p := Node(m); p >= 0; p = r.Nodes[p].Parent {
					above = above || p == Node(n)
				}
				if in := from[n] <= from[m] && from[m] <= to[n]; in != above {
					t.Fatalf("node %d in the span of %d: %v, want %v", m, n, in, above)
				}
			}
		}
	}
}

// One figure of several looks at its own nodes alone: the others have no span, and its own are
// as they would be without them.
func TestSpansOfOneFigure(t *testing.T) {
	r := &Rig{Nodes: []NodeData{{Parent: None}, {Parent: None, Children: []Node{2}}, {Parent: 1}}}
	r.Order = []Node{1, 2}
	from, to := r.Spans()
	if !slices.Equal(from, []int32{-1, 0, 1}) || !slices.Equal(to, []int32{-1, 1, 1}) {
		t.Errorf("from %v to %v", from, to)
	}
}
