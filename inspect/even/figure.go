package even

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Wants says what is to be made alike.
type Wants struct {
	From    Giver
	Limits  Limits
	Places  bool  // positions, with normals and morph targets
	Weights bool  // partners exchanged
	Apart   []int // surfaces, by place in Rig.Surfaces, that are left alone beside the gear
}

// Figure is a rig whose sides were made alike, and what that took.
type Figure struct {
	Rig    *rig.Rig // shares what did not change with the old one
	Pairs  *Pairs
	Drawn  *Drawn
	Shape  *Shape
	Mirror *exam.Mirror

	Meshes    []rig.Mesh // that changed, in order
	Normals   int        // stored vertices whose normals changed
	Weighted  int        // stored vertices whose weights changed
	NoRoom    int        // whose weights did not fit into their slots, left as they were
	NoJoint   int        // whose partner's joint is no joint of their skin, left
	LeftWhole []string   // surfaces left alone, each with the reason
	LeftMorph []string   // morph targets that differ by side on purpose
}

// Refused says, in words for a person, why the sides cannot be made alike.
type Refused struct{ Words string }

func (r *Refused) Error() string { return r.Words }

func refuse(format string, a ...any) error { return &Refused{fmt.Sprintf(format, a...)} }

// ShapeOf is the body at rest with its mirror plane. Left alone are surfaces that have no
// skin in a file whose figure has one, surfaces whose mesh several wear (one place cannot
// be on two sides), vertices that no joint binds, and whatever is named.
func ShapeOf(e *exam.Exam, apart []int) (*Shape, []string, error) {
	m := e.Mirror()
	if reason := m.PlaneDoubt(); reason != "" {
		return nil, nil, refuse("The sides cannot be told: %s.", reason)
	}
	r := e.Rig
	s := &Shape{Points: m.Places, Plane: m.Plane, Sure: m.Partner, Reach: m.Reach, Apart: make([]bool, len(m.Vertex)), Height: e.Height()}
	worn := map[rig.Mesh]int{}
	bound := false
	for i := range r.Surfaces {
		worn[r.Surfaces[i].Mesh]++
		bound = bound || r.Surfaces[i].Skin >= 0
	}
	var left []string
	skip := make([]bool, len(r.Surfaces))
	sets := setsOf(r)
	for i := range r.Surfaces {
		switch {
		case m.Point[i] == nil:
			skip[i] = true
		case slices.Contains(apart, i):
			skip[i], left = true, append(left, e.SurfaceName(i)+" was marked")
		case bound && r.Surfaces[i].Skin < 0:
			skip[i], left = true, append(left, e.SurfaceName(i)+" has no skin")
		case worn[r.Surfaces[i].Mesh] > 1:
			skip[i], left = true, append(left, e.SurfaceName(i)+" shares its mesh with another surface")
		}
	}
	var gear []string
	for _, g := range e.Gear() {
		gear = append(gear, e.SurfaceName(g))
	}
	switch {
	case len(gear) == 1:
		left = append(left, gear[0]+" is gear")
	case len(gear) > 1:
		left = append(left, exam.Listed(gear)+" are gear")
	}
	for i, surface := range m.Surface {
		s.Apart[i] = skip[surface] || !binds(r, int(surface), m.Vertex[i], sets[r.Surfaces[surface].Mesh])
	}
	for i, surface := range r.Surfaces {
		if m.Point[i] == nil {
			continue
		}
		for _, v := range r.Meshes[surface.Mesh].Triangles {
			s.Triangles = append(s.Triangles, uint32(m.Point[i][v]))
		}
	}
	return s, left, nil
}

// binds tells that something says where a vertex goes: a joint, or its node.
func binds(r *rig.Rig, surface int, v rig.Vertex, sets []uint8) bool {
	s := r.Surfaces[surface]
	m := &r.Meshes[s.Mesh]
	if s.Skin < 0 || sets[v] == 0 {
		return true
	}
	sum := 0.0
	for k := int(v) * m.K; k < (int(v)+1)*m.K; k++ {
		if w := float64(m.Weights[k]); w > 0 && int(m.Joints[k]) < len(r.Skins[s.Skin].Joints) {
			sum += w
		}
	}
	return sum > leastWeight && sum-sum == 0
}

// leastWeight is the sum from which a vertex counts as bound: files store rests of rounding
// (a byte holds 1/255) on vertices that nothing holds.
const leastWeight = 0.01

// setsOf holds rig.MeshData.SetsOf of every mesh.
func setsOf(r *rig.Rig) [][]uint8 {
	out := make([][]uint8, len(r.Meshes))
	for i := range out {
		out[i] = r.Meshes[i].SetsOf()
	}
	return out
}

// Alike makes the sides of the body alike.
func Alike(e *exam.Exam, w Wants) (*Figure, error) {
	shape, left, err := ShapeOf(e, w.Apart)
	if err != nil {
		return nil, err
	}
	f := &Figure{Shape: shape, Pairs: Pair(shape, w.Limits), Mirror: e.Mirror(), LeftWhole: left}
	if c := f.Pairs.Count; c[Sure]+c[OfShell]+c[Grown] == 0 {
		return nil, refuse("No part of the figure has enough partners: over %s of each has none. Mirror one half instead, or mark what differs on purpose.", say.Quantity(w.Limits.Uneven, say.Share))
	}
	limits := w.Limits
	if !w.Places {
		limits.Move = 0 // everybody who would move is let go
	}
	f.Drawn = Draw(shape, f.Pairs, w.From, limits)
	if !w.Places {
		f.Drawn.LetGo = nil
	}
	a := &applier{e: e, w: w, f: f, old: e.Rig, opposite: e.Opposite(), world: e.RestWorld(), sets: setsOf(e.Rig)}
	a.run()
	return f, nil
}

// applier writes what was drawn into a copy of the rig.
type applier struct {
	e        *exam.Exam
	w        Wants
	f        *Figure
	old      *rig.Rig
	opposite []rig.Node
	world    []rig.Affine
	sets     [][]uint8
	members  [][]int32 // point → stored vertices of its surface
	touched  []bool
	gone     []bool // by point
	mate     [][]int
}

func (a *applier) run() {
	old, m := a.old, a.f.Mirror
	out := *old
	out.Meshes = slices.Clone(old.Meshes)
	a.f.Rig = &out
	a.touched = make([]bool, len(old.Meshes))
	a.members = make([][]int32, len(m.Vertex))
	for s := range old.Surfaces {
		for v, i := range m.Point[s] {
			if i >= 0 {
				a.members[i] = append(a.members[i], int32(v))
			}
		}
	}
	a.gone = make([]bool, len(m.Vertex))
	for _, g := range a.f.Drawn.LetGo {
		a.gone[g.A], a.gone[g.B] = true, true
	}
	if a.w.Places {
		a.matchMorphs()
	}
	p := a.f.Pairs
	// Weights first: a place is worked out with the weights that it will have.
	if a.w.Weights {
		for i, j := range p.Of {
			if j >= 0 && !a.gone[i] {
				a.weights(int32(i), j)
			}
		}
	}
	if a.w.Places {
		for i, j := range p.Of {
			if j >= 0 && !a.gone[i] {
				a.morphs(int32(i), j)
			}
		}
		for i, j := range p.Of {
			if j >= 0 && !a.gone[i] {
				a.place(int32(i))
				a.normals(int32(i), j)
			}
		}
	}
	for i := range a.touched {
		if a.touched[i] {
			out.Meshes[i].Remeasure()
			a.f.Meshes = append(a.f.Meshes, rig.Mesh(i))
		}
	}
}

// mesh answers the copy of a mesh that may be written to.
func (a *applier) mesh(m rig.Mesh) *rig.MeshData {
	x := &a.f.Rig.Meshes[m]
	if !a.touched[m] {
		a.touched[m] = true
		x.Primitives = slices.Clone(x.Primitives)
		x.Positions, x.Normals = slices.Clone(x.Positions), slices.Clone(x.Normals)
		x.Joints, x.Weights = slices.Clone(x.Joints), slices.Clone(x.Weights)
		x.Targets = slices.Clone(x.Targets)
		for t := range x.Targets {
			x.Targets[t].Positions, x.Targets[t].Normals = slices.Clone(x.Targets[t].Positions), slices.Clone(x.Targets[t].Normals)
		}
	}
	return x
}

func (a *applier) meshOf(point int32) rig.Mesh {
	return a.old.Surfaces[a.f.Mirror.Surface[point]].Mesh
}

// copies tells that a place of a pair takes over what its partner has.
func (a *applier) copies(i, j int32) bool {
	return i != j && a.w.From != Mean && !Gives(a.f.Shape, a.f.Pairs, a.w.From, i)
}

// matrix is what carries a stored vertex to the world at rest, by the rig's own weights
// made whole.
func (a *applier) matrix(r *rig.Rig, surface int, v int32) rig.Affine {
	s := r.Surfaces[surface]
	m := &r.Meshes[s.Mesh]
	if s.Skin < 0 || a.sets[s.Mesh][v] == 0 {
		return a.world[s.Node]
	}
	k := int(v) * m.K
	return mixed(a.world, &r.Skins[s.Skin], m.Joints[k:k+m.K], m.Weights[k:k+m.K])
}

// mixed is the linear blend of what a vertex's joints carry it by at rest, the weights made
// whole; joints beyond the list have no say. World, one a node.
func mixed(world []rig.Affine, skin *rig.SkinData, joints []uint16, weights []float32) (sum rig.Affine) {
	total := 0.0
	for k, x := range weights {
		w, j := float64(x), int(joints[k])
		if !(w > 0) || j >= len(skin.Joints) {
			continue
		}
		b := world[skin.Joints[j]]
		if j < len(skin.Bind) {
			b = b.Mul(&skin.Bind[j])
		}
		for c := range sum {
			sum[c] += w * b[c]
		}
		total += w
	}
	if total > 0 {
		for c := range sum {
			sum[c] /= total
		}
	}
	return sum
}

// stored answers the vertex in its mesh's space with the morph weights that it has at rest.
func (a *applier) stored(r *rig.Rig, surface int, v int32) space.Vec {
	s := r.Surfaces[surface]
	m := &r.Meshes[s.Mesh]
	p := space.At(m.Positions, int(v))
	weights := m.Morph
	if w := r.Nodes[s.Node].Weights; w != nil {
		weights = w
	}
	for t, w := range weights {
		if w != 0 && t < len(m.Targets) && m.Targets[t].Positions != nil {
			p = p.Add(space.At(m.Targets[t].Positions, int(v)).Mul(float64(w)))
		}
	}
	return p
}

// place moves the stored vertices of one place to where it was drawn.
func (a *applier) place(i int32) {
	surface := int(a.f.Mirror.Surface[i])
	d := a.f.Drawn.Points[3*i : 3*i+3]
	old := a.f.Shape.Points[3*i : 3*i+3]
	first := a.members[i][0]
	goal := space.Vec{float64(d[0]), float64(d[1]), float64(d[2])}
	if d[0] == old[0] && d[1] == old[1] && d[2] == old[2] {
		// Other weights or morph targets may have moved what was not drawn.
		if !a.touched[a.meshOf(i)] {
			return
		}
		was, is := a.matrix(a.old, surface, first), a.matrix(a.f.Rig, surface, first)
		if was == is && a.stored(a.old, surface, first) == a.stored(a.f.Rig, surface, first) {
			return
		}
		if now := is.Point(a.stored(a.f.Rig, surface, first)); now.Sub(goal).Len() < leastMove*a.f.Shape.Height {
			return
		}
	}
	now := a.matrix(a.f.Rig, surface, first)
	back, ok := now.Inverse()
	if !ok {
		return
	}
	by := back.Direction(goal.Sub(now.Point(a.stored(a.f.Rig, surface, first))))
	m := a.mesh(a.meshOf(i))
	at := space.At(m.Positions, int(first)).Add(by)
	for _, v := range a.members[i] {
		for c := range 3 {
			m.Positions[3*int(v)+c] = float32(at[c])
		}
	}
}

// like answers which stored vertex of one place stands for a stored vertex of the place
// opposite: the one whose normal is nearest to the mirror image, the first among equals.
func (a *applier) like(i, j int32, v int32) int32 {
	list := a.members[j]
	if len(list) == 1 {
		return list[0]
	}
	n, ok := a.normal(a.old, i, v)
	if !ok {
		return list[0]
	}
	best, most := list[0], -2.0
	for _, u := range list {
		if x, ok := a.normal(a.old, j, u); ok {
			if d := a.flip(x).Dot(n); d > most+1e-6 {
				best, most = u, d
			}
		}
	}
	return best
}

// flip mirrors a direction.
func (a *applier) flip(d space.Vec) space.Vec {
	n := space.Vec(a.f.Shape.Plane.Normal)
	return d.Sub(n.Mul(2 * d.Dot(n)))
}

// normal is that of a stored vertex in the world.
func (a *applier) normal(r *rig.Rig, i int32, v int32) (space.Vec, bool) {
	surface := int(a.f.Mirror.Surface[i])
	m := &r.Meshes[r.Surfaces[surface].Mesh]
	if m.Normals == nil {
		return space.Vec{}, false
	}
	b := a.matrix(r, surface, v)
	back, ok := b.Inverse()
	if !ok {
		return space.Vec{}, false
	}
	return space.Unit(across(&back, space.At(m.Normals, int(v))))
}

// across multiplies by the transposed 3×3 part.
func across(b *rig.Affine, n space.Vec) space.Vec {
	return space.Vec{
		b[0]*n[0] + b[4]*n[1] + b[8]*n[2],
		b[1]*n[0] + b[5]*n[1] + b[9]*n[2],
		b[2]*n[0] + b[6]*n[1] + b[10]*n[2],
	}
}

// How far normals may be apart to be those of one vertex, cosine, and to be the same.
const (
	oneNormal  = 0.5      // 60°: a hard edge parts farther (common practice, no source)
	sameNormal = 1 - 1e-8 // 0.008°: some roundings of a unit float32 vector
)

// normals gives the stored vertices of a place the mirrored normals of those opposite;
// on the plane they are laid on it, unless an edge is meant.
func (a *applier) normals(i, j int32) {
	if i != j && !a.copies(i, j) {
		return
	}
	for _, v := range a.members[i] {
		was, ok := a.normal(a.old, i, v)
		if !ok {
			continue
		}
		var to space.Vec
		if i == j {
			n := space.Vec(a.f.Shape.Plane.Normal)
			to, ok = space.Unit(was.Sub(n.Mul(was.Dot(n))))
		} else if to, ok = a.normal(a.old, j, a.like(i, j, v)); ok {
			to = a.flip(to)
		}
		if d := to.Dot(was); !ok || d < oneNormal || d > sameNormal {
			continue
		}
		m := a.mesh(a.meshOf(i))
		b := a.matrix(a.f.Rig, int(a.f.Mirror.Surface[i]), v)
		if n, ok := space.Unit(across(&b, to)); ok {
			for c := range 3 {
				m.Normals[3*int(v)+c] = float32(n[c])
			}
			a.f.Normals++
		}
	}
}

// sameWeights is how far the weights of two vertices may differ in all and be the same:
// what 8 bits round to.
const sameWeights = 1. / 255

// weights gives the stored vertices of a place the weights of those opposite, partners
// exchanged; on the plane the mean of their own and the exchanged.
func (a *applier) weights(i, j int32) {
	if i != j && !a.copies(i, j) {
		return
	}
	surface, other := int(a.f.Mirror.Surface[i]), int(a.f.Mirror.Surface[j])
	s, o := a.old.Surfaces[surface], a.old.Surfaces[other]
	if s.Skin < 0 || o.Skin < 0 {
		return
	}
	joints := a.old.Skins[s.Skin].Joints
	for _, v := range a.members[i] {
		room := 4 * int(a.sets[s.Mesh][v])
		if room == 0 {
			continue
		}
		own := held(a.old, surface, v)
		var want []share
		if i == j {
			for _, x := range own {
				want = append(want, share{x.node, x.weight / 2}, share{a.opposite[x.node], x.weight / 2})
			}
		} else {
			for _, x := range held(a.old, other, a.like(i, j, v)) {
				want = append(want, share{a.opposite[x.node], x.weight})
			}
		}
		if want = gathered(want); len(want) == 0 || apart(own, want) <= sameWeights {
			continue
		}
		if len(want) > room {
			if want = a.fewer(want, room); want == nil {
				a.f.NoRoom++
				continue
			}
		}
		index := make([]int, len(want))
		missing := false
		for k, x := range want {
			index[k] = slices.Index(joints, x.node)
			missing = missing || index[k] < 0
		}
		if missing {
			a.f.NoJoint++
			continue
		}
		m := a.mesh(s.Mesh)
		from := int(v) * m.K
		clear(m.Joints[from : from+m.K])
		clear(m.Weights[from : from+m.K])
		for k, x := range want {
			m.Joints[from+k], m.Weights[from+k] = uint16(index[k]), float32(x.weight)
		}
		a.f.Weighted++
	}
}

// share is what a vertex has on a node.
type share struct {
	node   rig.Node
	weight float64
}

func held(r *rig.Rig, surface int, v int32) (out []share) {
	s := r.Surfaces[surface]
	m, joints := &r.Meshes[s.Mesh], r.Skins[s.Skin].Joints
	for k := int(v) * m.K; k < (int(v)+1)*m.K; k++ {
		if w, j := float64(m.Weights[k]), int(m.Joints[k]); w > 0 && j < len(joints) {
			out = append(out, share{joints[j], w})
		}
	}
	return out
}

// gathered adds up shares of one node, the largest first.
func gathered(list []share) (out []share) {
	for _, x := range list {
		if k := slices.IndexFunc(out, func(y share) bool { return y.node == x.node }); k >= 0 {
			out[k].weight += x.weight
		} else {
			out = append(out, x)
		}
	}
	slices.SortStableFunc(out, func(a, b share) int {
		return cmp.Or(cmp.Compare(b.weight, a.weight), cmp.Compare(a.node, b.node))
	})
	return out
}

func apart(a, b []share) float64 {
	sum := 0.0
	for _, x := range gathered(append(slices.Clone(a), negative(b)...)) {
		sum += math.Abs(x.weight)
	}
	return sum
}

func negative(list []share) []share {
	out := slices.Clone(list)
	for i := range out {
		out[i].weight = -out[i].weight
	}
	return out
}

// mostLost is the weight that may be dropped to fit the slots of a file.
const mostLost = 0.1

// fewer drops the smallest shares, partners together, until the rest fits, and gives their
// weight to what stays; nil where more would be lost than may.
func (a *applier) fewer(list []share, room int) []share {
	list = slices.Clone(list)
	sum, lost := 0.0, 0.0
	for _, x := range list {
		sum += x.weight
	}
	for len(list) > room {
		last := list[len(list)-1]
		before := len(list)
		list = slices.DeleteFunc(list, func(x share) bool {
			if x.node == last.node || x.node == a.opposite[last.node] && math.Abs(x.weight-last.weight) < 1e-6 {
				lost += x.weight
				return true
			}
			return false
		})
		if len(list) == before {
			return nil
		}
	}
	if len(list) == 0 || lost > mostLost*sum {
		return nil
	}
	for k := range list {
		list[k].weight *= sum / (sum - lost)
	}
	return list
}

// onPurpose is the share of a morph target's displacements that may differ between sure
// pairs before it counts as one that differs by side on purpose (common practice, no
// source).
const onPurpose = 0.2

// matchMorphs finds for each morph target the one that does the same on the other side: by
// name, else itself where it is alike on both sides; −1 where it is not.
func (a *applier) matchMorphs() {
	a.mate = make([][]int, len(a.old.Meshes))
	for m := range a.old.Meshes {
		mesh := &a.old.Meshes[m]
		names := make([]string, len(mesh.Targets))
		for t := range names {
			names[t] = mesh.Targets[t].Name
		}
		a.mate[m] = anatomy.NamesOpposite(names)
		for t, u := range a.mate[m] {
			if u < 0 {
				a.mate[m][t] = t
			}
		}
		for t := range mesh.Targets {
			if u := a.mate[m][t]; mesh.Targets[t].Positions == nil || mesh.Targets[u].Positions == nil {
				a.mate[m][t] = -1
			}
		}
		for t := range mesh.Targets {
			if u := a.mate[m][t]; u >= 0 && !a.morphAlike(rig.Mesh(m), t, u) {
				a.mate[m][t] = -1
				if name := mesh.Targets[t].Name; name != "" {
					a.f.LeftMorph = append(a.f.LeftMorph, fmt.Sprintf("%q", name))
				} else {
					a.f.LeftMorph = append(a.f.LeftMorph, fmt.Sprintf("morph target %d", t))
				}
			}
		}
	}
}

// morphAlike tells that a target is the mirror image of another over the sure pairs.
func (a *applier) morphAlike(m rig.Mesh, t, u int) bool {
	p := a.f.Pairs
	off, all := 0.0, 0.0
	for i, j := range p.Of {
		if j < int32(i) || p.How[i] != Sure || a.meshOf(int32(i)) != m || a.meshOf(j) != m {
			continue
		}
		x, y := a.displaced(int32(i), t), a.displaced(j, u)
		off += x.Sub(a.flip(y)).Len()
		all += x.Len() + y.Len()
	}
	return off <= onPurpose*all
}

// displaced is how a target moves a place, in the world.
func (a *applier) displaced(i int32, t int) space.Vec {
	surface, v := int(a.f.Mirror.Surface[i]), a.members[i][0]
	b := a.matrix(a.old, surface, v)
	return b.Direction(space.At(a.old.Meshes[a.meshOf(i)].Targets[t].Positions, int(v)))
}

// morphs gives a place the mirrored displacements of the place opposite.
func (a *applier) morphs(i, j int32) {
	m := a.meshOf(i)
	if len(a.old.Meshes[m].Targets) == 0 || a.meshOf(j) != m || i != j && !a.copies(i, j) {
		return
	}
	surface := int(a.f.Mirror.Surface[i])
	for t, u := range a.mate[m] {
		if u < 0 {
			continue
		}
		was := a.displaced(i, t)
		to := a.flip(a.displaced(j, u))
		if i == j {
			to = was.Add(to).Mul(0.5)
		}
		if to.Sub(was).Len() < leastMove*a.f.Shape.Height {
			continue
		}
		x := a.mesh(m)
		for _, v := range a.members[i] {
			b := a.matrix(a.f.Rig, surface, v)
			back, ok := b.Inverse()
			if !ok {
				continue
			}
			d := back.Direction(to)
			for c := range 3 {
				x.Targets[t].Positions[3*int(v)+c] = float32(d[c])
			}
		}
	}
}

// Unpaired says in words how many places of the body have no partner and what they belong
// to; "" where all have one.
func (f *Figure) Unpaired(names []string) string {
	count, of := 0, map[int32]int{}
	for i, j := range f.Pairs.Of {
		if j < 0 {
			count++
			of[f.Mirror.Surface[i]]++
		}
	}
	if count == 0 {
		return ""
	}
	var list []int32
	for s := range of {
		list = append(list, s)
	}
	slices.SortFunc(list, func(a, b int32) int { return cmp.Or(cmp.Compare(of[b], of[a]), cmp.Compare(a, b)) })
	var words []string
	for _, s := range list[:min(len(list), 3)] {
		words = append(words, names[s])
	}
	vertices, have, they := say.Count(count, "vertex", "vertices"), say.Word(count, "has", "have"), say.Word(count, "it belongs", "they belong")
	more := ""
	if n := len(list) - len(words); n > 0 {
		more = fmt.Sprintf(" and %d more", n)
	}
	return fmt.Sprintf("%s %s no partner; %s to %s%s. Left as they are.", vertices, have, they, strings.Join(words, ", "), more)
}

// Maps answers for each mesh how tangents turn, one 3×4 matrix a vertex: as the normals
// did; nil where none of the mesh's changed.
func (f *Figure) Maps(was *rig.Rig) [][]float32 {
	out := make([][]float32, len(was.Meshes))
	for _, m := range f.Meshes {
		a, b := was.Meshes[m].Normals, f.Rig.Meshes[m].Normals
		if a == nil || slices.Equal(a, b) {
			continue
		}
		maps := make([]float32, 4*len(a))
		for v := range len(a) / 3 {
			turn := rig.TRS{R: space.XYZW(space.Between(space.At(a, v), space.At(b, v))), S: [3]float64{1, 1, 1}}
			x := turn.Affine()
			row := x.Float32()
			copy(maps[12*v:], row[:])
		}
		out[m] = maps
	}
	return out
}
