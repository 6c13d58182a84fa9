package exam

import (
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
)

// Figure is one of several figures in a file, with an examination of its own: a rig
// that keeps the file's node numbers and meshes but holds only its own surfaces,
// skins and channels.
type Figure struct {
	Name     string     // in words: figure 1 ("Mara")
	Top      rig.Node   // its topmost joint
	Joints   []rig.Node // all of them, parents first
	Surfaces []int      // places in the file's Rig.Surfaces, by place in its own
	Skins    []rig.Skin // the same of skins
	Clips    []rig.Clip // and of clips
	Like     int        // place of the figure that it repeats, −1: none; it is not examined again
	Exam     *Exam      // nil where Like is not −1, or beyond the most that are examined
}

// mostFigures of one file are examined by themselves. A crowd repeats its figures.
const mostFigures = 12

// mostUnlike skeletons are looked at to see whether they are figures: each takes a walk
// over all nodes.
const mostUnlike = 48

// apartShare of the lower figure's height: two figures whose middles stand nearer along
// the ground are one, a rider on a mount or the parts of one body (common practice, no
// source).
const apartShare = 0.3

// Figures answers the figures of a file that holds two or more, nil when it holds one
// or none. A figure is a skeleton with a surface and of a recognised kind: person,
// four-legged, winged or many-legged. Skeletons are parted where no surface and no joint
// that holds one joins them. What stands in one place is one figure.
func (e *Exam) Figures() []Figure {
	if !e.sought {
		e.sought = true
		e.figures = e.findFigures()
	}
	return e.figures
}

func (e *Exam) findFigures() []Figure {
	r := e.Rig
	if len(e.Shown()) < 2 || len(r.Nodes) == 0 {
		return nil
	}
	group := e.groups()
	lists := map[int32][]int{} // group → surfaces
	var order []int32
	for _, s := range e.Shown() {
		g := group.ofSurface[s]
		if g < 0 {
			continue
		}
		if lists[g] == nil {
			order = append(order, g)
		}
		lists[g] = append(lists[g], s)
	}
	if len(order) < 2 {
		return nil
	}
	var all []Figure
	seen := map[string]int{}
	var boxes []geom.Box
	for _, g := range order {
		joints := group.joints[g]
		if len(joints) < 6 { // no kind with limbs has fewer
			continue
		}
		f := Figure{Surfaces: lists[g], Joints: joints, Top: joints[0], Like: -1}
		key := f.key(r)
		k, ok := seen[key]
		switch {
		case ok && k < 0 || !ok && len(seen) >= mostUnlike:
			continue // of no kind, or one too many to look at
		case ok:
			f.Like = k
		default:
			seen[key] = -1
			f.Exam = New(e.part(&f))
			switch f.Exam.Roles().Kind {
			case anatomy.Person, anatomy.FourLegged, anatomy.Winged, anatomy.ManyLegged:
			default:
				continue
			}
			seen[key] = len(all)
		}
		b := geom.EmptyBox()
		for _, s := range f.Surfaces {
			b = b.Union(e.SurfaceBox(s))
		}
		all, boxes = append(all, f), append(boxes, b)
	}
	if len(all) < 2 || len(all) <= mostPairs && together(boxes) {
		return nil
	}
	own := 0
	taken := make([]bool, len(r.Surfaces))
	for i := range all {
		for _, s := range all[i].Surfaces {
			taken[s] = true
		}
		f := &all[i]
		f.Name = fmt.Sprintf("figure %d", i+1)
		if name := r.Nodes[r.Surfaces[f.Surfaces[0]].Node].Name; name != "" {
			f.Name += fmt.Sprintf(" (%q)", name)
		}
		if own++; f.Like >= 0 || own > mostFigures {
			f.Exam = nil
		}
	}
	rest := Figure{Name: "beside the figures", Top: rig.None, Like: -1}
	for _, s := range e.Shown() {
		if !taken[s] {
			rest.Surfaces = append(rest.Surfaces, s)
		}
	}
	if len(rest.Surfaces) > 0 {
		rest.Exam = New(e.part(&rest))
		e.beside = &rest
	}
	return all
}

// Beside is what is shown in a file of several figures and belongs to none; nil where
// there is nothing of that kind. It has no joints of its own.
func (e *Exam) Beside() *Figure {
	e.Figures()
	return e.beside
}

// mostPairs is how many figures are held against each other; more are a crowd.
const mostPairs = 100

// together tells that some two figures stand in one place.
func together(boxes []geom.Box) bool {
	for i := range boxes {
		for k := range i {
			a, b := boxes[i].Center(), boxes[k].Center()
			low := min(boxes[i].Size()[1], boxes[k].Size()[1])
			if math.Hypot(a[0]-b[0], a[2]-b[2]) < apartShare*low {
				return true
			}
		}
	}
	return false
}

// key is alike for figures that are instances of one: the same meshes in the same
// order, as many joints, of the same names.
func (f *Figure) key(r *rig.Rig) string {
	b := []byte{}
	for _, s := range f.Surfaces {
		b = fmt.Appendf(b, "%d ", r.Surfaces[s].Mesh)
	}
	for _, n := range f.Joints {
		b = fmt.Appendf(b, "|%s", r.Nodes[n].Name)
	}
	return string(b)
}

// grouping parts the joints of a file.
type grouping struct {
	joints    map[int32][]rig.Node // group → its joints, parents first
	ofSurface []int32              // −1: none
}

// groups joins joints that one surface hangs on, and each with the nearest joint above
// that holds a surface. A joint that holds nothing belongs to the one group below it,
// else to that above it; a root above several groups to none.
func (e *Exam) groups() grouping {
	r := e.Rig
	isJoint := r.Joints()
	set := newSets(len(r.Nodes))
	holds := make([]bool, len(r.Nodes))
	first := make([]rig.Node, len(r.Surfaces))
	for i, s := range r.Surfaces {
		first[i] = rig.None
		m := &r.Meshes[s.Mesh]
		if s.Skin < 0 || m.K == 0 {
			for n := s.Node; n >= 0; n = r.Nodes[n].Parent {
				if isJoint[n] {
					first[i], holds[n] = n, true
					break
				}
			}
			continue
		}
		joints := r.Skins[s.Skin].Joints
		used := make([]bool, len(joints))
		for k, w := range m.Weights {
			if j := m.Joints[k]; w > 0 && int(j) < len(used) && !used[j] {
				used[j] = true
				n := joints[j]
				holds[n] = true
				if first[i] < 0 {
					first[i] = n
				}
				set.join(first[i], n)
			}
		}
	}
	above := make([]rig.Node, len(r.Nodes)) // nearest joint above that holds something
	for _, n := range r.Order {
		above[n] = rig.None
		if p := r.Nodes[n].Parent; p >= 0 {
			if above[n] = above[p]; isJoint[p] && holds[p] {
				above[n] = p
			}
		}
		if isJoint[n] && above[n] >= 0 {
			set.join(n, above[n])
		}
	}
	const none, several = -1, -2
	below := make([]int32, len(r.Nodes)) // the one group at or below
	for i := range below {
		below[i] = none
	}
	for _, n := range slices.Backward(r.Order) {
		if isJoint[n] && holds[n] || above[n] >= 0 {
			below[n] = set.of(n)
		}
		if p := r.Nodes[n].Parent; p >= 0 && below[n] != none {
			if below[p] == none {
				below[p] = below[n]
			} else if below[p] != below[n] {
				below[p] = several
			}
		}
	}
	out := grouping{joints: map[int32][]rig.Node{}, ofSurface: make([]int32, len(r.Surfaces))}
	for _, n := range r.Order {
		if isJoint[n] && below[n] >= 0 {
			out.joints[below[n]] = append(out.joints[below[n]], n)
		}
	}
	for i, n := range first {
		if out.ofSurface[i] = -1; n >= 0 {
			out.ofSurface[i] = set.of(n)
		}
	}
	return out
}

// part is the rig of one figure, or of what has no joints of its own. It fills in the
// figure's lists.
func (e *Exam) part(f *Figure) *rig.Rig {
	r := e.Rig
	own := make([]bool, len(r.Nodes))
	for _, n := range f.Joints {
		own[n] = true
	}
	if f.Joints == nil {
		for i := range own {
			own[i] = true
		}
	}
	isJoint := r.Joints()
	for _, n := range r.Order { // what hangs on it, but for joints of others
		if p := r.Nodes[n].Parent; p >= 0 && own[p] && !isJoint[n] {
			own[n] = true
		}
	}
	kept := slices.Clone(own)
	for _, s := range f.Surfaces {
		kept[r.Surfaces[s].Node] = true
	}
	for _, n := range slices.Backward(r.Order) { // what it hangs on
		if p := r.Nodes[n].Parent; p >= 0 && kept[n] {
			kept[p] = true
		}
	}
	out := *r
	out.Malformed, out.Remarks, out.File.NotHonored = nil, nil, nil
	out.Nodes, out.Meshes = slices.Clone(r.Nodes), slices.Clone(r.Meshes)
	for i := range out.Nodes {
		out.Nodes[i].Mesh, out.Nodes[i].Skin = rig.None, rig.None
		if !kept[i] {
			continue
		}
		out.Nodes[i].Children = slices.DeleteFunc(slices.Clone(r.Nodes[i].Children), func(c rig.Node) bool { return !kept[c] })
	}
	out.Surfaces, out.Skins, out.Clips = nil, nil, nil
	place := map[rig.Skin]rig.Skin{}
	for _, i := range f.Surfaces {
		s := r.Surfaces[i]
		if s.Skin >= 0 {
			k, ok := place[s.Skin]
			if !ok {
				k = rig.Skin(len(out.Skins))
				place[s.Skin] = k
				f.Skins = append(f.Skins, s.Skin)
				out.Skins = append(out.Skins, r.Skins[s.Skin])
			}
			s.Mesh = trim(&out, s.Mesh, &r.Skins[s.Skin], &out.Skins[k], own)
			s.Skin = k
		}
		out.Nodes[s.Node].Mesh, out.Nodes[s.Node].Skin = s.Mesh, s.Skin
		out.Surfaces = append(out.Surfaces, s)
	}
	for i := range r.Clips {
		c := r.Clips[i]
		c.Channels = slices.DeleteFunc(slices.Clone(c.Channels), func(ch rig.Channel) bool { return ch.Node < 0 || !own[ch.Node] })
		if len(c.Channels) > 0 {
			out.Clips, f.Clips = append(out.Clips, c), append(f.Clips, rig.Clip(i))
		}
	}
	if h, ok := r.Humanoid.Bones["hips"]; !ok || h < 0 || !own[h] {
		out.Humanoid = rig.Humanoid{}
	}
	return &out
}

// trim leaves in a skin the joints of the figure alone. It answers the mesh that counts
// by them: the same where the skin had no other joint.
func trim(out *rig.Rig, mesh rig.Mesh, from, to *rig.SkinData, own []bool) rig.Mesh {
	at := make([]uint16, len(from.Joints))
	var joints []rig.Node
	var binds []rig.Affine
	var rows []float64
	for j, n := range from.Joints {
		if !own[n] {
			continue
		}
		at[j] = uint16(len(joints))
		joints, binds = append(joints, n), append(binds, from.Bind[j])
		if from.BindRow != nil {
			rows = append(rows, from.BindRow[4*j:4*j+4]...)
		}
	}
	if len(joints) == len(from.Joints) {
		return mesh
	}
	to.Joints, to.Bind, to.BindRow = joints, binds, rows
	m := out.Meshes[mesh]
	m.Joints = slices.Clone(m.Joints)
	for k, j := range m.Joints {
		if int(j) < len(at) {
			m.Joints[k] = at[j]
		}
	}
	out.Meshes = append(out.Meshes, m)
	return rig.Mesh(len(out.Meshes) - 1)
}

// sets joins nodes into groups.
type sets []int32

func newSets(n int) sets {
	s := make(sets, n)
	for i := range s {
		s[i] = int32(i)
	}
	return s
}

func (s sets) of(n rig.Node) int32 {
	i := int32(n)
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

func (s sets) join(a, b rig.Node) { s[s.of(a)] = s.of(b) }
