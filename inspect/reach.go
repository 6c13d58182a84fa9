package inspect

import (
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

const (
	// firm is the least weight by which a joint holds a vertex, here.
	firm = 0.05
	// moved is how far a sum of weights must carry a vertex from its place to be the
	// cause of anything that is seen, ÷ diagonal.
	moved = 1e-3
	// beside is how near an image must come to a place, ÷ diagonal: half as much again
	// as what counts as a partner.
	beside = 0.0075
)

// reach is where a finding does its work: its vertices or those that its joints hold,
// one ring of triangles around them, and where they would stand without the fault.
type reach struct {
	r      *Result
	cause  *check.Finding
	in     [][]bool          // surface → vertex; nil: none of it
	joints map[rig.Node]bool // the cause's own
	around map[rig.Node]bool // those that hold what is reached, its ring among it
	share  float64           // of all skinned vertices
	home   *geom.Tree        // of homeOf; nil until asked for
	homeOf []float32         // 3·n, places of the reached vertices without the fault
}

func newReach(r *Result, cause *check.Finding) *reach {
	a := &reach{r: r, cause: cause, in: make([][]bool, len(r.Exam.Rig.Surfaces)), joints: map[rig.Node]bool{}, around: map[rig.Node]bool{}}
	for _, n := range cause.Where.Joints {
		a.joints[n] = true
	}
	g := r.Exam.Rig
	for i := range cause.Where.Spots {
		s := &cause.Where.Spots[i]
		for _, v := range s.Vertices {
			if cause.ID != "binding/sum-off" || a.thrown(s.Surface, v) {
				a.add(s.Surface, v)
			}
		}
	}
	if len(cause.Where.Spots) == 0 && cause.Where.Skin >= 0 {
		a.held(cause.Where.Skin)
	}
	if flat(cause) || cause.ID == "skeleton/loose-chain" {
		for _, n := range g.Order { // parents first
			if up := g.Nodes[n].Parent; up >= 0 && a.joints[up] {
				a.joints[n] = true
			}
		}
		for k := range g.Skins {
			a.held(rig.Skin(k))
		}
	}
	if cause.ID == "skeleton/role-unheld" {
		a.partners()
	}
	all, reached := 0, 0
	for i, s := range g.Surfaces {
		if s.Skin >= 0 {
			all += g.Meshes[s.Mesh].Vertices()
		}
		for _, in := range a.in[i] {
			if in {
				reached++
			}
		}
	}
	if all > 0 {
		a.share = float64(reached) / float64(all)
	}
	for i := range a.in {
		a.ring(i)
	}
	a.holders()
	return a
}

// holders lists the joints that hold what is reached.
func (a *reach) holders() {
	g := a.r.Exam.Rig
	for i, in := range a.in {
		s := g.Surfaces[i]
		if in == nil || s.Skin < 0 {
			continue
		}
		m, list := &g.Meshes[s.Mesh], g.Skins[s.Skin].Joints
		for k, w := range m.Weights {
			if j := int(m.Joints[k]); w >= firm && in[k/m.K] && j < len(list) {
				a.around[list[j]] = true
			}
		}
	}
}

func (a *reach) add(surface int, v rig.Vertex) {
	if a.in[surface] == nil {
		g := a.r.Exam.Rig
		a.in[surface] = make([]bool, g.Meshes[g.Surfaces[surface].Mesh].Vertices())
	}
	a.in[surface][v] = true
}

// thrown tells that a vertex whose weights do not sum to one stands off its place: the
// sum carries it from p to Σw·p.
func (a *reach) thrown(surface int, v rig.Vertex) bool {
	p, sum := a.r.Exam.RestPositions(surface)[3*v:3*v+3], a.sum(surface, v)
	if !(sum > 0) {
		return true
	}
	d := math.Abs(1-1/sum) * math.Sqrt(float64(p[0])*float64(p[0])+float64(p[1])*float64(p[1])+float64(p[2])*float64(p[2]))
	return !(d <= moved*a.r.Exam.Diagonal())
}

func (a *reach) sum(surface int, v rig.Vertex) (sum float64) {
	m := &a.r.Exam.Rig.Meshes[a.r.Exam.Rig.Surfaces[surface].Mesh]
	for _, w := range m.Weights[m.K*int(v) : m.K*int(v)+m.K] {
		sum += float64(w)
	}
	return sum
}

// held adds the vertices of a skin that the cause's joints hold.
func (a *reach) held(skin rig.Skin) {
	g := a.r.Exam.Rig
	list := g.Skins[skin].Joints
	for i, s := range g.Surfaces {
		if s.Skin != skin {
			continue
		}
		m := &g.Meshes[s.Mesh]
		for k, w := range m.Weights {
			if j := int(m.Joints[k]); w >= firm && j < len(list) && a.joints[list[j]] {
				a.add(i, rig.Vertex(k/m.K))
			}
		}
	}
}

// ring widens what is reached on one surface by the triangles that touch it, and by
// the other copies of the same place.
func (a *reach) ring(surface int) {
	in := a.in[surface]
	if in == nil {
		return
	}
	mesh := a.r.Exam.Rig.Surfaces[surface].Mesh
	tri, weld := a.r.Exam.Rig.Meshes[mesh].Triangles, a.r.Exam.Weld(mesh)
	place := make([]bool, weld.Groups())
	for v, yes := range in {
		if yes {
			place[weld.Of[v]] = true
		}
	}
	wider := slices.Clone(place)
	for t := 0; t+2 < len(tri); t += 3 {
		x, y, z := weld.Of[tri[t]], weld.Of[tri[t+1]], weld.Of[tri[t+2]]
		if place[x] || place[y] || place[z] {
			wider[x], wider[y], wider[z] = true, true, true
		}
	}
	for v := range in {
		in[v] = wider[weld.Of[v]]
	}
}

// explains tells that a finding lies within the reach: nearly all of its vertices, or
// their images on the other side (of a measure of a whole zone, one in twenty: a few
// vertices out of place spoil a volume); without vertices, all its joints, or joints
// beside them; without either, when the cause reaches most of the figure.
func (a *reach) explains(f *check.Finding) bool {
	if f.ID == "intake/bounds-off" {
		return a.spoilsBox(f)
	}
	if len(f.Where.Spots) > 0 {
		n, of := 0, 0
		for i := range f.Where.Spots {
			s := &f.Where.Spots[i]
			for _, v := range s.Vertices {
				of++
				if a.has(s.Surface, v) || slices.Contains(sides, f.ID) && a.opposite(s.Surface, v) {
					n++
				}
			}
		}
		least := explained
		if slices.Contains(zones, f.ID) {
			least = spoilt
		}
		return of > 0 && float64(n) >= least*float64(of)
	}
	if f.ID == "skeleton/off-centre" { // its section runs through the surface there
		return !slices.ContainsFunc(f.Where.Joints, func(n rig.Node) bool { return !a.near(n) && !a.around[n] })
	}
	if len(f.Where.Joints) > 0 && len(a.joints) > 0 {
		return !slices.ContainsFunc(f.Where.Joints, func(n rig.Node) bool { return !a.near(n) })
	}
	return len(f.Where.Joints) == 0 && a.share > 0.5
}

func (a *reach) has(surface int, v rig.Vertex) bool {
	return a.in[surface] != nil && a.in[surface][v]
}

// near tells that a joint is one of the cause's, or hangs on one, or bears one.
func (a *reach) near(n rig.Node) bool {
	if a.joints[n] {
		return true
	}
	nodes := a.r.Exam.Rig.Nodes
	if p := nodes[n].Parent; p >= 0 && a.joints[p] {
		return true
	}
	return slices.ContainsFunc(nodes[n].Children, func(c rig.Node) bool { return a.joints[c] })
}

// opposite tells that the mirror image of a vertex falls on a place that a reached
// vertex would have without the fault.
func (a *reach) opposite(surface int, v rig.Vertex) bool {
	m := a.r.Exam.Mirror()
	if !m.Found {
		return false
	}
	if a.home == nil {
		a.findHome()
		a.home = geom.NewTree(a.homeOf)
	}
	image := m.Reflect(space.At(a.r.Exam.RestPositions(surface), v))
	limit := float32(beside * a.r.Exam.Diagonal())
	id, _ := a.home.Nearest(float32(image[0]), float32(image[1]), float32(image[2]), limit*limit)
	return id >= 0
}

// findHome works out where the reached vertices would stand: by the weights made
// whole where sums are off, else by the matrix of the joint that holds most of the
// rest of the skin. In a figure that rests in another pose than it was bound in the
// latter misses, and nothing is explained that is not.
func (a *reach) findHome() {
	g, world := a.r.Exam.Rig, a.r.Exam.RestWorld()
	for i, in := range a.in {
		s := g.Surfaces[i]
		if in == nil || s.Skin < 0 {
			continue
		}
		m, skin := &g.Meshes[s.Mesh], &g.Skins[s.Skin]
		weight := make([]float64, len(skin.Joints))
		for k, w := range m.Weights {
			if j := int(m.Joints[k]); j < len(weight) && !a.joints[skin.Joints[j]] {
				weight[j] += float64(w)
			}
		}
		heavy := 0
		for j, w := range weight {
			if w > weight[heavy] {
				heavy = j
			}
		}
		to := world[skin.Joints[heavy]].Mul(&skin.Bind[heavy])
		rest := a.r.Exam.RestPositions(i)
		for v, yes := range in {
			if !yes {
				continue
			}
			var p [3]float64
			if sum := a.sum(i, rig.Vertex(v)); a.cause.ID == "binding/sum-off" && sum > 0 {
				for c := range p {
					p[c] = float64(rest[3*v+c]) / sum
				}
			} else {
				p = to.Point(space.At(m.Positions, v))
			}
			a.homeOf = append(a.homeOf, float32(p[0]), float32(p[1]), float32(p[2])) // the tree leaves out what is not finite
		}
	}
}

// spoilsBox tells that a reached vertex lies on every surface that a box misses.
func (a *reach) spoilsBox(f *check.Finding) bool {
	for _, n := range f.Where.Nodes {
		for i, s := range a.r.Exam.Rig.Surfaces {
			if s.Node == n && !slices.Contains(a.in[i], true) {
				return false
			}
		}
	}
	return len(f.Where.Nodes) > 0 && f.Where.Clip < 0
}

// factor is the one factor that a finding of unapplied-scale names, 0 where axes differ.
func (a *reach) factor() float64 { return measureOf(a.cause, "factor") }

func measureOf(f *check.Finding, name string) float64 {
	for _, m := range f.Measures {
		if m.Name == name {
			return m.Value
		}
	}
	return 0
}

// explainsHeight tells that a height is usual once the factor is taken away.
func (a *reach) explainsHeight(f *check.Finding) bool {
	h := f.Measures[0].Value / a.factor()
	return h >= 0.5 && h <= 3
}

// explainsFactor tells that a finding holds the same factor.
func (a *reach) explainsFactor(f *check.Finding) bool {
	k := a.factor()
	alike := func(v float64) bool { return k > 0 && v > 0 && math.Abs(math.Log(v/k)) < 0.01 }
	for _, m := range f.Measures {
		if strings.Contains(m.Name, "size") && (alike(m.Value) || alike(1/m.Value)) {
			return measureOf(f, "turned by") < 0.5
		}
		if m.Name == "scale off by" && alike(m.Value+1) && f.ID == "skeleton/scaled-joint" {
			return true
		}
	}
	return false
}

// flat tells a finding of a joint without size, or with no inverse.
func flat(f *check.Finding) bool {
	return f.ID == "skeleton/scaled-joint" && f.Grade == check.Stop
}

// explainsFlat tells what follows from a joint without size; one of another size is told
// by itself.
func (a *reach) explainsFlat(f *check.Finding) bool {
	if !flat(a.cause) {
		return false
	}
	if f.ID == "skeleton/uneven-pair" || f.ID == "skeleton/axes" { // pairs: one of each
		n := 0
		for _, j := range f.Where.Joints {
			if a.joints[j] {
				n++
			}
		}
		return n > 0 && 2*n >= len(f.Where.Joints)
	}
	return a.explains(f)
}

// explainsMoment tells an effect at the same joint of the same clip, within a key or two.
func (a *reach) explainsMoment(f *check.Finding) bool {
	c, w := &a.cause.Where, &f.Where
	const near = 0.14 // s: what keys that stray together span at most
	return c.Clip == w.Clip && len(c.Joints) > 0 && len(w.Joints) > 0 && c.Joints[0] == w.Joints[0] && math.Abs(c.Time-w.Time) <= near
}

// explainsSeam tells a gap between the last pose and the first that one key at an end
// makes: the same joint of the same clip, by about as much.
func (a *reach) explainsSeam(f *check.Finding) bool {
	c, w := &a.cause.Where, &f.Where
	same := c.Clip == w.Clip && len(c.Joints) > 0 && len(w.Joints) > 0 && c.Joints[0] == w.Joints[0]
	x, y := a.cause.Measures[0].Value, f.Measures[0].Value
	return same && math.Abs(x-y) <= 0.25*max(x, y)
}
