package mend

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// The arithmetic of scale. W(n) is the world matrix of a node at any moment, M the move of
// the whole figure. Every node n below the roots gets a factor c(n), one a world axis of
// the node, and becomes
//
//	W'(n) = M · W(n) · S(1/c(n)),  so locally  L'(n) = S(c(parent)) · L(n) · S(1/c(n))
//
// which for L = T(t)·R·S(s) is T(c(p)·t) · FRF · S(c(p)·s/c(n)), F the signs of c(p), as
// long as c(p) is even or R is none. A mesh that hangs on n is stored times c(n); one with
// a skin may be carried anywhere, K, while its bind matrices become S(c(j))·B·K⁻¹:
// positions in the world are M times what they were, exactly, whatever c and K are. K is
// chosen so that the stored figure is the one seen at rest, where the bind pose is the
// rest pose. Nodes above the roots become empty; what they did goes into G = their new
// world⁻¹ · M · their old world.

// scaler is the mend at work.
type scaler struct {
	w      *Work
	r      *rig.Rig
	factor float64
	turned space.Quat
	whole  rig.Affine // M

	world    []rig.Affine // at rest
	isJoint  []bool
	keyed    [][3]bool    // by node: translation, rotation, scale channels
	above    []bool       // nodes that become empty
	become   []rig.Affine // by node of above: its new world matrix
	c        []space.Vec  // by node
	g        []grip       // by node: what acts on its local transform
	k        []rig.Affine // by mesh: K
	turnedBy []float64    // by node: largest turn at rest or in a clip, radians

	of   []int             // meshes, then skins: whom each shares its factor with; see find
	set  map[int]space.Vec // by find: of meshes that follow a node
	lone map[rig.Mesh]bool // meshes that one surface alone shows
}

// grip is G = T(move)·turn·S(scale) on a node's local transform.
type grip struct {
	move  space.Vec
	turn  space.Quat
	scale space.Vec
}

func (g *grip) even() bool { return evenly(g.scale) }

func (g *grip) nothing() bool {
	return g.move == space.Vec{} && g.turn == space.Still() && g.scale == space.Vec{1, 1, 1}
}

// evenSlack is how far two factors of one scale may differ and count as even: what is
// lost by taking them as one is far below a step of float32.
const evenSlack = 1e-6

func evenly(v space.Vec) bool {
	return math.Abs(math.Abs(v[0]/v[1])-1) <= evenSlack && math.Abs(math.Abs(v[0]/v[2])-1) <= evenSlack
}

// turnSlack is the turn that counts as none, radians.
const turnSlack = 1e-6

const shears = "The scale differs by axis and joints below are turned: applying it would shear them."

func newScaler(w *Work) (*scaler, error) {
	r := w.Rig
	n := len(r.Nodes)
	s := &scaler{w: w, r: r, world: w.Exam.RestWorld(), isJoint: r.Joints(), keyed: make([][3]bool, n), above: make([]bool, n),
		become: make([]rig.Affine, n), c: make([]space.Vec, n), g: make([]grip, n), k: make([]rig.Affine, len(r.Meshes)), turnedBy: make([]float64, n)}
	if len(r.Surfaces) == 0 && len(r.Skins) == 0 {
		return nil, w.Refuse("The file holds no surface and no skin: there is nothing to bring to scale.")
	}
	for i := range r.Nodes {
		s.turnedBy[i] = space.Turned(space.FromXYZW(r.Nodes[i].R))
	}
	for i := range r.Clips {
		for k := range r.Clips[i].Channels {
			c := &r.Clips[i].Channels[k]
			if c.Node < 0 || int(c.Node) >= n || c.Path > rig.Scale {
				continue
			}
			s.keyed[c.Node][c.Path] = true
			if c.Path == rig.Rotation {
				for v := 0; v+4 <= len(c.Values); v += 4 {
					s.turnedBy[c.Node] = max(s.turnedBy[c.Node], turnOf(c, v))
				}
			}
		}
	}
	if err := s.foreign(); err != nil {
		return nil, err
	}
	s.place()
	return s, nil
}

// turnOf is the turn of the quaternion at a place of a channel's values; tangents of cubic
// keys count by their length.
func turnOf(c *rig.Channel, v int) float64 {
	q := space.Quat{W: float64(c.Values[v+3]), V: space.At(c.Values[v:], 0)}
	if c.Interpolation == rig.Cubic && v/4%3 != 1 {
		return q.V.Len()
	}
	return space.Turned(q)
}

// foreign refuses what would not follow.
func (s *scaler) foreign() error {
	nodes := s.w.Doc.Root.Get("nodes")
	for i := range nodes.Len() {
		if nodes.At(i).Get("extensions").Get("EXT_mesh_gpu_instancing") != nil {
			return s.w.Refuse("Node %q draws its mesh in many copies (EXT_mesh_gpu_instancing): their places would not follow.", s.r.Nodes[i].Name)
		}
	}
	clips := s.w.Doc.Root.Get("animations")
	for c := range clips.Len() {
		channels := clips.At(c).Get("channels")
		for i := range channels.Len() {
			if channels.At(i).Get("target").Get("extensions").Get("KHR_animation_pointer") != nil {
				return s.w.Refuse("Clip %q moves things by KHR_animation_pointer: what it sets would not follow.", clips.At(c).Get("name").String())
			}
		}
	}
	if n := len(s.r.File.NotHonored); n > 0 {
		for _, m := range s.r.Meshes {
			if len(m.Positions) == 0 {
				return s.w.Refuse("The file requires %s, which is not unpacked: the positions cannot be brought along.", s.r.File.NotHonored[0])
			}
		}
	}
	return nil
}

// choose sets what each node, skin and mesh becomes.
func (s *scaler) choose() error {
	v := s.w.Values
	s.group()
	s.findAbove()
	for _, n := range s.r.Order {
		node := &s.r.Nodes[n]
		p := node.Parent
		if s.above[n] {
			s.become[n], s.c[n] = s.emptied(n), space.Vec{1, 1, 1}
			continue
		}
		var g rig.Affine
		switch {
		case p < 0:
			g = s.whole
		case s.above[p]:
			inv, ok := s.become[p].Inverse()
			if !ok {
				return s.w.Refuse("Node %q is scaled to nothing.", s.r.Nodes[p].Name)
			}
			m := s.whole.Mul(&s.world[p])
			g = inv.Mul(&m)
		}
		if p < 0 || s.above[p] {
			t := g.Decompose()
			again, size := t.Affine(), 0.0
			for i := range g {
				size = max(size, math.Abs(g[i]))
			}
			for i := range g {
				if math.Abs(g[i]-again[i]) > 1e-6*size {
					return s.w.Refuse(shears)
				}
			}
			s.g[n] = grip{t.T, space.FromXYZW(t.R), clean(t.S)}
			if space.Turned(s.g[n].turn) < turnSlack {
				s.g[n].turn = space.Still()
			}
		} else {
			s.g[n] = grip{turn: space.Still(), scale: s.c[p]}
		}
		if !s.g[n].even() && s.turnedBy[n] > turnSlack {
			return s.w.Refuse(shears)
		}
		own := space.Vec(node.S)
		root := p < 0 || s.above[p] || !s.isJoint[n] && node.Mesh >= 0
		s.c[n] = s.g[n].scale
		absorb := v.Is("scale") && (root || v.Is("joints")) && own[0]*own[1]*own[2] != 0 && !s.quantised(n)
		if absorb && !evenly(own) && s.childTurned(n) {
			if root {
				return s.w.Refuse(shears)
			}
			absorb = false
			s.w.Leave("%q is scaled unevenly and what hangs on it is turned: left as it is.", node.Name)
		}
		if absorb {
			for c := range 3 {
				s.c[n][c] *= own[c]
			}
			s.c[n] = clean(s.c[n])
		}
		if !v.Is("scale") { // scales stay where they are, but for the factor
			s.c[n] = space.Vec{s.factor, s.factor, s.factor}
		}
		if node.Mesh >= 0 && node.Skin < 0 {
			if err := s.hung(n); err != nil {
				return err
			}
		}
	}
	return s.stored()
}

// clean takes factors that are a step of float32 from each other, or from one, as that.
func clean(v space.Vec) space.Vec {
	if evenly(v) {
		k := math.Abs(v[0])
		if math.Abs(k-1) < evenSlack {
			k = 1
		}
		for c := range 3 {
			v[c] = math.Copysign(k, v[c])
		}
	}
	return v
}

// findAbove marks the nodes that only carry: above the topmost joints and meshes, moved
// by no clip; those of skinned meshes beside the skeleton, whose placement nobody heeds;
// and those that hold a mesh of their own which no one else shows, as long as they stand
// still.
func (s *scaler) findAbove() {
	holds := make([]bool, len(s.r.Nodes))
	for i := len(s.r.Order) - 1; i >= 0; i-- {
		n := s.r.Order[i]
		node := &s.r.Nodes[n]
		holds[n] = holds[n] || s.isJoint[n] || node.Mesh >= 0
		if node.Parent >= 0 && holds[n] {
			holds[node.Parent] = true
		}
	}
	for _, n := range s.r.Order {
		node := &s.r.Nodes[n]
		bare := node.Mesh < 0 || node.Skin >= 0 || s.lone[node.Mesh] && !s.integers(node.Mesh)
		s.above[n] = holds[n] && bare && !s.isJoint[n] && s.keyed[n] == [3]bool{} && (node.Parent < 0 || s.above[node.Parent])
	}
}

// emptied is the new world matrix of a node above: its old one without what is applied.
func (s *scaler) emptied(n rig.Node) rig.Affine {
	v := s.w.Values
	m := s.whole.Mul(&s.world[n])
	t := m.Decompose()
	if v.Is("scale") {
		t.S = [3]float64{1, 1, 1}
	} else {
		for c := range 3 {
			t.S[c] /= s.factor
		}
	}
	if v.Is("turn") {
		t.R = [4]float64{0, 0, 0, 1}
	}
	if v.Is("shift") && !s.alone(n) { // a thing keeps the point that it is placed by
		t.T = [3]float64{}
	}
	return t.Affine()
}

// alone tells a node above that holds a mesh which follows it.
func (s *scaler) alone(n rig.Node) bool {
	return s.above[n] && s.r.Nodes[n].Mesh >= 0 && s.r.Nodes[n].Skin < 0
}

// quantised tells a node whose mesh is stored in integers: its own scale belongs to the
// packing (KHR_mesh_quantization).
func (s *scaler) quantised(n rig.Node) bool {
	m := s.r.Nodes[n].Mesh
	return m >= 0 && s.r.Nodes[n].Skin < 0 && s.integers(m)
}

func (s *scaler) integers(m rig.Mesh) bool {
	for _, p := range s.r.Meshes[m].Primitives {
		if p.PositionType != 5126 && p.Count > 0 {
			return true
		}
	}
	return false
}

func (s *scaler) childTurned(n rig.Node) bool {
	for _, c := range s.r.Nodes[n].Children {
		if s.turnedBy[c] > turnSlack || s.keyed[c][rig.Rotation] {
			return true
		}
	}
	return false
}

// group joins meshes with the skins they are shown with: they share what they are stored
// times.
func (s *scaler) group() {
	s.of = make([]int, len(s.r.Meshes)+len(s.r.Skins))
	for i := range s.of {
		s.of[i] = i
	}
	for _, x := range s.r.Surfaces {
		if x.Skin >= 0 {
			s.of[s.find(int(x.Mesh))] = s.find(len(s.r.Meshes) + int(x.Skin))
		}
	}
	s.set, s.lone = map[int]space.Vec{}, map[rig.Mesh]bool{}
	for _, x := range s.r.Surfaces {
		_, twice := s.lone[x.Mesh]
		s.lone[x.Mesh] = !twice
	}
	for m := range s.r.Meshes {
		if s.integers(rig.Mesh(m)) {
			s.set[s.find(m)] = space.Vec{1, 1, 1} // the packing stays
		}
	}
}

func (s *scaler) find(i int) int {
	for s.of[i] != i {
		i = s.of[i]
	}
	return i
}

// hung settles the factor of a node with a mesh that follows it: the mesh is stored times
// that, and a mesh is stored once.
func (s *scaler) hung(n rig.Node) error {
	node := &s.r.Nodes[n]
	at := s.find(int(node.Mesh))
	k, known := s.set[at]
	switch {
	case !known:
		s.set[at] = s.c[n]
		return nil
	case k == s.c[n]:
		return nil
	case !s.integers(node.Mesh) && signOf(k) != signOf(s.c[n]):
		return s.w.Refuse("Mesh %q is shown mirrored and as it is: one of the two would turn inside out.", s.r.Meshes[node.Mesh].Name)
	case !s.integers(node.Mesh):
		s.w.Leave("Mesh %q is shown in several sizes; the node %q keeps its scale.", s.r.Meshes[node.Mesh].Name, node.Name)
	}
	s.c[n] = k
	return nil
}

func signOf(v space.Vec) float64 { return math.Copysign(1, v[0]*v[1]*v[2]) }

// stored settles where each mesh is carried.
func (s *scaler) stored() error {
	r := s.r
	carried := map[int]rig.Affine{} // by find
	for at, k := range s.set {
		carried[at] = scaling(k)
	}
	for _, n := range r.Order {
		if s.alone(n) {
			inv, ok := s.become[n].Inverse()
			if !ok {
				return s.w.Refuse("Node %q is scaled to nothing.", r.Nodes[n].Name)
			}
			m := s.whole.Mul(&s.world[n])
			carried[s.find(int(r.Nodes[n].Mesh))] = inv.Mul(&m)
		}
	}
	for i := range r.Skins {
		sign := 0.0
		for _, n := range r.Skins[i].Joints {
			if n < 0 || int(n) >= len(r.Nodes) {
				continue
			}
			if sign != 0 && sign != signOf(s.c[n]) {
				return s.w.Refuse("Joints of the skin %q are mirrored and others are not: a part would turn inside out.", r.Skins[i].Name)
			}
			sign = signOf(s.c[n])
		}
		at := s.find(len(r.Meshes) + i)
		if _, known := carried[at]; !known {
			carried[at] = s.skinned(i)
		}
	}
	for m := range r.Meshes {
		k, known := carried[s.find(m)]
		if !known {
			k = rig.Identity
		}
		if d := k.Det(); d == 0 || d-d != 0 {
			return s.w.Refuse("Mesh %q is scaled to nothing.", r.Meshes[m].Name)
		}
		s.k[m] = s.clear(k)
	}
	return nil
}

// skinned is K of the meshes of a skin: M times the one matrix that all joints carry the
// mesh by at rest, where there is one; else as the factors of its first joint say, moved
// along.
func (s *scaler) skinned(i int) rig.Affine {
	v := s.w.Values
	skin := &s.r.Skins[i]
	var mean rig.Affine
	var all []rig.Affine
	for j, n := range skin.Joints {
		if n >= 0 && int(n) < len(s.r.Nodes) {
			m := s.world[n].Mul(&skin.Bind[j])
			all = append(all, m)
			for c := range m {
				mean[c] += m[c]
			}
		}
	}
	for c := range mean {
		mean[c] /= float64(len(all))
	}
	size := s.w.Exam.Size()
	one := len(all) > 0 && v.Is("scale") && v.Is("turn") && v.Is("shift")
	for _, m := range all {
		for c := range m {
			slack := 1e-4
			if c%4 == 3 {
				slack *= size
			}
			one = one && math.Abs(m[c]-mean[c]) <= slack*max(1e-9, math.Cbrt(math.Abs(mean.Det())), b2f(c%4 == 3))
		}
	}
	if one && mean.Det() != 0 {
		return s.whole.Mul(&mean)
	}
	k := space.Vec{1, 1, 1}
	for j, n := range skin.Joints {
		if n >= 0 && int(n) < len(s.r.Nodes) {
			k = clean(times(s.c[n], skin.Bind[j].Scales()))
			break
		}
	}
	by := scaling(k.Mul(1 / s.factor))
	return s.whole.Mul(&by)
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func scaling(k space.Vec) rig.Affine { return rig.Affine{0: k[0], 5: k[1], 10: k[2]} }

// clear takes a matrix that is the identity, or a scale, but for rounding as that, so that
// what need not be touched is not.
func (s *scaler) clear(k rig.Affine) rig.Affine {
	size := s.w.Exam.Size()
	scale := clean(space.Vec{k[0], k[5], k[10]})
	most := max(math.Abs(scale[0]), math.Abs(scale[1]), math.Abs(scale[2]))
	for c := range k {
		slack := evenSlack * most
		if c%4 == 3 {
			slack = evenSlack * size
		}
		if c != 0 && c != 5 && c != 10 && math.Abs(k[c]) > slack {
			return k
		}
	}
	return scaling(scale)
}

func times(a, b space.Vec) space.Vec { return space.Vec{a[0] * b[0], a[1] * b[1], a[2] * b[2]} }
func over(a, b space.Vec) space.Vec  { return space.Vec{a[0] / b[0], a[1] / b[1], a[2] / b[2]} }

// signs is F, and mirrored turns a rotation by it: F·R·F.
func mirrored(q space.Quat, by space.Vec) space.Quat {
	f := space.Vec{math.Copysign(1, by[0]), math.Copysign(1, by[1]), math.Copysign(1, by[2])}
	d := f[0] * f[1] * f[2]
	return space.Quat{W: q.W, V: times(q.V, f.Mul(d))}
}

// local is what a node's translation, rotation and scale become.
func (s *scaler) local(n rig.Node, t rig.TRS) rig.TRS {
	g := &s.g[n]
	q := g.turn.Mul(mirrored(space.FromXYZW(t.R), g.scale))
	return rig.TRS{
		T: g.move.Add(g.turn.Rotate(times(g.scale, t.T))),
		R: space.XYZW(q),
		S: over(times(g.scale, t.S), s.c[n]),
	}
}
