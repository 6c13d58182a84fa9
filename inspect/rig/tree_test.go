package rig

import (
	"slices"
	"testing"
)

func node(parent Node, children ...Node) NodeData {
	return NodeData{Parent: parent, Children: children, Matrix: Identity, Mesh: None, Skin: None}
}

func TestOrderPutsParentsFirst(t *testing.T) {
	r := &Rig{Shown: None, Nodes: []NodeData{node(2), node(None), node(3, 0), node(None, 2, 4), node(3)}}
	if left := r.SetOrder(); len(left) != 0 {
		t.Fatalf("unreached: %v", left)
	}
	if len(r.Order) != len(r.Nodes) {
		t.Fatalf("order %v leaves nodes out", r.Order)
	}
	for i, n := range r.Order {
		if p := r.Nodes[n].Parent; p >= 0 && slices.Index(r.Order, p) > i {
			t.Errorf("node %d stands before its parent %d in %v", n, p, r.Order)
		}
	}
}

func TestOrderNamesARing(t *testing.T) {
	r := &Rig{Nodes: []NodeData{node(None), node(2, 2), node(1, 1)}}
	if left := r.SetOrder(); !slices.Equal(left, []Node{1, 2}) {
		t.Errorf("unreached %v, want the ring 1, 2", left)
	}
}

func TestRestWorld(t *testing.T) {
	up := Identity
	up[7] = 1
	r := &Rig{Nodes: []NodeData{node(1), node(None, 0)}}
	r.Nodes[0].Matrix, r.Nodes[1].Matrix = up, up
	r.SetOrder()
	if got := r.RestWorld()[0].Origin(); got != [3]float64{0, 2, 0} {
		t.Errorf("child of two steps up stands at %v", got)
	}
}

func TestIsShown(t *testing.T) {
	r := &Rig{Nodes: []NodeData{node(None, 1), node(0), node(None)}, Scenes: []Scene{{Roots: []Node{0}}}}
	r.SetOrder()
	if got := r.IsShown(); !slices.Equal(got, []bool{true, true, false}) {
		t.Errorf("shown %v", got)
	}
	r.Shown = None
	if got := r.IsShown(); slices.Contains(got, false) {
		t.Errorf("without a scene all are shown, got %v", got)
	}
}
