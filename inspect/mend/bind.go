package mend

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var bindSurface = Mend{
	ID:     "bind",
	Title:  "Bind",
	Stage:  Bind,
	Beside: []string{"intake/nothing-bound", "surface/ready-to-bind"},
	Does: "The surface gets weights from its places alone: what each joint warms goes with it. Which joints may hold which piece is read from where the bones run in it, and can be told. " +
		"Small pieces without a bone go as one with what they lie on, a coat goes with the body under it. Weights that were there are replaced.",
	Source: "Baran and Popović 2007 (heat equilibrium, with c = 4 as came nearest to artists' weights); Sharp and Crane 2020 (tufted cover, intrinsic Delaunay); Jacobson et al. 2013 (winding number); which joints hold which piece: common practice, no source",
	Parameters: []Parameter{
		{Name: "narrow", Title: "How narrow", Kind: Number, Unit: say.Factor, Default: float64(bind.Usual), Least: 1, Most: 16, Says: "The larger, the shorter the stretch over which two joints share; 1 is the paper's."},
		{Name: "parts", Title: "Joints of pieces", Kind: Pairs, Says: "Which joints may hold which piece: \"#7\" is the seventh of the receipt, its joints by name with commas. What is not named is proposed."},
		{Name: "any", Title: "Any joint", Kind: Truth, Default: false, Says: "Nothing is proposed: every joint may hold every piece."},
		{Name: "surfaces", Title: "Surfaces", Kind: List, Default: []string{}, Says: "Names of those to bind; none: the body. #3 is the third surface."},
	},
	// No fault calls for it: what it makes is to be looked at in the bends, and weights that
	// somebody made only a person throws away.
	Suggest: func(*Findings) []Values { return nil },
	Apply: func(w *Work) error {
		b := &binder{w: w, joint: map[rig.Node]int{}, place: make([][]uint32, len(w.Rig.Surfaces))}
		for _, step := range []func() error{b.choose, b.gather, b.propose, b.solve, b.write} {
			if err := step(); err != nil {
				return err
			}
		}
		b.tell()
		return nil
	},
}

// binder binds the surfaces of one file.
type binder struct {
	settled  map[rig.Node]bool // nodes whose placement went into their vertices
	w        *Work
	nodes    []rig.Node // by joint
	joint    map[rig.Node]int
	surfaces []int
	place    [][]uint32 // by surface, vertex → place of the figure
	figure   *bind.Figure
	parts    *bind.Proposal
	bound    *bind.Bound

	vertices, anew, lost int     // bound; of them with weights before; that their skin has no joint for
	changed              float64 // L1 over those anew
	spread               int     // joints of all vertices
}

// SkeletonOf lists the joints that a surface can be bound to, parents first: those of its skins; without a skin
// nodes that hang together, carry no mesh and have none below.
func SkeletonOf(r *rig.Rig) (out []rig.Node) {
	in := make([]bool, len(r.Nodes))
	for _, s := range r.Skins {
		for _, n := range s.Joints {
			if n >= 0 && int(n) < len(in) {
				in[n] = true
			}
		}
	}
	if len(r.Skins) == 0 {
		meshes := make([]bool, len(r.Nodes))
		for _, n := range slices.Backward(r.Order) {
			d := &r.Nodes[n]
			meshes[n] = meshes[n] || d.Mesh >= 0
			if d.Parent >= 0 {
				meshes[d.Parent] = meshes[d.Parent] || meshes[n]
			}
		}
		for n := range r.Nodes {
			p := r.Nodes[n].Parent
			in[n] = !meshes[n] && (len(r.Nodes[n].Children) > 0 || p >= 0 && !meshes[p])
		}
	}
	for _, n := range r.Order {
		if in[n] {
			out = append(out, n)
		}
	}
	return out
}

// choose finds joints and surfaces.
func (b *binder) choose() error {
	w, r := b.w, b.w.Rig
	b.nodes = SkeletonOf(r)
	if len(b.nodes) == 0 {
		return w.Refuse("There are no joints to bind to: fit a skeleton first.")
	}
	if len(b.nodes) > 65535 {
		return w.Refuse("There are %d joints; a skin holds 65,535.", len(b.nodes))
	}
	for j, n := range b.nodes {
		b.joint[n] = j
	}
	list := w.Exam.Body()
	if names := w.Values.List("surfaces"); len(names) > 0 {
		list = nil
		for _, name := range names {
			i := SurfaceNamed(r, name)
			if i < 0 {
				return w.Refuse("There is no surface %q.", name)
			}
			list = append(list, i)
		}
	} else if gear := w.Exam.Gear(); len(gear) > 0 {
		w.Leave("%s no part of the body: left as they are. Name them to bind them.", b.surfacesNamed(gear))
	}
	uses := map[rig.Mesh]int{}
	for _, s := range r.Surfaces {
		uses[s.Mesh]++
	}
	in := make([]bool, len(r.Nodes))
	for _, n := range b.nodes {
		in[n] = true
	}
	on := r.AtOrAbove(in)
	for _, i := range list {
		s := r.Surfaces[i]
		switch name := w.Exam.SurfaceName(i); {
		case len(r.Meshes[s.Mesh].Triangles) == 0:
		case uses[s.Mesh] > 1:
			w.Leave("The mesh of %s stands in the file once and is shown %d times: it cannot have weights of each. Left as it is.", name, uses[s.Mesh])
		case s.Skin < 0 && on[s.Node] >= 0:
			w.Leave("%s hangs on %s and follows it as it is. Left as it is.", name, w.Exam.NodeName(on[s.Node]))
		case b.packed(s.Mesh):
			w.Leave("The vertices of %s are packed: no weights can be added. Left as it is.", name)
		default:
			b.surfaces = append(b.surfaces, i)
		}
	}
	if len(b.surfaces) == 0 {
		return w.Refuse("There is no surface to bind.")
	}
	return nil
}

// packed tells a mesh with a primitive whose vertices an extension holds.
func (b *binder) packed(m rig.Mesh) bool {
	for p := range b.w.Rig.Meshes[m].Primitives {
		if b.w.Doc.Root.Resolve(primitiveAt(int(m), p)).Get("extensions").Get("KHR_draco_mesh_compression") != nil {
			return true
		}
	}
	return false
}

func (b *binder) surfacesNamed(list []int) string {
	var names []string
	for _, i := range list {
		names = append(names, b.w.Exam.SurfaceName(i))
	}
	if len(names) == 1 {
		return names[0] + " is"
	}
	return exam.Listed(names) + " are"
}

// gather makes one surface of all, at rest, with places welded, and hangs joints where they
// belong: fingers that hang on nothing are bones all the same.
func (b *binder) gather() error {
	w, r := b.w, b.w.Rig
	in := make([]bool, len(r.Nodes))
	for _, n := range b.nodes {
		in[n] = true
	}
	above := r.Above(in)
	var joints bind.Joints
	for _, n := range b.nodes {
		parent := -1
		if p := above[n]; p >= 0 {
			parent = b.joint[p]
		}
		joints.At, joints.Parent = append(joints.At, w.Exam.RestWorld()[n].Origin()), append(joints.Parent, parent)
	}
	joints.Carried = slices.Clone(joints.Parent)
	found, err := w.findings("skeleton")
	if err != nil {
		return err
	}
	for _, x := range found.Findings() {
		for _, h := range x.Where.Hang {
			j, isJoint := b.joint[h[0]]
			on, isAlso := b.joint[h[1]]
			if isJoint && isAlso {
				joints.Parent[j] = on
			}
		}
	}
	if m := w.Exam.Mirror(); m.PlaneDoubt() == "" {
		joints.Middle = &geom.Plane{Normal: m.Normal, Offset: m.Offset}
		opposite := w.Exam.Opposite()
		for j, n := range b.nodes {
			partner := j
			if k, is := b.joint[opposite[n]]; is {
				partner = k
			}
			joints.Partner = append(joints.Partner, partner)
		}
	}
	var all []float32
	for _, i := range b.surfaces {
		all = append(all, w.Exam.WholePositions(i)...)
	}
	watch := &geom.Watch{Look: func() error { return w.Context.Err() }}
	weld := geom.Weld(all, watch)
	points := make([]float32, 3*weld.Groups())
	for g, v := range weld.First {
		copy(points[3*g:3*g+3], all[3*v:3*v+3])
	}
	var triangles []uint32
	base := 0
	for _, i := range b.surfaces {
		m := &r.Meshes[r.Surfaces[i].Mesh]
		b.place[i] = weld.Of[base : base+m.Vertices()]
		for _, v := range m.Triangles {
			triangles = append(triangles, b.place[i][v])
		}
		base += m.Vertices()
	}
	b.figure = bind.New(points, triangles, joints, watch)
	return watch.Err()
}

// propose asks which joints may hold which shell, and puts in what a person told.
func (b *binder) propose() error {
	w := b.w
	b.parts = b.figure.Propose()
	if w.Values.Is("any") {
		for i := range b.parts.May {
			b.parts.On[i] = -1
			for j := range b.parts.May[i] {
				b.parts.May[i][j] = true
			}
		}
	}
	told := w.Values.Pairs("parts")
	for _, key := range slices.Sorted(maps.Keys(told)) {
		number, hash := strings.CutPrefix(key, "#")
		i, err := strconv.Atoi(number)
		if err != nil || !hash || i < 1 || i > len(b.parts.May) {
			return w.Refuse("There is no piece %q: there are #1 to #%d.", key, len(b.parts.May))
		}
		clear(b.parts.May[i-1])
		b.parts.On[i-1] = -1
		for name := range strings.SplitSeq(told[key], ",") {
			n, err := findNode(w.Rig, strings.TrimSpace(name))
			j, is := b.joint[n]
			if err != nil || !is {
				return w.Refuse("Piece %s: there is no joint %q.", key, strings.TrimSpace(name))
			}
			b.parts.May[i-1][j] = true
		}
	}
	// A shell may follow what all skins of its surfaces have.
	for _, s := range b.surfaces {
		k := w.Rig.Surfaces[s].Skin
		if k < 0 {
			continue
		}
		has := make([]bool, len(b.nodes))
		for _, n := range w.Rig.Skins[k].Joints {
			if j, is := b.joint[n]; is {
				has[j] = true
			}
		}
		if !slices.Contains(has, false) {
			continue
		}
		seen := map[int32]bool{}
		for _, p := range b.place[s] {
			if i := b.figure.Of[p]; i >= 0 && !seen[i] {
				seen[i] = true
				for j := range has {
					b.parts.May[i][j] = b.parts.May[i][j] && has[j]
				}
			}
		}
	}
	return nil
}

func (b *binder) solve() (err error) {
	narrow, _ := b.w.Values.Number("narrow")
	b.bound, err = b.figure.Bind(bind.Options{Narrow: narrow, Parts: b.parts, Look: func(float64) error { return b.w.Context.Err() }})
	return err
}

// mostTold pieces are told one by one.
const mostTold = 12

// tell says what was done, in numbers and for the pieces that did not go by heat alone.
func (b *binder) tell() {
	w := b.w
	w.Measure(check.Also("vertices bound", float64(b.vertices), say.Vertices))
	w.Measure(check.Also("pieces", float64(len(b.figure.Shells)), say.Shells))
	unseen, places := 0, 0
	for i := range b.figure.Shells {
		if b.parts.On[i] < 0 {
			unseen, places = unseen+b.bound.Unseen[i], places+len(b.figure.Shells[i].Places)
		}
	}
	if places > 0 {
		w.Measure(check.Also("places that see no bone", float64(unseen)/float64(places), say.Share))
	}
	if b.vertices > 0 {
		w.Measure(check.Also("joints a vertex, on the mean", float64(b.spread)/float64(b.vertices), say.Joints))
	}
	if b.anew > 0 {
		w.Measure(check.Also("weight that changed hands, on the mean", b.changed/2/float64(b.anew), say.Share))
	}
	idle := map[bind.Idle]int{}
	for _, x := range b.parts.Idle {
		idle[x]++
	}
	if !slices.Contains(b.parts.Idle, bind.Works) {
		w.Say("No joint stands inside of the surface: every place follows the nearest. Look whether skeleton and surface are of one size.")
	} else {
		for x, words := range map[bind.Idle]string{bind.Outside: "outside of the surface", bind.Mark: "at its ends", bind.Control: "on other joints, to steer them"} {
			if idle[x] > 0 {
				w.says = append(w.says, fmt.Sprintf("%s hold nothing by themselves: they stand %s.", say.Count(idle[x], "joint", "joints"), words))
			}
		}
		slices.Sort(w.says)
	}
	for _, n := range b.nodes {
		w.byName = append(w.byName, nodeNamed(w.Rig, n))
	}
	for i := range min(len(b.figure.Shells), mostTold) {
		w.Say("%s", b.piece(i))
		p := Piece{Name: fmt.Sprintf("#%d", i+1), Says: say.Count(len(b.figure.Shells[i].Places), "place", "places"), Joints: []string{}}
		for j, may := range b.parts.May[i] {
			if may {
				p.Joints = append(p.Joints, w.byName[j])
			}
		}
		w.bound = append(w.bound, p)
	}
	if more := len(b.figure.Shells) - mostTold; more > 0 {
		w.Say("And %s more.", say.Count(more, "piece", "pieces"))
	}
	if b.lost > 0 {
		w.Leave("%s would follow joints that their skin does not have: left as they are.", say.Count(b.lost, "vertex", "vertices"))
	}
	if found, err := w.findings("surface"); err == nil {
		for _, x := range found.Findings() {
			if x.ID == "surface/ready-to-bind" {
				w.Say("The surface was not quite ready to be bound; %s.", x.Subject)
			}
		}
	}
}

// nodeNamed is what a step calls a node: its name, or its number where that is not its own.
func nodeNamed(r *rig.Rig, n rig.Node) string {
	name := r.Nodes[n].Name
	if k, err := findNode(r, name); err == nil && k == n && name == strings.TrimSpace(name) && !strings.Contains(name, ",") {
		return name
	}
	return fmt.Sprintf("#%d", n)
}

// piece tells how one shell is held.
func (b *binder) piece(i int) string {
	s := fmt.Sprintf("Piece #%d (%s) ", i+1, say.Count(len(b.figure.Shells[i].Places), "place", "places"))
	var names []string
	for _, j := range b.holds(i) {
		names = append(names, b.w.Exam.NodeName(b.nodes[j]))
	}
	joints := exam.Listed(names)
	switch b.bound.Ways[i] {
	case bind.ByNone:
		return s + "may follow no joint: left without weights."
	case bind.AsOne:
		return s + "sees no bone; it goes as one with what it lies on: " + joints + "."
	case bind.ByCarry:
		return s + "lies over another and takes its weights: " + joints + "."
	case bind.ByNearest:
		return s + "sees none of its bones; each place follows the nearest: " + joints + "."
	}
	return s + "follows " + joints + "."
}

// holds are the joints that hold a shell, the strongest first.
func (b *binder) holds(shell int) (out []int) {
	sum := make([]float64, len(b.nodes))
	for _, p := range b.figure.Shells[shell].Places {
		for k := range bind.K {
			if x := b.bound.Rows.Weight[bind.K*int(p)+k]; x >= faintBelow {
				sum[b.bound.Rows.Joint[bind.K*int(p)+k]] += x
			}
		}
	}
	for j, x := range sum {
		if x > 0 {
			out = append(out, j)
		}
	}
	slices.SortStableFunc(out, func(x, y int) int {
		if sum[x] > sum[y] {
			return -1
		}
		if sum[x] < sum[y] {
			return 1
		}
		return 0
	})
	return out
}
