package rig

import (
	"math"
	"slices"
)

// Fewest parts that clips move by themselves for a tree of them to be a figure.
const fewestParts = 3

// OfParts tells for every node whether it is a joint of a figure made of rigid parts:
// nodes that carry meshes, hang on each other and are moved by clips, without any skin.
// nil where the file holds no such figure.
//
// A tree is one where three of its moved nodes carry something and either two of them
// hang below another or all hang below a part: limbs on a body, wheels on a cart. Things
// that lie side by side and move each for itself are none. Its joints are the moved nodes,
// what stands between them, the parts above them that hold them together, and of what no
// clip moves: a part whose like moves, set off as far from the part above along each axis
// (the other hand), three parts and more in one row (a chain), and, where clips move less
// than half of its parts (one arm of a person), all parts below the same top. What else
// hangs on a part and never moves (a sword) is no joint.
func (r *Rig) OfParts() []bool {
	if len(r.Skins) > 0 || len(r.Surfaces) == 0 {
		return nil
	}
	p := newParts(r)
	found := false
	for from := 0; from < len(r.Order); { // a tree is one stretch of the order, its root first
		to := from + 1
		for to < len(r.Order) && r.Nodes[r.Order[to]].Parent >= 0 {
			to++
		}
		found = p.figure(r.Order[from:to]) || found
		from = to
	}
	if !found {
		return nil
	}
	return p.in
}

type parts struct {
	r     *Rig
	moved []bool // by node: a channel moves, turns or scales it, and it holds a mesh at or below it
	part  []bool // by node: it carries a mesh, or is the joint of one that hangs on it alone
	in    []bool
}

func newParts(r *Rig) *parts {
	n := len(r.Nodes)
	p := &parts{r: r, moved: make([]bool, n), part: make([]bool, n), in: make([]bool, n)}
	holds := make([]bool, n)
	for i := range r.Clips {
		for k := range r.Clips[i].Channels {
			if c := &r.Clips[i].Channels[k]; c.Node >= 0 && int(c.Node) < n && c.Path != Weights {
				p.moved[c.Node] = true
			}
		}
	}
	for _, i := range slices.Backward(r.Order) {
		holds[i] = holds[i] || r.Nodes[i].Mesh >= 0
		if up := r.Nodes[i].Parent; up >= 0 {
			holds[up] = holds[up] || holds[i]
		}
		p.moved[i] = p.moved[i] && holds[i]
	}
	for _, i := range r.Order {
		node := &r.Nodes[i]
		if node.Mesh < 0 {
			continue
		}
		// A mesh on a leaf below a bare node is the shape of that node.
		if up := node.Parent; up >= 0 && r.Nodes[up].Mesh < 0 && r.Nodes[up].Parent >= 0 && len(node.Children) == 0 && !p.moved[i] {
			p.part[up] = true
		} else {
			p.part[i] = true
		}
	}
	return p
}

// figure takes up a tree when it is a figure, and marks its joints.
func (p *parts) figure(order []Node) bool {
	var list []Node
	below, under := 0, map[Node]int{} // moved nodes below a moved one; by node at and below it
	isBelow := map[Node]bool{}
	for _, n := range order {
		up := p.r.Nodes[n].Parent
		if up >= 0 && (p.moved[up] || isBelow[up]) {
			isBelow[n] = true
		}
		if p.moved[n] {
			if list = append(list, n); isBelow[n] {
				below++
			}
		}
	}
	if len(list) < fewestParts {
		return false
	}
	top := order[0]
	for _, n := range slices.Backward(order) {
		if p.moved[n] {
			under[n]++
		}
		if under[n] == len(list) { // the lowest that holds all of them
			top = n
			break
		}
		if up := p.r.Nodes[n].Parent; up >= 0 {
			under[up] += under[n]
		}
	}
	if below < 2 && !p.part[top] {
		return false
	}
	for up := p.r.Nodes[top].Parent; up >= 0 && p.part[up]; up = p.r.Nodes[up].Parent {
		top = up
	}
	inside := map[Node]bool{}
	all, moved := 0, 0
	for _, n := range order {
		up := p.r.Nodes[n].Parent
		if inside[n] = n == top || up >= 0 && inside[up]; inside[n] && p.part[n] {
			all++
			if p.moved[n] {
				moved++
			}
		}
	}
	few := 2*moved < all
	inRow := map[Node]bool{}
	for _, n := range order { // parents first, so that a whole row is taken from its first
		if inside[n] && !few && p.part[n] && !p.moved[n] && n != top {
			up := p.r.Nodes[n].Parent
			inRow[n] = inRow[up] && p.single(up) || p.row(n) >= fewestInRow
			p.in[n] = p.in[n] || inRow[n] || p.likeMoves(n, list)
		}
	}
	for _, n := range slices.Backward(order) {
		if !inside[n] {
			continue
		}
		p.in[n] = p.in[n] || p.moved[n] || few && p.part[n] || n == top && (p.part[n] || p.r.Nodes[n].Parent >= 0)
		if up := p.r.Nodes[n].Parent; p.in[n] && n != top && up >= 0 && inside[up] && (up != top || p.part[up] || p.r.Nodes[up].Parent >= 0) {
			p.in[up] = true
		}
	}
	return true
}

// fewestInRow parts hang one on the other in what counts as a chain: a hat with its
// feather and a sword with its guard have two.
const fewestInRow = 3

// single tells that one node hangs on a node, so that they are links of one row.
func (p *parts) single(n Node) bool { return len(p.r.Nodes[n].Children) == 1 }

// row counts the parts from one down, each the only one on the one before it, none moved.
func (p *parts) row(n Node) (links int) {
	for ; p.part[n] && !p.moved[n]; n = p.r.Nodes[n].Children[0] {
		if links++; !p.single(n) {
			break
		}
	}
	return links
}

// likeMoves tells that some moved part is set off from the part above it as this one is,
// by the same way along each axis but for the sign, as partners of both sides are.
func (p *parts) likeMoves(n Node, moved []Node) bool {
	const off, most = 0.02, 1000 // of the way; parts: more are no body's
	if len(moved) > most {
		return false
	}
	t := p.r.Nodes[n].T
	way := math.Sqrt(t[0]*t[0] + t[1]*t[1] + t[2]*t[2])
	for _, m := range moved {
		u, like := p.r.Nodes[m].T, way > 0 && p.part[m]
		for x := range u {
			like = like && math.Abs(math.Abs(u[x])-math.Abs(t[x])) <= off*way
		}
		if like {
			return true
		}
	}
	return false
}
