package mend

import (
	"math"
	"slices"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/match"
	"rigloupe/inspect/part"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Ways to lay a part on, to weigh it, and which joints come with it.
const (
	layByRoles = "by roles"
	layBySize  = "by size"
	layAsIs    = "as it stands"

	fromUnder = "what is under it"
	fromOwn   = "its own"

	hangChains = "chains"
	hangAll    = "all"
	hangNone   = "none"
)

var takePart = Mend{
	ID:     "part",
	Title:  "Take a part",
	Stage:  Part,
	Beside: []string{"intake/nothing-bound", "surface/ready-to-bind"},
	Does: "Surfaces of another figure come onto this one: laid on by the joints of like role, with their materials and pictures. " +
		"They take the weights of what is under them; joints that hold them and that the figure lacks are hung on. What they cover can be hidden, and what would stick out of them comes out.",
	Source: "Horn 1987 and Umeyama 1991 (laying on); Jacobson et al. 2013 (inside by winding number); Abdrashitov et al. 2023 (weights of the nearest point, the rest filled in biharmonically)",
	Parameters: []Parameter{
		{Name: "from", Title: "From", Kind: File, Says: "The second file, by name; none: the only one at hand."},
		{Name: "surfaces", Title: "Surfaces", Kind: List, Default: []string{}, Says: "Names of the second figure's surfaces to take. #3 is the third."},
		{Name: "over", Title: "Laid over", Kind: List, Default: []string{}, Says: "Names of this figure's surfaces that they are laid over; none: the body."},
		{Name: "lay", Title: "Laid on", Kind: Choice, Choices: []string{layByRoles, layBySize, layAsIs}, Default: layByRoles, Says: "By joints of like role; by the height of both bodies, feet on feet; or where it stands in its own file."},
		{Name: "bend", Title: "Limb by limb", Kind: Truth, Default: true, Where: where("lay", layByRoles), Says: "What each joint holds is turned and drawn out to where that joint is here: sleeves follow arms that stand otherwise."},
		{Name: "factor", Title: "Factor", Kind: Number, Unit: say.Factor, Least: 1e-4, Most: 1e4, Says: "How many times as large as in its own file."},
		{Name: "up", Title: "Up", Kind: Number, Unit: say.Share, Default: 0.0, Least: -1, Most: 1, Says: "How far up it is moved then, in heights of the figure."},
		{Name: "forward", Title: "Forward", Kind: Number, Unit: say.Share, Default: 0.0, Least: -1, Most: 1, Says: "How far forward, in heights of the figure."},
		{Name: "weights", Title: "Weights", Kind: Choice, Choices: []string{fromUnder, fromOwn}, Default: fromUnder, Says: "Those of the surface under it, or its own, by joints of like role."},
		{Name: "near", Title: "Near", Kind: Number, Unit: say.Share, Default: 0.05, Least: 0.001, Most: 0.5, Where: where("weights", fromUnder), Says: "How far off the surface a place may be and take its weights, in diagonals of the figure; the others are filled in between."},
		{Name: "joints", Title: "Joints hung on", Kind: Choice, Choices: []string{hangChains, hangAll, hangNone}, Default: hangChains, Says: "Of the joints that hold it and that the figure lacks: those of chains, all, or none."},
		{Name: "onto", Title: "Hangs on", Kind: Text, Default: "", Where: where("joints", hangChains, hangAll), Says: "The joint of this figure that joints hang on which hung on nothing there; none: the one that holds what they are laid beside."},
		{Name: "hide", Title: "Hide below", Kind: Number, Unit: say.Share, Default: 0.0, Least: 0, Most: 0.1, Says: "What it covers and lies deeper under it than this, in heights, is taken out; 0: nothing."},
		{Name: "out", Title: "Bring out", Kind: Number, Unit: say.Share, Default: 0.0, Least: 0, Most: 0.02, Says: "How far, in heights, a place of it that lies under the surface may be moved to come out; 0: not at all."},
	},
	// Only a person knows what a figure is to wear.
	Suggest: func(*Findings) []Values { return nil },
	Apply: func(w *Work) error {
		p := &parter{w: w, joint: map[rig.Node]int{}, hung: map[rig.Node]int{}}
		for _, step := range []func() error{p.choose, p.stand, p.lay, p.under, p.out, p.weigh, p.write, p.hide} {
			if err := step(); err != nil {
				return err
			}
		}
		p.tell()
		return nil
	},
}

// parter brings surfaces of one file onto the figure of another.
type parter struct {
	w     *Work
	b     *State     // the second figure
	other *exam.Exam // of it

	pieces []*piece
	match  *match.Match
	laid   part.Laid
	middle space.Vec // of the part, laid on

	nodes []rig.Node       // joints of the figure
	joint map[rig.Node]int // their places there
	lacks []rig.Node       // joints of the other figure that come with it, parents first
	hung  map[rig.Node]int // their places behind nodes

	onto    rig.Node // that what hung on nothing hangs on; None: what it is laid beside
	sources []int    // surfaces of the figure that it is laid over
	over    *part.Over
	rows    *bind.Rows // by place of over
	bound   bool       // some place of it has weights

	points []float32 // the part's places, welded
	corner []uint32
	weight *bind.Rows // by place: joints of nodes, then of lacks
	ways   []part.Way
	came   int          // places that came out
	stayed int          // that lie too deep for it
	hidden int          // triangles taken out under it
	world  []rig.Affine // of all joints at rest
}

// piece is one surface of the other figure.
type piece struct {
	surface int
	at      []float32    // 3·V, world: of its own figure, then laid on
	axes    [3][]float32 // where the unit directions of its mesh go there
	place   []uint32     // vertex → place
}

// choose finds the second figure and its surfaces.
func (p *parter) choose() (err error) {
	w := p.w
	if p.b, err = w.second("from"); err != nil {
		return err
	}
	p.other = p.b.looked()
	names := w.Values.List("surfaces")
	if len(names) == 0 {
		var all []string
		for i := range p.b.Rig.Surfaces {
			all = append(all, surfaceName(p.b.Rig, i))
		}
		if len(all) == 0 {
			return w.Refuse("The second file holds no surface.")
		}
		return w.Refuse("Say which of its surfaces to take: %s.", exam.Listed(all))
	}
	seen := map[int]bool{}
	for _, name := range names {
		i := SurfaceNamed(p.b.Rig, name)
		if i < 0 {
			return w.Refuse("The second file has no surface %q.", name)
		}
		m := &p.b.Rig.Meshes[p.b.Rig.Surfaces[i].Mesh]
		switch {
		case seen[i]:
			continue
		case packedMesh(p.b.Doc, int(p.b.Rig.Surfaces[i].Mesh), len(m.Primitives)):
			return w.Refuse("The vertices of %q are packed: unpack that file first.", name)
		case len(m.Triangles) == 0:
			return w.Refuse("%q has no triangle.", name)
		}
		seen[i] = true
		p.pieces = append(p.pieces, &piece{surface: i})
	}
	p.nodes = SkeletonOf(w.Rig)
	for j, n := range p.nodes {
		p.joint[n] = j
	}
	p.onto = rig.None
	if name := w.Values.Text("onto"); name != "" {
		n, err := findNode(w.Rig, name)
		if err != nil {
			return w.Refuse("%v.", sentence(err))
		}
		if _, is := p.joint[n]; !is {
			return w.Refuse("%s is no joint of the skeleton: nothing can hang on it.", w.Exam.NodeName(n))
		}
		p.onto = n
	}
	return nil
}

// stand poses the pieces at rest in their own figure.
func (p *parter) stand() error {
	r := p.b.Rig
	for _, x := range p.pieces {
		s := r.Surfaces[x.surface]
		n := len(r.Meshes[s.Mesh].Positions)
		pose := deform.NewPose(r)
		pose.Morph[s.Node] = make([]float32, len(r.Meshes[s.Mesh].Targets)) // targets come along by themselves
		d := deform.NewDeformer(r, x.surface)
		x.at = make([]float32, n)
		unit := make([]float32, n)
		for c := range x.axes {
			clear(unit)
			for v := c; v < n; v += 3 {
				unit[v] = 1
			}
			x.axes[c] = make([]float32, n)
			d.Apply(pose, deform.Linear, x.at, nil, unit, x.axes[c])
		}
		if !slices.ContainsFunc(x.at, func(f float32) bool { return f != 0 }) {
			return p.w.Refuse("%q has no size.", surfaceName(r, x.surface))
		}
	}
	return nil
}

// others is how much joints that do not hold the part count, beside those that do, in how
// it is turned and how large it becomes.
const others = 0.1

// layWeight is how much a joint counts that holds such a share of the part.
func layWeight(share float64) float64 {
	if share > faintBelow {
		return 1
	}
	return others
}

// lay finds where the part stands on the figure, and puts it there.
func (p *parter) lay() error {
	w := p.w
	p.match = match.Between(match.NewSkeleton(p.b.Rig), match.NewSkeleton(w.Rig))
	if joints, _ := p.common(); len(joints) == 0 { // a chain, a prop: what a table pairs is no like joint
		var apart []match.Pin
		for _, n := range p.match.S.Joints {
			apart = append(apart, match.Pin{Source: n, Target: rig.None})
		}
		p.match = match.Between(match.NewSkeleton(p.b.Rig), match.NewSkeleton(w.Rig), apart...)
	}
	p.laid = part.Laid{Turn: space.Still(), Factor: 1}
	switch w.Values.Text("lay") {
	case layByRoles:
		if err := p.byRoles(); err != nil {
			return err
		}
		if f, ok := p.sized(); ok && w.Values.Is("bend") {
			p.rescale(f)
		}
	case layBySize:
		a, b := p.other.BodyBox(), w.Exam.BodyBox()
		if !(a.Size()[1] > 0) || !(b.Size()[1] > 0) {
			return w.Refuse("One of the two figures has no height: lay it on as it stands.")
		}
		p.laid.Factor = b.Size()[1] / a.Size()[1]
		from, to := a.Center(), b.Center()
		from[1], to[1] = a.Min[1], b.Min[1]
		p.laid.Shift = to.Sub(from.Mul(p.laid.Factor))
	}
	if f, given := w.Values.Number("factor"); given {
		p.rescale(f)
	}
	height := w.Exam.Height()
	up, _ := w.Values.Number("up")
	forward, _ := w.Values.Number("forward")
	shift := p.match.T.Up.Mul(up * height).Add(p.match.T.Forward.Mul(forward * height))
	p.laid.Shift = p.laid.Shift.Add(shift)
	if w.Values.Text("lay") == layByRoles && w.Values.Is("bend") {
		p.bent(shift)
		return nil
	}
	for _, x := range p.pieces {
		for v := range len(x.at) / 3 {
			set(x.at, v, p.laid.Point(space.At(x.at, v)))
			for c := range x.axes {
				set(x.axes[c], v, p.laid.Way(space.At(x.axes[c], v)).Mul(p.laid.Factor))
			}
		}
	}
	return nil
}

// common are the joints of like role of both figures, parents first; at tells by node of the
// other figure its place among them.
func (p *parter) common() (joints []part.Joint, at map[rig.Node]int) {
	s, t := p.match.S, p.match.T
	at = map[rig.Node]int{}
	for _, n := range s.Joints {
		pair, ok := p.match.From(n)
		if !ok || pair.Target < 0 || pair.Role == "" || s.Role(n) != pair.Role {
			continue
		}
		j := part.Joint{From: s.At(n), To: t.At(pair.Target), Above: -1}
		for k := p.b.Rig.Nodes[n].Parent; k >= 0 && j.Above < 0; k = p.b.Rig.Nodes[k].Parent {
			if i, is := at[k]; is {
				j.Above = i
				joints[i].Below = append(joints[i].Below, len(joints))
			}
		}
		at[n] = len(joints)
		joints = append(joints, j)
	}
	return joints, at
}

// sized answers the factor by the lengths of bones, which no pose changes: those that hold the
// part count most.
func (p *parter) sized() (factor float64, ok bool) {
	joints, at := p.common()
	weight := make([]float64, len(joints))
	for i := range weight {
		weight[i] = layWeight(0)
	}
	holds := p.holders()
	whole := 0.0
	for _, w := range holds {
		whole += w
	}
	for n, w := range holds {
		if i, is := at[n]; is {
			weight[i] = layWeight(w / whole)
		}
	}
	from, to := 0.0, 0.0
	for i := range joints {
		if j := &joints[i]; j.Above >= 0 {
			u, w := &joints[j.Above], weight[j.Above]
			from, to = from+w*j.From.Sub(u.From).Len(), to+w*j.To.Sub(u.To).Len()
		}
	}
	return to / from, from > 0 && to > 0
}

// bent lays every joint on its partner, and the part as they hold it.
func (p *parter) bent(shift space.Vec) {
	joints, at := p.common()
	limbs := p.laid.Limbs(joints)
	whole := part.Limb{Shift: p.laid.Shift}
	for c := range 3 {
		e := space.Vec{}
		e[c] = 1
		e = p.laid.Way(e).Mul(p.laid.Factor)
		for r := range 3 {
			whole.M[3*r+c] = e[r]
		}
	}
	of := func(n rig.Node) *part.Limb {
		for ; n >= 0; n = p.b.Rig.Nodes[n].Parent {
			if i, is := at[n]; is {
				return &limbs[i]
			}
		}
		return &whole
	}
	for _, x := range p.pieces {
		for v := range len(x.at) / 3 {
			var sum part.Limb
			total := 0.0
			p.holds(x, v, func(n rig.Node, w float64) {
				l := of(n)
				for k := range sum.M {
					sum.M[k] += w * l.M[k]
				}
				sum.Shift, total = sum.Shift.Add(l.Shift.Mul(w)), total+w
			})
			if total == 0 {
				sum = whole
			} else {
				sum.Shift = sum.Shift.Add(shift)
			}
			set(x.at, v, sum.Point(space.At(x.at, v)))
			for c := range x.axes {
				set(x.axes[c], v, sum.Way(space.At(x.axes[c], v)))
			}
		}
	}
}

// rescale gives the part another factor, about its middle where it stands now.
func (p *parter) rescale(f float64) {
	box := geom.EmptyBox()
	for _, x := range p.pieces {
		for v := range len(x.at) / 3 {
			if q := p.laid.Point(space.At(x.at, v)); space.Finite(q) {
				box.Add(q)
			}
		}
	}
	m := box.Center()
	p.laid.Shift = m.Sub(m.Sub(p.laid.Shift).Mul(f / p.laid.Factor))
	p.laid.Factor = f
}

func set(list []float32, v int, to space.Vec) {
	list[3*v], list[3*v+1], list[3*v+2] = float32(to[0]), float32(to[1]), float32(to[2])
}

// holders counts for every node of the other figure the weight with which it holds the part,
// in vertices.
func (p *parter) holders() map[rig.Node]float64 {
	out := map[rig.Node]float64{}
	for _, x := range p.pieces {
		for v := range len(x.at) / 3 {
			p.holds(x, v, func(n rig.Node, w float64) { out[n] += w })
		}
	}
	return out
}

// holds tells the nodes of the other figure that hold a vertex, weights whole.
func (p *parter) holds(x *piece, v int, each func(n rig.Node, w float64)) {
	r := p.b.Rig
	s := r.Surfaces[x.surface]
	m := &r.Meshes[s.Mesh]
	if s.Skin < 0 || m.K == 0 {
		each(s.Node, 1)
		return
	}
	joints := r.Skins[s.Skin].Joints
	sum := 0.0
	for k := m.K * v; k < m.K*(v+1); k++ {
		if w := float64(m.Weights[k]); w > 0 && int(m.Joints[k]) < len(joints) && joints[m.Joints[k]] >= 0 {
			sum += w
		}
	}
	for k := m.K * v; k < m.K*(v+1); k++ {
		if w := float64(m.Weights[k]); w > 0 && int(m.Joints[k]) < len(joints) && joints[m.Joints[k]] >= 0 {
			each(joints[m.Joints[k]], w/sum)
		}
	}
}

// byRoles lays the part on by the joints that both figures have: turned and scaled so that
// all agree, those that hold the part most; shifted so that those which hold it do.
func (p *parter) byRoles() error {
	s, t := p.match.S, p.match.T
	holds := map[rig.Node]float64{}
	whole := 0.0
	for n, w := range p.holders() {
		if to, ok := p.pairAbove(n); ok {
			holds[to.Source] += w
			whole += w
		}
	}
	var from, to []space.Vec
	var weight, own []float64
	for _, pair := range p.match.Pairs {
		if pair.Role == "" || s.Role(pair.Source) != pair.Role {
			continue
		}
		from, to = append(from, s.At(pair.Source)), append(to, t.At(pair.Target))
		h := 0.0
		if whole > 0 {
			h = holds[pair.Source] / whole
		}
		own = append(own, h)
		weight = append(weight, layWeight(h))
	}
	laid, ok := part.Lay(from, to, weight)
	if !ok {
		return p.w.Refuse("The two figures have %s of like role, too few to lay one on the other: lay it on by size or as it stands.", say.Count(len(from), "joint", "joints"))
	}
	sum, a, b := 0.0, space.Vec{}, space.Vec{}
	for i, h := range own {
		sum, a, b = sum+h, a.Add(from[i].Mul(h)), b.Add(to[i].Mul(h))
	}
	if sum > 0 {
		laid.Shift = laid.Shift.Add(b.Mul(1 / sum).Sub(laid.Point(a.Mul(1 / sum))))
	}
	p.laid = laid
	return nil
}

// pairAbove answers the pair of a node of the other figure, or of the nearest one above.
func (p *parter) pairAbove(n rig.Node) (match.Pair, bool) {
	for ; n >= 0; n = p.b.Rig.Nodes[n].Parent {
		if pair, ok := p.match.From(n); ok && pair.Target >= 0 {
			return pair, true
		}
	}
	return match.Pair{}, false
}

// under gathers the surface that the part is laid over, with its weights.
func (p *parter) under() error {
	w, r := p.w, p.w.Rig
	p.sources = w.Exam.Body()
	if names := w.Values.List("over"); len(names) > 0 {
		p.sources = nil
		for _, name := range names {
			i := SurfaceNamed(r, name)
			if i < 0 {
				return w.Refuse("There is no surface %q to lay it over.", name)
			}
			p.sources = append(p.sources, i)
		}
	}
	var points []float32
	var triangles []uint32
	for _, i := range p.sources {
		base := uint32(len(points) / 3)
		points = append(points, w.Exam.RestPositions(i)...)
		for _, v := range r.Meshes[r.Surfaces[i].Mesh].Triangles {
			triangles = append(triangles, base+v)
		}
	}
	p.over = part.NewOver(points, triangles, p.watch())
	p.rows = bind.NewRows(len(points) / 3)
	at := 0
	for _, i := range p.sources {
		s := r.Surfaces[i]
		m := &r.Meshes[s.Mesh]
		stiff, isStiff := -1, false
		if s.Skin < 0 || m.K == 0 {
			stiff, isStiff = p.up(s.Node)
		}
		for v := range m.Vertices() {
			switch {
			case isStiff:
				p.rows.Put(at+v, int32(stiff), 1)
			case s.Skin >= 0:
				for k := m.K * v; k < m.K*(v+1); k++ {
					if int(m.Joints[k]) < len(r.Skins[s.Skin].Joints) && m.Weights[k] > 0 {
						if j, is := p.joint[r.Skins[s.Skin].Joints[m.Joints[k]]]; is {
							p.rows.Put(at+v, int32(j), float64(m.Weights[k]))
						}
					}
				}
			}
			p.bound = p.bound || p.rows.Sum(at+v) > 0
			p.rows.Whole(at + v)
		}
		at += m.Vertices()
	}
	return nil
}

func (p *parter) watch() *geom.Watch {
	return &geom.Watch{Look: func() error { return p.w.Context.Err() }}
}

// up answers the joint at or above a node of the figure.
func (p *parter) up(n rig.Node) (int, bool) {
	for ; n >= 0; n = p.w.Rig.Nodes[n].Parent {
		if j, is := p.joint[n]; is {
			return j, true
		}
	}
	return -1, false
}

// out welds the part and moves what lies under the surface out of it.
func (p *parter) out() error {
	var all []float32
	for _, x := range p.pieces {
		all = append(all, x.at...)
	}
	weld := geom.Weld(all, p.watch())
	p.points = make([]float32, 3*weld.Groups())
	for g, v := range weld.First {
		copy(p.points[3*g:3*g+3], all[3*v:3*v+3])
	}
	base := 0
	for _, x := range p.pieces {
		n := len(x.at) / 3
		x.place = weld.Of[base : base+n]
		for _, v := range p.b.Rig.Meshes[p.b.Rig.Surfaces[x.surface].Mesh].Triangles {
			p.corner = append(p.corner, x.place[v])
		}
		base += n
	}
	p.middle = geom.BoxOf(p.points).Center()
	if most, _ := p.w.Values.Number("out"); most > 0 {
		was := slices.Clone(p.points)
		moved, left := p.over.Out(p.points, most*p.w.Exam.Height())
		p.stayed = left + p.unturn(was, moved)
		for _, m := range moved {
			if m {
				p.came++
			}
		}
		for _, x := range p.pieces {
			for v, g := range x.place {
				if moved[g] {
					copy(x.at[3*v:3*v+3], p.points[3*g:3*g+3])
				}
			}
		}
	}
	return p.watch().Err()
}

// unturn puts back what came out so that a triangle turned over, and counts those places.
func (p *parter) unturn(was []float32, moved []bool) (n int) {
	for again := true; again; {
		again = false
		for t := 0; t+2 < len(p.corner); t += 3 {
			c := p.corner[t : t+3]
			if !moved[c[0]] && !moved[c[1]] && !moved[c[2]] {
				continue
			}
			a, b := normalOf(was, c), normalOf(p.points, c)
			if a.Dot(b) >= 0 {
				continue
			}
			for _, v := range c {
				if moved[v] {
					copy(p.points[3*v:3*v+3], was[3*v:3*v+3])
					moved[v], again = false, true
					n++
				}
			}
		}
	}
	return n
}

func normalOf(points []float32, c []uint32) space.Vec {
	a := space.At(points, c[0])
	return space.At(points, c[1]).Sub(a).Cross(space.At(points, c[2]).Sub(a))
}

// facingWithin is how far the normals of a part and of what is under it may part, so that it
// takes weights there (Abdrashitov et al. 2023, §3.1).
const facingWithin = 30 * math.Pi / 180
