package lamplighter

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Planted says what a fault did: where, and how large.
type Planted struct {
	Nodes    []rig.Node   // nodes that it is about
	Surface  int          // place in Rig.Surfaces of Vertices; None
	Vertices []rig.Vertex // in rising order
	Point    *space.Vec   // metres, world, rest pose, in the middle of Vertices
	Measure  string       // what Size counts, in words
	Size     float64      // the measure that grades, worked out from what was planted
	Unit     string       // of Size
}

// Fault is one small, known fault. Plant changes the rig it is given: hand it a
// Clone. It expects a rig of Build, of any variant.
type Fault struct {
	ID    string // of the check that finds it
	Name  string
	Grade string   // "stop", "flaw", "note": of the worst finding of that check
	Also  []string // checks that the same fault sets off, rightly
	Plant func(*rig.Rig) Planted
}

// Faults lists every planted fault in the order of the catalogue. Several may share
// a check.
func Faults() []Fault {
	return slices.Concat(intakeFaults(), surfaceFaults(), skeletonFaults(), bindingFaults(), bindingFaults2(), bendsFaults(), motionFaults())
}

// On plants the fault in a copy of a rig.
func (f Fault) On(r *rig.Rig) (*rig.Rig, Planted) {
	c := Clone(r)
	return c, f.Plant(c)
}

// Node answers the node of a joint by its plain name ("upperArm_L"), in a variant of
// any naming; None when there is no such joint. "Lamplighter" is the surface's node.
func Node(plain string) rig.Node {
	for j := range joints {
		if jointName(j, Plain) == plain {
			return rig.Node(j)
		}
	}
	if plain == "Lamplighter" {
		return joints
	}
	return rig.None
}

// nearest answers the count vertices of mesh 0 nearest to a point, in rising order.
func nearest(r *rig.Rig, x, y, z float64, count int) []rig.Vertex {
	p := r.Meshes[0].Positions
	type near struct {
		d float64
		v rig.Vertex
	}
	all := make([]near, len(p)/3)
	for v := range all {
		dx, dy, dz := float64(p[3*v])-x, float64(p[3*v+1])-y, float64(p[3*v+2])-z
		all[v] = near{dx*dx + dy*dy + dz*dz, rig.Vertex(v)}
	}
	slices.SortFunc(all, func(a, b near) int {
		switch {
		case a.d != b.d && a.d < b.d, a.d == b.d && a.v < b.v:
			return -1
		}
		return 1
	})
	out := make([]rig.Vertex, 0, count)
	for _, n := range all[:min(count, len(all))] {
		out = append(out, n.v)
	}
	slices.Sort(out)
	return out
}

// at fills in surface 0, the vertices and their middle.
func at(r *rig.Rig, vertices []rig.Vertex) Planted {
	var mid space.Vec
	for _, v := range vertices {
		for k := range 3 {
			mid[k] += float64(r.Meshes[0].Positions[3*int(v)+k]) / float64(len(vertices))
		}
	}
	return Planted{Surface: 0, Vertices: vertices, Point: &mid}
}

// aboutNodes names nodes, no surface.
func aboutNodes(nodes ...rig.Node) Planted { return Planted{Nodes: nodes, Surface: rig.None} }

// rebound measures the stored and declared bounds again after positions changed.
func rebound(m *rig.MeshData) {
	for i := range m.Primitives {
		p := &m.Primitives[i]
		for k := range 3 {
			lo, hi := math.Inf(1), math.Inf(-1)
			for v := p.First; v < p.First+p.Count; v++ {
				x := float64(m.Positions[3*v+k])
				lo, hi = min(lo, x), max(hi, x)
			}
			p.Min[k], p.Max[k] = lo, hi
		}
		p.TrueMin, p.TrueMax = p.Min, p.Max
	}
}

// addNode appends a node; children go under it at the end.
func addNode(r *rig.Rig, name string, parent rig.Node, t rig.TRS, children ...rig.Node) rig.Node {
	n := rig.Node(len(r.Nodes))
	if t.S == [3]float64{} {
		t.S = space.Vec{1, 1, 1}
	}
	if t.R == [4]float64{} {
		t.R = [4]float64{0, 0, 0, 1}
	}
	r.Nodes = append(r.Nodes, rig.NodeData{Name: name, Parent: parent, TRS: t, Matrix: t.Affine(), Mesh: rig.None, Skin: rig.None, Children: children})
	if parent >= 0 {
		r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
	} else {
		r.Scenes[0].Roots = append(r.Scenes[0].Roots, n)
	}
	for _, c := range children {
		if p := r.Nodes[c].Parent; p >= 0 {
			r.Nodes[p].Children = slices.DeleteFunc(r.Nodes[p].Children, func(x rig.Node) bool { return x == c })
		} else {
			r.Scenes[0].Roots = slices.DeleteFunc(r.Scenes[0].Roots, func(x rig.Node) bool { return x == c })
		}
		r.Nodes[c].Parent = n
	}
	r.SetOrder()
	return n
}

// set gives a node another transform at rest.
func set(r *rig.Rig, n rig.Node, t rig.TRS) {
	r.Nodes[n].TRS, r.Nodes[n].Matrix, r.Nodes[n].HasMatrix = t, t.Affine(), false
}
