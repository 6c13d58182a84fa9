package scene

import (
	"math"
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/marks"
)

// skeleton is the joints that are drawn: those of all skins or, in a file without
// skin, those of its rigid parts, else what clips move and what hangs on it.
type skeleton struct {
	nodes  []rig.Node
	parent []int // place in nodes, −1
	place  []int // by node: place in nodes, −1
	side   []int8
	carry  []float64 // surface each joint holds: sum of weights
	show   []bool
	twist  []int8 // of the stem down to a joint: axis of its parent joint, 0 … 2
	marks  []marks.Joint
	kids   [][]int
}

func newSkeleton(r *rig.Rig, side func(rig.Node) int8) *skeleton {
	sk := &skeleton{place: make([]int, len(r.Nodes))}
	in := make([]bool, len(r.Nodes))
	skinned := false
	for i := range r.Skins {
		for _, n := range r.Skins[i].Joints {
			if n >= 0 && int(n) < len(in) {
				in[n], skinned = true, true
			}
		}
	}
	if !skinned {
		if in = r.Joints(); !slices.Contains(in, true) {
			in = r.Moved(in)
		}
	}
	for i := range sk.place {
		sk.place[i] = -1
	}
	for _, n := range r.Order {
		if in[n] {
			sk.place[n] = len(sk.nodes)
			sk.nodes = append(sk.nodes, n)
		}
	}
	n := len(sk.nodes)
	sk.parent, sk.side, sk.carry = make([]int, n), make([]int8, n), make([]float64, n)
	sk.show, sk.twist, sk.kids = make([]bool, n), make([]int8, n), make([][]int, n)
	sk.marks = make([]marks.Joint, n)
	for j, node := range sk.nodes {
		sk.parent[j] = -1
		for q := r.Nodes[node].Parent; q >= 0; q = r.Nodes[q].Parent {
			if sk.place[q] >= 0 {
				sk.parent[j] = sk.place[q]
				sk.kids[sk.place[q]] = append(sk.kids[sk.place[q]], j)
				break
			}
		}
		sk.side[j] = side(node)
	}
	sk.weigh(r)
	sk.choose(skinned)
	sk.findTwists(r)
	return sk
}

// weigh adds up what each joint holds.
func (sk *skeleton) weigh(r *rig.Rig) {
	for _, s := range r.Surfaces {
		if s.Skin < 0 || int(s.Skin) >= len(r.Skins) {
			if j := sk.place[s.Node]; j >= 0 { // a rigid part on a joint
				sk.carry[j]++
			}
			continue
		}
		m, skin := &r.Meshes[s.Mesh], &r.Skins[s.Skin]
		for i, w := range m.Weights {
			if w > 0 && w-w == 0 && i < len(m.Joints) {
				if n := jointNode(r, skin, int(m.Joints[i])); n >= 0 && sk.place[n] >= 0 {
					sk.carry[sk.place[n]] += float64(w)
				}
			}
		}
	}
}

// choose shows joints that hold surface, the way up from them, and the ends of
// chains; not the rest of a control rig, which would fill the plate, and not a
// root that only stands on the floor.
func (sk *skeleton) choose(skinned bool) {
	any := false
	for j := range sk.nodes {
		if sk.carry[j] > 0 {
			any = true
			for k := j; k >= 0 && !sk.show[k]; k = sk.parent[k] {
				sk.show[k] = true
			}
		}
	}
	if !skinned || !any {
		for j := range sk.show {
			sk.show[j] = true
		}
		return
	}
	for j := range sk.nodes {
		p := sk.parent[j]
		if !sk.show[j] && p >= 0 && sk.carry[p] > 0 && len(sk.kids[j]) == 0 && len(sk.kids[p]) == 1 {
			sk.show[j] = true
		}
	}
	for j := range sk.nodes { // parents come first
		if p := sk.parent[j]; sk.show[j] && sk.carry[j] == 0 && (p < 0 || !sk.show[p]) {
			kids := 0
			for _, k := range sk.kids[j] {
				if sk.show[k] {
					kids++
				}
			}
			if p < 0 || kids <= 1 {
				sk.show[j] = false
			}
		}
	}
}

// findTwists picks, for the stem down to each joint, the axis of the joint above
// that stands squarest to it at rest: z before x before y when several do.
func (sk *skeleton) findTwists(r *rig.Rig) {
	world := r.RestWorld()
	for j := range sk.nodes {
		p := sk.parent[j]
		if p < 0 {
			continue
		}
		m := &world[sk.nodes[p]]
		d := world[sk.nodes[j]].Origin().Sub(m.Origin())
		least := math.Inf(1)
		for _, axis := range [...]int{2, 0, 1} {
			a := space.Vec{m[axis], m[4+axis], m[8+axis]}
			l := a.Len() * d.Len()
			if !(l > 0) {
				continue
			}
			if c := math.Abs(a.Dot(d)) / l; c < least-.2 {
				least = c
				sk.twist[j] = int8(axis)
			}
		}
	}
}

// chain is the chosen joint's own: up its side of the figure, and down as long as
// there is one way to go.
func (sk *skeleton) chain(chosen rig.Node) []bool {
	out := make([]bool, len(sk.nodes))
	if chosen < 0 || int(chosen) >= len(sk.place) || sk.place[chosen] < 0 {
		return out
	}
	c := sk.place[chosen]
	out[c] = true
	up := 0
	for p := sk.parent[c]; p >= 0 && up < 3 && sk.show[p]; p = sk.parent[p] {
		if sk.side[p] != sk.side[c] && sk.side[c] != 0 {
			break
		}
		out[p] = true
		up++
	}
	for j := c; ; {
		next, ways := -1, 0
		for _, k := range sk.kids[j] {
			if sk.show[k] && (sk.side[c] == 0 || sk.side[k] == sk.side[c]) && sk.side[k] == sk.side[c] {
				next = k
				ways++
			}
		}
		if ways != 1 {
			return out
		}
		out[next] = true
		if sk.side[c] == 0 { // down one joint of the trunk says enough
			return out
		}
		j = next
	}
}

// lay projects the joints for the marks.
func (sk *skeleton) lay(r *rig.Rig, world []rig.Affine, c *camera.Camera, chosen, hover rig.Node) []marks.Joint {
	chain := sk.chain(chosen)
	right, up, _ := c.Axes()
	for j, node := range sk.nodes {
		m := &sk.marks[j]
		o := world[node].Origin()
		x, y, _, ok := c.Pixel(o)
		*m = marks.Joint{
			X: float32(x), Y: float32(y), OK: ok && math.Abs(x) < 1e5 && math.Abs(y) < 1e5, Parent: -1, Side: sk.side[j],
			Show: sk.show[j], Chain: chain[j], Chosen: node == chosen, Hover: node == hover, Name: r.Nodes[node].Name,
		}
		m.Show = m.Show || m.Chosen || m.Hover
		p := sk.parent[j]
		if p < 0 {
			continue
		}
		if sk.show[p] || sk.nodes[p] == chosen || sk.nodes[p] == hover {
			m.Parent = p
		}
		q := &world[sk.nodes[p]]
		axis := int(sk.twist[j])
		t := space.Vec{q[axis], q[4+axis], q[8+axis]}
		if d := o.Sub(q.Origin()); d.Len() > 0 { // square to the stem
			d = d.Normalize()
			t = t.Sub(d.Mul(d.Dot(t)))
		}
		if l := t.Len(); l > 0 && !math.IsInf(l, 0) {
			t = t.Mul(1 / l)
			m.TwistX, m.TwistY = float32(t.Dot(right)), float32(-t.Dot(up))
		}
		a := &sk.marks[p]
		dx, dy := m.X-a.X, m.Y-a.Y
		m.Small = dx*dx+dy*dy < 18*18
	}
	return sk.marks
}
