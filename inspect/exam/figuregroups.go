package exam

import (
	"cmp"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
)

// grouping parts the joints of a file, and what is shown among them.
type grouping struct {
	joints map[int32][]rig.Node // group → its joints, parents first
	pieces map[int32][]piece    // group → what hangs on it
	order  []int32              // groups in the order of their first piece; without surfaces, of their first joint
	all    []piece              // all that is shown
}

// piece is a surface, or those of its shells that hang on one group.
type piece struct {
	surface  int
	vertices []rig.Vertex // nil: all
}

// Skeletons of as many joints as a figure has are joined by a shell only where each holds
// this share of its weight: less is a fault of weights that reaches from one to the other
// (common practice, no source).
const sharedShell = 0.02

// groups joins each joint with the nearest one above that holds something, and joints
// that one shell hangs on. A joint that holds nothing belongs to the one group below it,
// else to that above it; a root above several groups to none. In a file without surfaces
// every joint holds something. Joints that are cut hang on nothing here. Without shells
// none joins what hangs on it: a surface belongs to every tree that holds a share of it.
func (e *Exam) groups(cut []rig.Node, byShells bool) grouping {
	r := e.Rig
	isJoint := r.Joints()
	holds := make([]bool, len(r.Nodes))
	first := make([]rig.Node, len(r.Surfaces)) // some joint that it hangs on
	for i := range r.Surfaces {
		first[i] = e.markHeld(i, isJoint, holds)
	}
	if len(r.Surfaces) == 0 {
		copy(holds, isJoint)
	}
	isCut := make([]bool, len(r.Nodes))
	for _, n := range cut {
		isCut[n] = true
	}
	set := geom.NewUnion(len(r.Nodes))
	above := make([]rig.Node, len(r.Nodes)) // nearest joint above that holds something
	for _, n := range r.Order {
		above[n] = rig.None
		if p := r.Nodes[n].Parent; p >= 0 {
			if above[n] = above[p]; isJoint[p] && holds[p] {
				above[n] = p
			}
		}
		if isCut[n] {
			above[n] = rig.None
		}
		if isJoint[n] && above[n] >= 0 {
			set.Join(uint32(n), uint32(above[n]))
		}
	}
	shells := make([]*surfaceShells, len(r.Surfaces))
	if byShells {
		shells = e.joinByShells(set)
	}
	const none, several = -1, -2         // beside the numbers of groups
	below := make([]int32, len(r.Nodes)) // the one group at or below
	for i := range below {
		below[i] = none
	}
	for _, n := range slices.Backward(r.Order) {
		if isJoint[n] && holds[n] || above[n] >= 0 {
			below[n] = int32(set.Find(uint32(n)))
		}
		if p := r.Nodes[n].Parent; p >= 0 && below[n] != none && !isCut[n] {
			if below[p] == none {
				below[p] = below[n]
			} else if below[p] != below[n] {
				below[p] = several
			}
		}
	}
	out := grouping{joints: map[int32][]rig.Node{}, pieces: map[int32][]piece{}}
	for _, n := range r.Order {
		if g := below[n]; isJoint[n] && g >= 0 {
			if out.joints[g] == nil && len(r.Surfaces) == 0 {
				out.order = append(out.order, g)
			}
			out.joints[g] = append(out.joints[g], n)
		}
	}
	for _, s := range e.Shown() {
		if !byShells && r.Surfaces[s].Skin >= 0 {
			for _, g := range e.holders(s, set) {
				if out.pieces[g] == nil {
					out.order = append(out.order, g)
				}
				out.pieces[g] = append(out.pieces[g], piece{surface: s})
			}
			continue
		}
		for _, p := range shells[s].pieces(s, first[s], set) {
			out.all = append(out.all, p.piece)
			if p.on < 0 {
				continue
			}
			g := int32(set.Find(uint32(p.on)))
			if out.pieces[g] == nil {
				out.order = append(out.order, g)
			}
			out.pieces[g] = append(out.pieces[g], p.piece)
		}
	}
	return out
}

// holders are the trees that hold a share of a skinned surface, in the order of their
// first joint.
func (e *Exam) holders(surface int, set *geom.Union) (out []int32) {
	s := e.Rig.Surfaces[surface]
	m, joints := &e.Rig.Meshes[s.Mesh], e.Rig.Skins[s.Skin].Joints
	held, sum := map[int32]float64{}, 0.0
	of := make([]int32, len(joints))
	for j, n := range joints {
		of[j] = int32(set.Find(uint32(n)))
	}
	for k, w := range m.Weights {
		if j := int(m.Joints[k]); w > 0 && j < len(of) {
			held[of[j]] += float64(w)
			sum += float64(w)
		}
	}
	for g, w := range held {
		if w >= sharedShell*sum {
			out = append(out, g)
		}
	}
	slices.Sort(out)
	return out
}

// markHeld marks the joints that hold something of a surface and answers one of them.
func (e *Exam) markHeld(surface int, isJoint, holds []bool) rig.Node {
	r := e.Rig
	s := r.Surfaces[surface]
	m := &r.Meshes[s.Mesh]
	if s.Skin < 0 || m.K == 0 {
		for n := s.Node; n >= 0; n = r.Nodes[n].Parent {
			if isJoint[n] {
				holds[n] = true
				return n
			}
		}
		return rig.None
	}
	first := rig.Node(rig.None)
	joints := r.Skins[s.Skin].Joints
	for k, w := range m.Weights {
		if j := m.Joints[k]; w > 0 && int(j) < len(joints) {
			if holds[joints[j]] = true; first < 0 {
				first = joints[j]
			}
		}
	}
	return first
}

// surfaceShells are the shells of a surface that several trees of joints move.
type surfaceShells struct {
	of []int32    // shell, one a vertex
	on []rig.Node // a joint of the tree that holds most of it, one a shell; None: nothing does
}

// joinByShells joins the trees that one shell hangs on. It answers the shells of the
// surfaces that several trees move; nil for others.
func (e *Exam) joinByShells(set *geom.Union) []*surfaceShells {
	r := e.Rig
	size := make([]int, len(r.Nodes)) // joints of a tree, at its representative
	for n, in := range r.Joints() {
		if in {
			size[set.Find(uint32(n))]++
		}
	}
	tree := make([]int32, len(r.Nodes)) // as they are before any shell joins them
	for n := range tree {
		tree[n] = int32(set.Find(uint32(n)))
	}
	out := make([]*surfaceShells, len(r.Surfaces))
	for i, s := range r.Surfaces {
		m := &r.Meshes[s.Mesh]
		if s.Skin < 0 || m.K == 0 {
			continue
		}
		joints := r.Skins[s.Skin].Joints
		one, several := int32(-1), false
		for k, w := range m.Weights {
			if j := m.Joints[k]; w > 0 && int(j) < len(joints) {
				if t := tree[joints[j]]; one < 0 {
					one = t
				} else if t != one {
					several = true
					break
				}
			}
		}
		if !several {
			continue
		}
		of, count := e.ShellsOf(s.Mesh)
		held := make([]map[int32]float64, count) // shell → tree → weight
		for k, w := range m.Weights {
			if j := m.Joints[k]; w > 0 && int(j) < len(joints) {
				h := &held[of[k/m.K]]
				if *h == nil {
					*h = map[int32]float64{}
				}
				(*h)[tree[joints[j]]] += float64(w)
			}
		}
		shells := &surfaceShells{of: of, on: make([]rig.Node, count)}
		for k, h := range held {
			shells.on[k] = joinHeld(set, h, size)
		}
		out[i] = shells
	}
	return out
}

// joinHeld joins the trees that hold one shell and answers the one that holds most. size
// tells how many joints a tree has.
func joinHeld(set *geom.Union, held map[int32]float64, size []int) rig.Node {
	sum, trees := 0.0, make([]int32, 0, len(held))
	for t, w := range held {
		sum, trees = sum+w, append(trees, t)
	}
	slices.SortFunc(trees, func(a, b int32) int { return cmp.Or(-cmp.Compare(held[a], held[b]), cmp.Compare(a, b)) })
	if len(trees) == 0 {
		return rig.None
	}
	most := rig.Node(trees[0])
	for _, t := range trees[1:] {
		if held[t] >= sharedShell*sum || size[t] < fewestJoints || size[most] < fewestJoints {
			set.Join(uint32(t), uint32(most))
		}
	}
	return most
}

// ShellsOf answers the shell of every vertex, and how many there are: what triangles and
// equal places join.
func (e *Exam) ShellsOf(mesh rig.Mesh) ([]int32, int) {
	m, weld := &e.Rig.Meshes[mesh], e.Weld(mesh)
	u := geom.NewUnion(weld.Groups())
	for t := 0; t+2 < len(m.Triangles); t += 3 {
		a := weld.Of[m.Triangles[t]]
		u.Join(a, weld.Of[m.Triangles[t+1]])
		u.Join(a, weld.Of[m.Triangles[t+2]])
	}
	number := make([]int32, weld.Groups())
	for i := range number {
		number[i] = -1
	}
	of, count := make([]int32, m.Vertices()), 0
	for v := range of {
		k := &number[u.Find(weld.Of[v])]
		if *k < 0 {
			*k = int32(count)
			count++
		}
		of[v] = *k
	}
	return of, count
}

// hung is a piece and a joint that it hangs on, None.
type hung struct {
	piece
	on rig.Node
}

// pieces parts a surface by the groups that its shells hang on.
func (s *surfaceShells) pieces(surface int, first rig.Node, set *geom.Union) (out []hung) {
	if s == nil {
		return []hung{{piece{surface: surface}, first}}
	}
	group := make([]int, len(s.on)) // shell → place in out
	at := map[int32]int{}
	for k, n := range s.on {
		g := int32(rig.None)
		if n >= 0 {
			g = int32(set.Find(uint32(n)))
		}
		i, ok := at[g]
		if !ok {
			i = len(out)
			at[g] = i
			out = append(out, hung{piece{surface: surface}, n})
		}
		group[k] = i
	}
	if len(out) == 1 {
		return out
	}
	for v, k := range s.of {
		p := &out[group[k]]
		p.vertices = append(p.vertices, rig.Vertex(v))
	}
	return out
}
