package binding

import (
	"math"
	"slices"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Stray is a patch of a joint's influence apart from its main one.
type Stray struct {
	Skin     rig.Skin     `json:"skin"`
	Joint    rig.Node     `json:"joint"`
	Surface  int          `json:"surface"`
	Count    int          `json:"vertices"`   // stored ones of the patch
	Vertices []rig.Vertex `json:"-"`          // all of them
	Share    float64      `json:"share"`      // of the joint's weight
	Distance float64      `json:"distance_m"` // from the main patch: along the surface, straight where another shell
	Along    bool         `json:"along"`      // the distance is along the surface
	Bone     float64      `json:"bone_m"`     // length of the joint's bone
	Alone    bool         `json:"alone"`      // all that the joint holds: the distance is from its bone, straight
}

// Defaults of the check, used for the facts: what is nearer or weighs more is no
// stray (common practice, no source).
const (
	strayBones = 2.0
	strayShare = 0.1
)

// patch is one patch of a joint with several.
type patch struct {
	at     *elements
	places []uint32
	weight float64
	top    float32 // largest weight of a vertex
}

// findStrays looks at every joint of a skin with more than one patch. The distance
// is measured along the edges of the welded surface from the joint's heaviest patch
// to the nearest place of the other one; a patch on another shell is as far as it is
// in space, and a shell that follows the joint altogether (an eye, a buckle) is a
// part, not a stray. At most budget places are walked; beyond that distances are
// straight, which is never longer.
func (f *Facts) findStrays(e *exam.Exam, k *Skin, surfaces []*elements, graphs []*graph, rigid [][]rig.Node, bones *bones) {
	patches := f.patches(e, k, surfaces)
	if !f.watch.Spend(stage) {
		return
	}
	w := &walk{watch: f.watch}
	lists := map[int][]members{}
	var isTarget []bool
	budget := 0
	for _, s := range surfaces {
		budget += 40 * len(graphs[s.surface].used)
	}
	for j, list := range patches {
		list = slices.DeleteFunc(list, func(p patch) bool { // what is never drawn strays nowhere
			return !slices.ContainsFunc(p.places, func(place uint32) bool { return graphs[p.at.surface].used[place] })
		})
		if f.strayAlone(e, k, j, list, rigid, bones, lists) || len(list) < 2 {
			continue
		}
		n := k.Joints[j].Node
		main, small := f.heaviest(e, k, j, list, rigid)
		if len(small) == 0 {
			continue
		}
		bone := bones.length(e, n)
		g := graphs[list[main].at.surface]
		home := g.shell[list[main].places[0]]
		var targets []uint32
		for _, i := range small {
			if p := &list[i]; p.at == list[main].at && g.shell[p.places[0]] == home {
				targets = append(targets, p.places...)
			}
		}
		walked := len(targets) > 0 && budget > 0
		if walked {
			if len(isTarget) < len(g.used) {
				isTarget = make([]bool, len(g.used))
			}
			g.slits(e, list[main].at.surface, f.places[list[main].at.surface])
			budget -= w.from(g, list[main].places, targets, isTarget, budget)
			if f.watch.Err() != nil {
				return
			}
		}
		var tree *geom.Tree
		for _, i := range small {
			p := &list[i]
			s := Stray{Skin: k.Skin, Joint: n, Surface: p.at.surface, Share: p.weight / k.Joints[j].WeightSum, Distance: math.Inf(1), Bone: bone}
			if walked && p.at == list[main].at && g.shell[p.places[0]] == home {
				for _, place := range p.places {
					s.Distance = min(s.Distance, float64(w.far[place]))
				}
				s.Along = !math.IsInf(s.Distance, 1)
			}
			if !s.Along {
				if tree == nil {
					tree = geom.NewTree(f.placesOf(e, &list[main]))
				}
				if !f.watch.Spend(30 * len(p.places)) {
					return
				}
				s.Distance = f.straight(e, tree, p)
			}
			if s.Distance > bone/4 && !math.IsInf(s.Distance, 0) {
				s.Vertices = verticesOf(e, p, lists)
				s.Count = len(s.Vertices)
				f.Strays = append(f.Strays, s)
			}
		}
	}
}

// The least that a joint is away from all it holds, of the diagonal, and the most of a
// vertex that is not its own (common practice, no source).
const (
	aloneFar  = 0.1
	aloneMost = 0.5
)

// parted tells a joint whose patches are looked at.
func (j *Joint) parted() bool { return j.Islands > 1 || j.Largest <= aloneMost }

// strayAlone files what a joint holds where that is all far from its bone and other joints
// hold each of its vertices, few of all, as much or more: a handle, a mark or a root that a brush gave
// weight, which stays behind when the limb moves. It tells whether it did.
func (f *Facts) strayAlone(e *exam.Exam, k *Skin, j int, list []patch, rigid [][]rig.Node, bones *bones, lists map[int][]members) bool {
	n := k.Joints[j].Node
	if k.Joints[j].Largest > aloneMost || float64(k.Joints[j].Vertices) > strayShare*float64(k.Vertices) {
		return false
	}
	var seen []int
	for i := range list {
		if rigidPatch(e, &list[i], n, rigid) {
			return false
		}
		if list[i].top >= faintWeight {
			seen = append(seen, i)
		}
	}
	bone, least := bones.length(e, n), math.Inf(1)
	if bones.main[n] < 0 { // a handle hangs on what it does not continue
		bone = min(bone, 0.05*e.Diagonal())
	}
	world := e.RestWorld()
	from := world[n].Origin()
	ends := []space.Vec{from}
	for _, c := range bones.children[n] {
		ends = append(ends, world[c].Origin())
	}
	far := make([]float64, len(list))
	for i := range list {
		far[i] = math.Inf(1)
		points := f.placesOf(e, &list[i])
		if !f.watch.Spend(len(points)) {
			return false
		}
		for q := 0; q < len(points)/3; q++ {
			for _, end := range ends {
				far[i] = min(far[i], space.ToSegment(space.At(points, q), from, end))
			}
		}
		least = min(least, far[i])
	}
	if len(seen) == 0 || !(least > max(strayBones*bone, aloneFar*e.Diagonal())) || math.IsInf(least, 0) {
		return false
	}
	for _, i := range seen {
		s := Stray{Skin: k.Skin, Joint: n, Surface: list[i].at.surface, Share: list[i].weight / k.Joints[j].WeightSum, Distance: far[i], Bone: bone, Alone: true}
		s.Vertices = verticesOf(e, &list[i], lists)
		s.Count = len(s.Vertices)
		f.Strays = append(f.Strays, s)
	}
	return true
}

// heaviest answers the patch of a joint that holds most, and those that are small beside it:
// no part that follows the joint altogether, and none too faint to be seen, which is the faint
// check's own.
func (f *Facts) heaviest(e *exam.Exam, k *Skin, j int, list []patch, rigid [][]rig.Node) (main int, small []int) {
	for i := range list {
		if list[i].weight > list[main].weight {
			main = i
		}
	}
	for i := range list {
		if i != main && list[i].top >= faintWeight && !rigidPatch(e, &list[i], k.Joints[j].Node, rigid) && list[i].weight < strayShare*k.Joints[j].WeightSum {
			small = append(small, i)
		}
	}
	return main, small
}

// patches lists the patches of every joint that is parted.
func (f *Facts) patches(e *exam.Exam, k *Skin, surfaces []*elements) [][]patch {
	out := make([][]patch, len(k.Joints))
	for _, s := range surfaces {
		mesh := e.Rig.Surfaces[s.surface].Mesh
		m, weld := &e.Rig.Meshes[mesh], e.Weld(mesh)
		id := make([]int32, len(s.joint)) // root → place in out[joint], +1
		for place := range s.end {
			for i := s.start[place]; i < s.end[place]; i++ {
				j := s.joint[i]
				if !k.Joints[j].parted() {
					continue
				}
				root := s.patches.Find(i)
				if id[root] == 0 {
					out[j] = append(out[j], patch{at: s})
					id[root] = int32(len(out[j]))
				}
				p := &out[j][id[root]-1]
				p.places = append(p.places, uint32(place))
			}
		}
		for v, place := range weld.Of {
			for c := v * m.K; c < v*m.K+m.K; c++ {
				j := m.Joints[c]
				if !(m.Weights[c] > 0) || int(j) >= len(k.Joints) || !k.Joints[j].parted() {
					continue
				}
				for i := s.start[place]; i < s.end[place]; i++ {
					if s.joint[i] == j {
						p := &out[j][id[s.patches.Find(i)]-1]
						p.weight += float64(m.Weights[c])
						p.top = max(p.top, m.Weights[c])
					}
				}
			}
		}
	}
	return out
}

// rigidPatch tells that a patch is a shell that follows the joint altogether.
func rigidPatch(e *exam.Exam, p *patch, n rig.Node, rigid [][]rig.Node) bool {
	field := rigid[p.at.surface]
	first := e.Weld(e.Rig.Surfaces[p.at.surface].Mesh).First[p.places[0]]
	return field != nil && field[first] == n
}

// verticesOf lists the stored vertices of a patch; lists are kept by surface.
func verticesOf(e *exam.Exam, p *patch, lists map[int][]members) (out []rig.Vertex) {
	list := lists[p.at.surface]
	if list == nil {
		list = groupMembers(e.Weld(e.Rig.Surfaces[p.at.surface].Mesh))
		lists[p.at.surface] = list
	}
	for _, place := range p.places {
		out = append(out, list[place].list...)
	}
	slices.Sort(out)
	return out
}

func (f *Facts) placesOf(e *exam.Exam, p *patch) []float32 {
	weld, rest := e.Weld(e.Rig.Surfaces[p.at.surface].Mesh), f.places[p.at.surface]
	out := make([]float32, 0, 3*len(p.places))
	for _, place := range p.places {
		v := weld.First[place]
		out = append(out, rest[3*v:3*v+3]...)
	}
	return out
}

// straight is the distance in space from a patch to the points of a tree.
func (f *Facts) straight(e *exam.Exam, tree *geom.Tree, p *patch) float64 {
	best := float32(math.MaxFloat32)
	points := f.placesOf(e, p)
	for i := 0; i < len(points); i += 3 {
		if id, square := tree.Nearest(points[i], points[i+1], points[i+2], best); id >= 0 && square < best {
			best = square
		}
	}
	if best == math.MaxFloat32 {
		return math.Inf(1)
	}
	return math.Sqrt(float64(best))
}

// length of a joint's bone, metres: to its main child, at an end that of the bone
// above; 5 % of the diagonal where neither has any.
func (b *bones) length(e *exam.Exam, n rig.Node) float64 {
	world := e.RestWorld()
	if c := b.main[n]; c >= 0 {
		if l := world[c].Origin().Sub(world[n].Origin()).Len(); l > 1e-5*e.Diagonal() {
			return l
		}
	}
	if a := b.above[n]; a >= 0 {
		if l := world[a].Origin().Sub(world[n].Origin()).Len(); l > 1e-5*e.Diagonal() {
			return l
		}
	}
	return 0.05 * e.Diagonal()
}
