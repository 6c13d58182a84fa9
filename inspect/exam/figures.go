package exam

import (
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Figure is one of several figures in a file, with an examination of its own: a rig
// that keeps the file's node numbers and meshes but holds only its own surfaces,
// skins and channels.
type Figure struct {
	Name     string         // in words: figure 1 ("Mara")
	Top      rig.Node       // its topmost joint
	Joints   []rig.Node     // all of them, parents first
	Surfaces []int          // places in the file's Rig.Surfaces, by place in its own
	Vertices [][]rig.Vertex // by place in Surfaces: the mesh's vertices that are its own, in their order; nil: all
	Skins    []rig.Skin     // the same of skins
	Clips    []rig.Clip     // and of clips
	Like     int            // place of the figure that it repeats, −1: none; it is not examined again
	Exam     *Exam          // nil where Like is not −1, or beyond the most that are examined
	of       []Figure       // those in one place that it was made of
}

// fewestJoints of a figure: no kind with limbs has fewer.
const fewestJoints = 6

// mostFigures of one file are examined by themselves. A crowd repeats its figures.
const mostFigures = 12

// mostUnlike skeletons are looked at to see whether they are figures: each takes a walk
// over all nodes.
const mostUnlike = 48

// apartShare of the lower figure's height: two figures whose middles stand nearer along
// the ground are one, the parts of one body, unless each is whole (common practice, no
// source).
const apartShare = 0.3

// Figures answers the figures of a file that holds two or more, nil when it holds one
// or none. A figure is a skeleton of a recognised kind, person, four-legged, winged or
// many-legged, with what hangs on it: surfaces, or shells of a surface that it shares
// with others, or nothing at all in a file of joints alone. Skeletons are parted where
// no shell and no joint that holds one joins them. What stands in one place is one
// figure, but for those of two kinds and people that are whole each by themselves.
func (e *Exam) Figures() []Figure {
	if !e.sought {
		e.sought = true
		if e.inner > mostWithin {
			return nil
		}
		e.figures = e.findFigures()
	}
	return e.figures
}

// mostWithin is how deep figures are looked for within figures: those of a file, and riders of
// those. Each level asks the next for its roles, so without an end a tree of 2,000 joints, where
// every joint may be one that another figure hangs by, takes for ever.
const mostWithin = 1

// partly is the examination of a figure as a part of this one.
func (e *Exam) partly(f *Figure) *Exam {
	own := New(e.part(f))
	own.inner = e.inner + 1
	return own
}

func (e *Exam) findFigures() []Figure {
	if len(e.Rig.Nodes) == 0 {
		return nil
	}
	if len(e.Rig.Surfaces) > 0 && !slices.Contains(e.Rig.Joints(), true) {
		if e.inner > 0 {
			return nil
		}
		all, group := e.standing()
		if all != nil {
			e.nameFigures(all)
			e.findBeside(all, group)
		}
		return all
	}
	group := e.groups(nil, true)
	all := e.apart(group)
	if cuts := e.mounts(all); len(cuts) > 0 {
		g := e.groups(cuts, true)
		if more := e.apart(g); len(more) == max(1, len(all))+len(cuts) {
			group, all = g, more
		}
	}
	if len(all) < 2 {
		if len(all) == 1 {
			e.copies = all[0].of
		}
		e.fused = e.joined()
		return nil
	}
	e.nameFigures(all)
	e.findBeside(all, group)
	return all
}

// apart are the figures of the groups, those in one place made one.
func (e *Exam) apart(group grouping) []Figure {
	if len(group.order) < 2 {
		return nil
	}
	all := e.recognised(group)
	if len(all) > 1 {
		e.adopt(all, group)
		if len(all) <= mostPairs {
			all = e.oneAPlace(all)
		}
	}
	return all
}

// adopt gives a figure the trees that are no figure and whose joints stand in a skin with its own and nobody else's: feet
// that hang on the root beside the hips, as animators set them who draw a leg by its foot.
func (e *Exam) adopt(all []Figure, group grouping) {
	const none, several = -1, -2
	of := make([]int, len(e.Rig.Nodes)) // joint → place in all
	for n := range of {
		of[n] = none
	}
	for i := range all {
		for _, n := range all[i].Joints {
			of[n] = i
		}
	}
	one := func(a, b int) int { // what two speak for together
		if a == none || a == b {
			return b
		}
		if b == none {
			return a
		}
		return several
	}
	speaks := make([]int, len(e.Rig.Nodes)) // joint → the figure in whose skins it stands
	for n := range speaks {
		speaks[n] = none
	}
	for _, s := range e.Rig.Skins {
		owner := none
		for _, n := range s.Joints {
			owner = one(owner, of[n])
		}
		for _, n := range s.Joints {
			speaks[n] = one(speaks[n], owner)
		}
	}
	grown := map[int]bool{}
	for _, g := range group.order {
		joints := group.joints[g]
		if len(joints) == 0 || of[joints[0]] != none {
			continue
		}
		owner := none
		for _, n := range joints {
			owner = one(owner, speaks[n])
		}
		if owner < 0 {
			continue
		}
		f := &all[owner]
		f.Joints = append(slices.Clone(f.Joints), joints...)
		f.take(group.pieces[g])
		grown[owner] = true
	}
	for i := range grown {
		if f := &all[i]; f.Exam != nil {
			f.Skins, f.Clips = nil, nil
			f.Exam = e.partly(f)
		}
	}
}

// Fused is how many whole figures share a shell, so that nothing tells which part of the
// surface is whose; 0 where there is none or they are Figures.
func (e *Exam) Fused() int {
	e.Figures()
	return e.fused
}

// joined counts the whole figures that shells alone join.
func (e *Exam) joined() (n int) {
	group := e.groups(nil, false)
	if len(group.order) < 2 {
		return 0
	}
	all := e.recognised(group)
	var whole []*Exam
	for i := range all {
		own := all[i].Exam
		if own == nil { // its joints are those of another again, elsewhere
			own = e.partly(&Figure{Joints: all[i].Joints, Surfaces: all[i].Surfaces, Vertices: all[i].Vertices})
		}
		if !own.whole() || slices.ContainsFunc(whole, func(o *Exam) bool { return !eachWhole(o, own) }) {
			continue
		}
		if whole = append(whole, own); len(whole) == mostFigures {
			break
		}
	}
	if len(whole) < 2 {
		return 0
	}
	return len(whole)
}

// whole tells that a person lacks no joint that one must have; of other kinds nothing is
// asked.
func (e *Exam) whole() bool {
	r := e.Roles()
	return r.Kind != anatomy.Person || !slices.ContainsFunc(anatomy.Required(), func(role string) bool { return r.Node(role) < 0 })
}

// Bounds of what is tried as a rider: joints in it and beside it, and how many. A person has
// 15 required joints (VRM 1.0), a mount of four legs no fewer; each that is tried costs roles
// worked out anew.
const (
	fewestOfRider = 12
	mostRiders    = 6
)

// mounts are the joints that riders hang by, at most one a figure: of a file that seems to hold one, or of each of a few. A
// figure that repeats another has its rider at the same place.
func (e *Exam) mounts(all []Figure) (cuts []rig.Node) {
	if len(all) < 2 {
		if n := e.mount(); n >= 0 {
			cuts = append(cuts, n)
		}
		return cuts
	}
	place := make([]int, len(all)) // of the joint in the figure's list that a rider hangs by
	for i := range all {
		f := &all[i]
		place[i] = -1
		if f.Like >= 0 {
			place[i] = place[f.Like]
		} else if n := f.Exam.mount(); n >= 0 {
			place[i] = slices.Index(f.Joints, n)
		}
		if k := place[i]; k >= 0 && k < len(f.Joints) {
			cuts = append(cuts, f.Joints[k])
		}
		if f.Exam != nil && f.Exam.moreRiders {
			e.moreRiders = true
		}
	}
	return cuts
}

// mount is the joint by which a figure hangs on another within this one, both whole; None.
func (e *Exam) mount() rig.Node {
	for _, n := range e.mounted() {
		if two := e.apart(e.groups([]rig.Node{n}, true)); len(two) == 2 && two[0].Exam.whole() && two[1].Exam.whole() && eachWhole(two[0].Exam, two[1].Exam) {
			return n
		}
	}
	return rig.None
}

// mounted are joints that a figure may hang by on another: three runs of joints part
// there, and it and what is left are enough for a figure each. Topmost first.
func (e *Exam) mounted() (out []rig.Node) {
	r := e.Rig
	if len(r.Surfaces) == 0 {
		return nil
	}
	isJoint, size, runs := r.Joints(), make([]int32, len(r.Nodes)), make([]int32, len(r.Nodes))
	total := int32(0)
	for _, n := range slices.Backward(r.Order) {
		if isJoint[n] {
			size[n]++
			total++
		}
		if p := r.Nodes[n].Parent; p >= 0 {
			if size[p] += size[n]; size[n] > 1 {
				runs[p]++
			}
		}
	}
	for _, n := range r.Order {
		if p := r.Nodes[n].Parent; p >= 0 && isJoint[n] && runs[n] >= 3 && size[n] >= fewestOfRider && total-size[n] >= fewestOfRider {
			if len(out) == mostRiders {
				e.moreRiders = true
				break
			}
			out = append(out, n)
		}
	}
	return out
}

// recognised makes a figure of each group that is of a kind with limbs.
func (e *Exam) recognised(group grouping) (all []Figure) {
	seen := map[string]int{}
	for _, g := range group.order {
		joints := group.joints[g]
		if len(joints) < fewestJoints {
			continue
		}
		f := Figure{Joints: joints, Top: joints[0], Like: -1}
		f.take(group.pieces[g])
		key := f.key(e.Rig)
		k, ok := seen[key]
		switch {
		case ok && k < 0:
			continue // of no kind
		case !ok && len(seen) >= mostUnlike:
			e.unlike = true
			continue
		case ok:
			f.Like = k
		default:
			seen[key] = -1
			f.Exam = e.partly(&f)
			switch f.Exam.Roles().Kind {
			case anatomy.Person, anatomy.FourLegged, anatomy.Winged, anatomy.ManyLegged:
			default:
				continue
			}
			seen[key] = len(all)
		}
		all = append(all, f)
	}
	return all
}

// take gives a figure what hangs on it.
func (f *Figure) take(pieces []piece) {
	for _, p := range pieces {
		f.Surfaces, f.Vertices = append(f.Surfaces, p.surface), append(f.Vertices, p.vertices)
	}
}

func (f *Figure) pieces() (out []piece) {
	for i, s := range f.Surfaces {
		out = append(out, piece{s, f.Vertices[i]})
	}
	return out
}

// oneAPlace makes one figure of those that stand in one place: a body and its clothes. A file of joints alone has no places: captures rest where they
// like.
func (e *Exam) oneAPlace(all []Figure) []Figure {
	if len(e.Shown()) == 0 {
		return all
	}
	exams := make([]*Exam, len(all)) // of those that repeat another as well: it stands elsewhere
	own := func(i int) *Exam {
		if f := &all[i]; exams[i] == nil && f.Like >= 0 {
			exams[i] = e.partly(&Figure{Joints: f.Joints, Surfaces: f.Surfaces, Vertices: f.Vertices})
		} else if f.Like < 0 {
			return f.Exam
		}
		return exams[i]
	}
	boxes := make([]geom.Box, len(all))
	for i := range all {
		boxes[i] = e.boxOf(&all[i])
	}
	set := geom.NewUnion(len(all))
	joined := false
	for i := range all {
		for k := range i {
			a, b := boxes[i].Center(), boxes[k].Center()
			low := min(boxes[i].Size()[1], boxes[k].Size()[1])
			if !(math.Hypot(a[0]-b[0], a[2]-b[2]) < apartShare*low) || eachWhole(own(i), own(k)) {
				continue
			}
			set.Join(uint32(i), uint32(k))
			joined = true
		}
	}
	if !joined {
		return all
	}
	at, first := map[uint32]int{}, []int{}
	var out []Figure
	for i := range all {
		f, g := &all[i], set.Find(uint32(i))
		k, ok := at[g]
		if !ok {
			at[g], first = len(out), append(first, i)
			if f.Like >= 0 {
				f.Exam, f.Like = nil, -1
			}
			out = append(out, *f)
			continue
		}
		o := &out[k]
		if o.of == nil {
			o.of = []Figure{{Joints: o.Joints, Exam: own(first[k])}}
		}
		o.of = append(o.of, Figure{Joints: f.Joints, Exam: own(i)})
		o.Joints, o.Surfaces, o.Vertices = append(slices.Clone(o.Joints), f.Joints...), append(slices.Clone(o.Surfaces), f.Surfaces...), append(slices.Clone(o.Vertices), f.Vertices...)
		o.Exam = nil
	}
	for i := range out {
		if f := &out[i]; f.Exam == nil {
			f.Skins, f.Clips = nil, nil
			f.Exam = e.partly(f)
			f.Exam.copies = f.of
		}
	}
	return out
}

// sameBody of the height: two skeletons whose joints of one role lie nearer than this, in
// the mean, move one body (common practice, no source).
const sameBody = 0.05

// eachWhole tells two figures that stand in one place and are two all the same: a rider
// and the mount, which are of two kinds, and people who embrace: both have trunk, head,
// arms and legs, and the joints of the one are not those of the other again.
func eachWhole(a, b *Exam) bool {
	p, q := a.Roles(), b.Roles()
	if p.Kind != q.Kind {
		return true
	}
	if p.Kind != anatomy.Person {
		return beasts(a, b)
	}
	sum, n := 0.0, 0.0
	for _, role := range anatomy.Required() {
		i, k := p.Node(role), q.Node(role)
		if i < 0 || k < 0 {
			return false
		}
		a, b := p.Position(i), q.Position(k)
		sum, n = sum+math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2]), n+1
	}
	return sum > sameBody*n*min(a.Height(), b.Height())
}

// mostOfBeast joints are held against each other.
const mostOfBeast = 400

// beasts tells the same of two figures of one kind that has no roles to go by: the joints of
// one do not stand where those of the other do.
func beasts(a, b *Exam) bool {
	places := func(e *Exam) (out []space.Vec) {
		world := e.RestWorld()
		for n, is := range e.Rig.Joints() {
			if at := world[n].Origin(); is && space.Finite(at) && len(out) < mostOfBeast {
				out = append(out, at)
			}
		}
		return out
	}
	p, q := places(a), places(b)
	if len(p) == 0 || len(q) == 0 {
		return false
	}
	far := func(from, to []space.Vec) (sum float64) {
		for _, x := range from {
			least := math.Inf(1)
			for _, y := range to {
				least = min(least, x.Sub(y).Len())
			}
			sum += least
		}
		return sum / float64(len(from))
	}
	// What one skeleton has more, a saddle's joints, is no other body: both ways must be far.
	return min(far(p, q), far(q, p)) > sameBody*min(a.Height(), b.Height())
}

// boxOf is the box of a figure at rest, world, metres.
func (e *Exam) boxOf(f *Figure) geom.Box {
	b := geom.EmptyBox()
	for i, s := range f.Surfaces {
		if f.Vertices[i] == nil {
			b = b.Union(e.SurfaceBox(s))
			continue
		}
		rest := e.RestPositions(s)
		for _, v := range f.Vertices[i] {
			at := space.At(rest, v)
			if sum := at[0] + at[1] + at[2]; sum-sum == 0 {
				b.Add(at)
			}
		}
	}
	return b
}

// nameFigures numbers the figures and leaves out the examinations that nobody makes.
func (e *Exam) nameFigures(all []Figure) {
	own := 0
	for i := range all {
		f := &all[i]
		f.Name = fmt.Sprintf("figure %d", i+1)
		name := ""
		if len(f.Surfaces) == 0 {
			name = e.Rig.Nodes[f.Top].Name
		} else if f.Vertices[0] == nil {
			name = e.Rig.Nodes[e.Rig.Surfaces[f.Surfaces[0]].Node].Name
		}
		if name != "" {
			f.Name += fmt.Sprintf(" (%q)", name)
		}
		if own++; f.Like >= 0 || own > mostFigures {
			f.Exam = nil
		}
	}
}

// findBeside gathers what is shown and no figure's.
func (e *Exam) findBeside(all []Figure, group grouping) {
	type key struct{ surface, first int }
	of := func(p piece) key {
		if p.vertices == nil {
			return key{p.surface, 0}
		}
		return key{p.surface, int(p.vertices[0])}
	}
	taken := map[key]bool{}
	for i := range all {
		for _, p := range all[i].pieces() {
			taken[of(p)] = true
		}
	}
	rest := Figure{Name: "beside the figures", Top: rig.None, Like: -1}
	for _, p := range group.all {
		if !taken[of(p)] {
			rest.take([]piece{p})
		}
	}
	if len(rest.Surfaces) > 0 {
		rest.Exam = e.partly(&rest)
		e.beside = &rest
	}
}

// Beside is what is shown in a file of several figures and belongs to none; nil where
// there is nothing of that kind. It has no joints of its own.
func (e *Exam) Beside() *Figure {
	e.Figures()
	return e.beside
}

// mostPairs is how many figures are held against each other; more are a crowd.
const mostPairs = 100

// key is alike for figures that are instances of one: the same meshes in the same
// order, as many joints, of the same names. A part of a surface is like no other.
func (f *Figure) key(r *rig.Rig) string {
	b := []byte{}
	for i, s := range f.Surfaces {
		b = fmt.Appendf(b, "%d ", r.Surfaces[s].Mesh)
		if v := f.Vertices[i]; v != nil {
			b = fmt.Appendf(b, "from %d of %d ", v[0], s)
		}
	}
	if len(f.Surfaces) == 0 {
		b = fmt.Appendf(b, "top %d ", f.Top)
	}
	for _, n := range f.Joints {
		b = fmt.Appendf(b, "|%s", r.Nodes[n].Name)
	}
	return string(b)
}
