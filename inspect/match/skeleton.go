package match

import (
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Skeleton is one rig as matching sees it.
type Skeleton struct {
	Rig    *rig.Rig
	Rest   []rig.Affine   // world, by node
	Roles  *anatomy.Roles //
	Joints []rig.Node     // parents first: what may be matched
	Parent []int          // place in Joints of the nearest joint above, −1

	// Left, Up and Forward are the figure's own directions, unit: along world axes
	// where they are near them. Without a figure glTF's +X, +Y, +Z.
	Left, Up, Forward space.Vec
	Size              float64 // largest side of the box of the joints, the rig's unit
	Turned            bool    // the figure's sides by name and by place disagree

	bone  map[string]rig.Node
	place []int // by node: place in Joints, −1
	enter []int32
	leave []int32
	kids  [][]int
	trunk []int // places of the trunk's joints, from above the hips to where the arms part
	neck  []int // between the trunk and the head
	f     []features
}

// features of one joint.
type features struct {
	pos     space.Vec // in the figure's directions, from the middle of the box
	unit    space.Vec // the same, each side of the box as 1
	arc     float64   // way from the top joint, share of the longest
	reach   float64   // longest way below, share of the longest
	into    space.Vec // direction of the bone that ends here, zero at the top
	along   space.Vec // direction of the bone that begins here, zero at an end
	side    anatomy.Side
	both    bool // joints of either side hang on it
	role    string
	sure    float64
	byShape bool // the role was found by shape alone
	anchor  int  // place of the nearest joint above with a role, −1
	helper  bool // by its name
	idle    bool // nothing hangs on it: no surface below, no key
	tokens  map[string]bool
}

// How a skeleton is laid out (common practice, no source).
const (
	offMiddle = 0.03 // of the width: a joint farther off the middle belongs to a side
	flatSide  = 0.2  // of the largest: a side of the box that is shorter counts as so long
	upSnap    = 35.0 // degrees: a trunk that leans less stands along the axis
	frontSnap = 15.0 // degrees: a figure that is turned less faces along the axis
)

// NewSkeleton reads a rig. Joints are those of the skins and what the file declares
// as bones; without a skin, what clips move and what hangs on it; in a file of bare
// nodes, all of them.
func NewSkeleton(r *rig.Rig) *Skeleton {
	s := &Skeleton{Rig: r, Rest: r.RestWorld(), Left: space.Vec{1, 0, 0}, Up: space.Vec{0, 1, 0}, Forward: space.Vec{0, 0, 1}}
	s.Roles = anatomy.Find(r, s.Rest)
	in := s.candidates()
	s.place = make([]int, len(r.Nodes))
	s.enter, s.leave = make([]int32, len(r.Nodes)), make([]int32, len(r.Nodes))
	for i, n := range r.Order {
		s.enter[n], s.leave[n] = int32(i), int32(i)+1
		s.place[n] = -1
		if !in[n] {
			continue
		}
		up := -1
		for p := r.Nodes[n].Parent; p >= 0 && up < 0; p = r.Nodes[p].Parent {
			up = s.place[p]
		}
		s.place[n] = len(s.Joints)
		s.Joints, s.Parent, s.kids = append(s.Joints, n), append(s.Parent, up), append(s.kids, nil)
		if up >= 0 {
			s.kids[up] = append(s.kids[up], s.place[n])
		}
	}
	for i := len(r.Order) - 1; i >= 0; i-- {
		if n := r.Order[i]; r.Nodes[n].Parent >= 0 {
			p := r.Nodes[n].Parent
			s.leave[p] = max(s.leave[p], s.leave[n])
		}
	}
	s.bone = map[string]rig.Node{}
	for role, n := range s.Roles.Bone {
		if s.joint(n) >= 0 {
			s.bone[role] = n
		}
	}
	s.directions()
	s.measure()
	if !s.known() && !s.Roles.NotBiped {
		if s.byShape(); s.known() {
			s.directions()
			s.measure()
		}
	}
	s.thumbs()
	s.middle()
	return s
}

func (s *Skeleton) candidates() []bool {
	r := s.Rig
	in := r.Joints()
	for i := range s.Roles.Of {
		if s.Roles.Of[i].Role != "" {
			in[i] = true
		}
	}
	if slices.Contains(in, true) {
		return in
	}
	if in = r.Moved(in); slices.Contains(in, true) {
		return in
	}
	for n := range in {
		in[n] = r.Nodes[n].Mesh < 0
	}
	return in
}

// above tells that joint a stands above joint b.
func (s *Skeleton) above(a, b int) bool {
	x, y := s.Joints[a], s.Joints[b]
	return x != y && s.enter[y] >= s.enter[x] && s.enter[y] < s.leave[x]
}

// At is where a node stands at rest.
func (s *Skeleton) At(n rig.Node) space.Vec { return s.Rest[n].Origin() }

// directions finds left, up and forward of a figure by its roles.
func (s *Skeleton) directions() {
	lo, hi := space.Vec{math.Inf(1), math.Inf(1), math.Inf(1)}, space.Vec{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, n := range s.Joints {
		for c, v := range s.At(n) {
			lo[c], hi[c] = min(lo[c], v), max(hi[c], v)
		}
	}
	if len(s.Joints) == 0 {
		return
	}
	s.Size = max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2])
	hips, top := s.Bone("hips"), rig.Node(rig.None)
	for _, role := range []string{"head", "neck", "upperChest", "chest", "spine"} {
		if top < 0 {
			top = s.Bone(role)
		}
	}
	var left, toes space.Vec
	pairs := 0
	for _, bone := range []string{"UpperLeg", "LowerLeg", "Foot", "UpperArm", "LowerArm", "Hand", "Shoulder"} {
		l, r := s.Bone("left"+bone), s.Bone("right"+bone)
		if l >= 0 && r >= 0 {
			left = left.Add(s.At(l).Sub(s.At(r)))
			pairs++
		}
	}
	for _, side := range []string{"left", "right"} {
		if f, t := s.Bone(side+"Foot"), s.Bone(side+"Toes"); f >= 0 && t >= 0 {
			toes = toes.Add(s.At(t).Sub(s.At(f)))
		}
	}
	if hips < 0 || top < 0 || pairs < 2 {
		return
	}
	up := s.At(top).Sub(s.At(hips))
	if up.Len() < 1e-6*s.Size || left.Len() < 1e-6*s.Size {
		return
	}
	up = snapped(up.Normalize(), upSnap)
	left = left.Sub(up.Mul(left.Dot(up)))
	if left.Len() < 1e-6*s.Size {
		return
	}
	left = left.Normalize()
	forward := left.Cross(up)
	if toes = toes.Sub(up.Mul(toes.Dot(up))); toes.Len() > 1e-3*s.Size && toes.Normalize().Dot(forward) < -0.5 {
		s.Turned = true
		left, forward = left.Mul(-1), forward.Mul(-1)
	}
	f := snapped(forward, frontSnap)
	if math.Abs(f.Dot(up)) < 1e-9 {
		forward = f
		left = up.Cross(forward)
	}
	s.Left, s.Up, s.Forward = left, up, forward
}

// sides marks the joints that carry joints of both sides.
func (s *Skeleton) sides() {
	below := make([][2]bool, len(s.Joints))
	for i := len(s.Joints) - 1; i >= 0; i-- {
		s.f[i].both = below[i] == [2]bool{true, true}
		p := s.Parent[i]
		if p < 0 {
			continue
		}
		below[p][0] = below[p][0] || below[i][0] || s.f[i].side == anatomy.Left
		below[p][1] = below[p][1] || below[i][1] || s.f[i].side == anatomy.Right
	}
}

// snapped is the world axis that a unit direction lies within so many degrees of,
// else itself.
func snapped(d space.Vec, degrees float64) space.Vec {
	best := 0
	for c := range d {
		if math.Abs(d[c]) > math.Abs(d[best]) {
			best = c
		}
	}
	if math.Abs(d[best]) < math.Cos(degrees*math.Pi/180) {
		return d
	}
	out := space.Vec{}
	out[best] = math.Copysign(1, d[best])
	return out
}

// inBody gives a direction in the figure's own left, up and forward.
func (s *Skeleton) inBody(v space.Vec) space.Vec {
	return space.Vec{v.Dot(s.Left), v.Dot(s.Up), v.Dot(s.Forward)}
}

// measure fills the features.
func (s *Skeleton) measure() {
	n := len(s.Joints)
	if s.f == nil {
		s.f = make([]features, n)
	}
	if n == 0 {
		return
	}
	holds := s.holds()
	lo, hi := space.Vec{math.Inf(1), math.Inf(1), math.Inf(1)}, space.Vec{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	arc, reach := make([]float64, n), make([]float64, n)
	main := make([]int, n)
	for i, node := range s.Joints {
		f := &s.f[i]
		f.pos = s.inBody(s.At(node))
		part := &s.Roles.Of[node]
		if !f.byShape {
			f.role, f.sure, f.side = part.Role, part.Confidence, part.Side
		}
		f.helper = part.Helper
		f.tokens = map[string]bool{}
		for _, t := range anatomy.Tokens(s.Rig.Nodes[node].Name) {
			f.tokens[t] = true
		}
		f.idle = !holds[node]
		if !f.idle {
			for c, v := range f.pos {
				lo[c], hi[c] = min(lo[c], v), max(hi[c], v)
			}
		}
		f.anchor = -1
		if p := s.Parent[i]; p >= 0 {
			arc[i] = arc[p] + s.At(node).Sub(s.At(s.Joints[p])).Len()
			f.anchor = s.f[p].anchor
			if s.f[p].role != "" {
				f.anchor = p
			}
		}
		main[i] = -1
	}
	s.sides()
	longest := 0.0
	for i := n - 1; i >= 0; i-- {
		longest = max(longest, arc[i])
		if p := s.Parent[i]; p >= 0 && (!s.f[i].idle || main[p] < 0) {
			if way := reach[i] + arc[i] - arc[p]; way > reach[p] || main[p] < 0 {
				reach[p], main[p] = way, i
			}
		}
	}
	if lo[0] > hi[0] {
		lo, hi = space.Vec{}, space.Vec{1, 1, 1}
	}
	mid, size := lo.Add(hi).Mul(0.5), hi.Sub(lo)
	tall := max(size[0], size[1], size[2], 1e-12)
	for i := range s.f {
		f := &s.f[i]
		f.pos = f.pos.Sub(mid)
		for c := range f.unit {
			f.unit[c] = f.pos[c] / max(size[c], flatSide*tall)
		}
		if longest > 0 {
			f.arc, f.reach = arc[i]/longest, reach[i]/longest
		}
		if p := s.Parent[i]; p >= 0 {
			f.into = direction(s.inBody(s.At(s.Joints[i]).Sub(s.At(s.Joints[p]))), 1e-6*s.Size)
		}
		if m := main[i]; m >= 0 {
			f.along = direction(s.inBody(s.At(s.Joints[m]).Sub(s.At(s.Joints[i]))), 1e-6*s.Size)
		}
		if f.side == anatomy.NoSide {
			switch x := f.unit[0]; {
			case x > offMiddle:
				f.side = anatomy.Left
			case x < -offMiddle:
				f.side = anatomy.Right
			default:
				f.side = anatomy.Centre
			}
			if s.Turned {
				f.side = f.side.Other()
			}
		}
	}
}

func direction(v space.Vec, least float64) space.Vec {
	if l := v.Len(); l > least {
		return v.Mul(1 / l)
	}
	return space.Vec{}
}

// holds tells for every node whether something hangs on it: skinned surface, a mesh
// or, without any skin, a key on it or below it.
func (s *Skeleton) holds() []bool {
	r := s.Rig
	out := make([]bool, len(r.Nodes))
	skinned := false
	for _, sf := range r.Surfaces {
		if sf.Skin < 0 || int(sf.Skin) >= len(r.Skins) {
			out[sf.Node] = true
			continue
		}
		m, skin := &r.Meshes[sf.Mesh], &r.Skins[sf.Skin]
		for i, w := range m.Weights {
			if w > 0 && i < len(m.Joints) && int(m.Joints[i]) < len(skin.Joints) {
				if n := skin.Joints[m.Joints[i]]; n >= 0 && int(n) < len(out) {
					out[n], skinned = true, true
				}
			}
		}
	}
	if !skinned {
		keyed := false
		for i := range r.Clips {
			for _, c := range r.Clips[i].Channels {
				if c.Node >= 0 && int(c.Node) < len(out) && c.Path != rig.Weights {
					out[c.Node], keyed = true, true
				}
			}
		}
		if !keyed {
			for i := range out {
				out[i] = true
			}
		}
	}
	for i := len(r.Order) - 1; i >= 0; i-- {
		if n := r.Order[i]; r.Nodes[n].Parent >= 0 && out[n] {
			out[r.Nodes[n].Parent] = true
		}
	}
	return out
}

// middle finds the joints of trunk and neck. The trunk runs from above the hips to
// the joint at which the arms part, else to the one below neck or head.
func (s *Skeleton) middle() {
	hips := s.Bone("hips")
	if hips < 0 || s.Roles.NotBiped {
		return
	}
	at := func(n rig.Node) int {
		if n < 0 {
			return -1
		}
		return s.place[n]
	}
	h, head := at(hips), at(s.Bone("head"))
	arm := func(side string) int {
		for _, bone := range []string{"Shoulder", "UpperArm", "LowerArm", "Hand"} {
			if i := at(s.Bone(side + bone)); i >= 0 {
				return i
			}
		}
		return -1
	}
	top := -1
	if l, r := arm("left"), arm("right"); l >= 0 && r >= 0 {
		top = s.common(l, r)
	}
	if top < 0 || top == h || !s.above(h, top) {
		top = -1
		for _, role := range []string{"neck", "head"} {
			if i := at(s.Bone(role)); i >= 0 && top < 0 {
				top = s.Parent[i]
			}
		}
	}
	path := func(from, to int) (out []int) { // both ends left out at from, kept at to
		for i := to; i >= 0; i = s.Parent[i] {
			if i == from {
				return out
			}
			out = append([]int{i}, out...)
		}
		return nil
	}
	if h < 0 || top < 0 {
		return
	}
	s.trunk = path(h, top)
	if len(s.trunk) > 0 && head >= 0 && s.above(top, head) {
		s.neck = path(top, s.Parent[head])
		if s.Parent[head] == top {
			s.neck = nil
		}
	}
	// Joints named otherwise by the file (a sided or helper joint) do not belong.
	for _, i := range s.trunk {
		if r := s.f[i].role; r != "" && r != "spine" && r != "chest" && r != "upperChest" {
			s.trunk, s.neck = nil, nil
			return
		}
	}
}

// common is the lowest joint above both.
func (s *Skeleton) common(a, b int) int {
	for a >= 0 && a != b && !s.above(a, b) {
		a = s.Parent[a]
	}
	if a == b && a >= 0 {
		return s.Parent[a]
	}
	return a
}

// Name is what a node is called.
func (s *Skeleton) Name(n rig.Node) string { return s.Rig.Nodes[n].Name }
