package binding

import (
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Mismatch sums up how the weights of the two sides differ.
type Mismatch struct {
	Over     int     `json:"vertices_over"` // stored vertices whose weights differ by more than the limit, 0.1 by default
	Share    float64 `json:"share"`         // Over ÷ Compared
	Largest  float64 `json:"largest"`
	Mean     float64 `json:"mean"`
	Compared int     `json:"compared"`
	Unpaired int     `json:"unpaired"` // no partner, and no mirrored surface near

	// The same without vertices whose own weights, or those opposite, are gone or off: what
	// they differ by is another fault's doing. The check is judged by these.
	SoundOver     int     `json:"sound_over"`
	SoundShare    float64 `json:"sound_share"` // SoundOver ÷ SoundCompared
	SoundCompared int     `json:"sound_compared"`
}

// differenceLimit is the default of the check, used for the facts.
const differenceLimit = 0.1

// sides compares the weights of vertices that stand opposite each other.
type sides struct {
	e       *exam.Exam
	mirror  *exam.Mirror
	partner []rig.Node  // joint → joint on the other side, itself in the middle
	members [][]members // surface → vertices of each welded place
	skinned []bool      // surfaces
	diff    []float64   // one a node, 0 between vertices
	touched []rig.Node
	joint   []float64  // sum of the differences, one a node
	unfit   [][]bool   // surface → vertex → its weights are gone or off
	beside  bool       // the vertex compared last met one of those
	places  *geom.Tree // of all points of the mirror; nil until asked for
	at      []uint32   // points about as near as the partner, one by one
	facing  []int32    // surface → the one that most of its partners lie on, −1
	against []*against // surface → what it is compared with; nil until asked for
	all     *against   // every skinned surface; nil until asked for
	work    int        // triangles that may still be looked at
}

// lookEach triangles are looked at for a place, over all places: a surface asks for some
// tens. In a heap of triangles that all cross, each place lies near all of them, and what is
// then opposite says nothing.
const lookEach = 400

// members lists the vertices of one welded place.
type members struct{ list []rig.Vertex }

// compareSides fills in WeightMismatch and MirrorMismatch.
func (f *Facts) compareSides(e *exam.Exam) {
	if needsSkin(f) != "" {
		return
	}
	m := e.Mirror()
	if reason := m.PlaneDoubt(); reason != "" {
		f.NoMirror = reason
		return
	}
	s := &sides{e: e, mirror: m, work: lookEach * (1000 + len(m.Places)/3), partner: e.Opposite(), diff: make([]float64, len(e.Rig.Nodes)), joint: make([]float64, len(e.Rig.Nodes))}
	s.skinned = make([]bool, len(e.Rig.Surfaces))
	f.WeightMismatch = make([][]float32, len(e.Rig.Surfaces))
	s.unfit, f.unfit = make([][]bool, len(e.Rig.Surfaces)), make([][]bool, len(e.Rig.Surfaces))
	s.members = make([][]members, len(e.Rig.Surfaces))
	for i, surface := range e.Rig.Surfaces {
		if surface.Skin < 0 || m.Point[i] == nil || e.Rig.Meshes[surface.Mesh].K == 0 {
			continue
		}
		s.skinned[i] = true
		s.unfit[i] = unfit(e.Rig, i)
		s.members[i] = groupMembers(e.Weld(surface.Mesh))
	}
	s.findFacing()
	out := &Mismatch{}
	sum := 0.0
	for i, ok := range s.skinned {
		if !ok {
			continue
		}
		mesh := e.Rig.Surfaces[i].Mesh
		f.unfit[i] = make([]bool, e.Rig.Meshes[mesh].Vertices())
		field := make([]float32, e.Rig.Meshes[mesh].Vertices())
		for v := range field {
			if v&1023 == 0 && !f.watch.Spend(20*1024) {
				return
			}
			d := s.compare(i, v)
			field[v] = float32(d)
			f.unfit[i][v] = s.beside || s.unfit[i][v]
			if !math.IsNaN(d) && !f.unfit[i][v] {
				out.SoundCompared++
				f.Surfaces[i].Differ.Add(check.StepOf(float64(field[v]), weightPer, 1))
				if d > differenceLimit {
					out.SoundOver++
				}
			}
			switch {
			case !math.IsNaN(d):
				out.Compared++
				sum += d
				out.Largest = max(out.Largest, d)
				if d > differenceLimit {
					out.Over++
				}
			case m.Point[i][v] >= 0:
				out.Unpaired++
			}
		}
		f.WeightMismatch[i] = field
	}
	if out.Compared > 0 {
		out.Share = float64(out.Over) / float64(out.Compared)
		out.Mean = sum / float64(out.Compared)
	}
	if out.SoundCompared > 0 {
		out.SoundShare = float64(out.SoundOver) / float64(out.SoundCompared)
	}
	f.MirrorMismatch = out
	for k := range f.Skins {
		for j := range f.Skins[k].Joints {
			f.Skins[k].Joints[j].Mismatch = s.joint[f.Skins[k].Joints[j].Node]
		}
	}
}

// sumAway is how far a sum of weights may be off 1 and say nothing about the sides: what
// sum-off takes for rounding in 8 bits.
const sumAway = 2. / 255

// unfit tells for every vertex of a surface whether its weights are gone, or off one, or
// on a joint that is not there.
func unfit(r *rig.Rig, surface int) []bool {
	s := r.Surfaces[surface]
	m, joints := &r.Meshes[s.Mesh], len(r.Skins[s.Skin].Joints)
	out := make([]bool, m.Vertices())
	for v := range out {
		sum := 0.0
		for i := v * m.K; i < (v+1)*m.K; i++ {
			w := float64(m.Weights[i])
			sum += w
			out[v] = out[v] || w != 0 && int(m.Joints[i]) >= joints || w < 0
		}
		out[v] = out[v] || !(math.Abs(sum-1) <= sumAway*(1+1e-6))
	}
	return out
}

func groupMembers(w *geom.Welded) []members {
	count := make([]int32, w.Groups())
	for _, g := range w.Of {
		count[g]++
	}
	all := make([]rig.Vertex, 0, len(w.Of))
	out := make([]members, w.Groups())
	at := 0
	for g, n := range count {
		out[g].list = all[at : at : at+int(n)]
		at += int(n)
	}
	for v, g := range w.Of {
		out[g].list = append(out[g].list, rig.Vertex(v))
	}
	return out
}

// compare answers how much the weights of one vertex differ from those opposite,
// NaN when there is nothing opposite.
func (s *sides) compare(surface, v int) float64 {
	i := s.mirror.Point[surface][v]
	s.beside = false
	if i < 0 {
		return math.NaN()
	}
	j := s.mirror.Partner[i]
	if j < 0 {
		return s.compareSurface(surface, v, int(i))
	}
	if !s.skinned[s.mirror.Surface[j]] {
		return math.NaN()
	}
	best := choice{d: math.Inf(1)}
	if s.among(&best, surface, v, int(j)); best.d > 1e-6 {
		for _, k := range s.level(int(i)) {
			if int32(k) != j && s.skinned[s.mirror.Surface[k]] {
				s.among(&best, surface, v, int(k))
			}
		}
	}
	if best.d > 1e-6 && !math.IsInf(best.d, 0) {
		s.put(surface, v, 1, true)
		s.put(best.surface, best.vertex, -1, false)
		s.take(s.joint)
	}
	if math.IsInf(best.d, 0) {
		return math.NaN()
	}
	return best.d
}

// choice is the vertex opposite that differs least.
type choice struct {
	d               float64
	surface, vertex int
}

// among looks at the vertices that lie in one place: of split ones the most alike counts.
func (s *sides) among(best *choice, surface, v, point int) {
	other := int(s.mirror.Surface[point])
	weld := s.e.Weld(s.e.Rig.Surfaces[other].Mesh)
	for _, u := range s.members[other][weld.Of[s.mirror.Vertex[point]]].list {
		s.beside = s.beside || s.unfit[other][u]
		s.put(surface, v, 1, true)
		s.put(other, int(u), -1, false)
		if d := s.take(nil); d < best.d {
			*best = choice{d, other, int(u)}
		}
		if best.d < 1e-6 {
			return
		}
	}
}

// oneSpot of the diagonal: two surfaces that meet in one place, a sleeve and the hand in
// it, have their vertices as near as this, and rounding says which of them is the partner.
const oneSpot = 1e-5

// mostLevel places are looked at, no more: a file may heap any number into one.
const mostLevel = 16

// level lists the points that lie as near to the mirror image of one as its partner does,
// but for rounding.
func (s *sides) level(point int) []uint32 {
	if s.places == nil {
		s.places = geom.NewTree(s.mirror.Places)
	}
	image := s.mirror.Reflect(space.At(s.mirror.Places, point))
	far := float32(float64(s.mirror.Distance[point]) + oneSpot*s.e.Diagonal())
	s.at = s.at[:0]
	s.places.Within(float32(image[0]), float32(image[1]), float32(image[2]), far*far, func(id uint32) bool {
		s.at = append(s.at, id)
		return len(s.at) < mostLevel
	})
	return s.at
}

// against is what vertices of one surface without a partner are compared with: the
// triangles of the surfaces that face it.
type against struct {
	triangles *geom.Triangles
	owner     []int32 // triangle → surface
	corner    []rig.Vertex
}

// compareSurface takes the weights at the closest point of the surface to the
// vertex's mirror image, within the reach of a partner.
func (s *sides) compareSurface(surface, v, point int) float64 {
	if s.against[surface] == nil {
		s.against[surface] = s.faces(surface)
	}
	a := s.against[surface]
	image := s.mirror.Reflect(space.At(s.mirror.Places, point))
	hit, ok := a.triangles.ClosestWithin(image, float64(s.mirror.Reach[point]), &s.work)
	if !ok {
		return math.NaN()
	}
	s.put(surface, v, 1, true)
	for c := range 3 {
		s.beside = s.beside || hit.At[c] != 0 && s.unfit[a.owner[hit.Triangle]][a.corner[3*hit.Triangle+c]]
		s.put(int(a.owner[hit.Triangle]), int(a.corner[3*hit.Triangle+c]), -hit.At[c], false)
	}
	d := s.take(s.joint)
	if math.IsInf(d, 0) {
		return math.NaN()
	}
	return d
}

// findFacing lets the partners vote which surface faces which: a left sleeve the right
// one, a coat itself.
func (s *sides) findFacing() {
	n := len(s.skinned)
	s.facing, s.against = make([]int32, n), make([]*against, n)
	votes := map[[2]int32]int{}
	for i, j := range s.mirror.Partner {
		if j >= 0 {
			votes[[2]int32{s.mirror.Surface[i], s.mirror.Surface[j]}]++
		}
	}
	most := make([]int, n)
	for i := range s.facing {
		s.facing[i] = -1
	}
	for pair, count := range votes {
		i, j := pair[0], pair[1]
		if count > most[i] || count == most[i] && j < s.facing[i] {
			most[i], s.facing[i] = count, j
		}
	}
}

// faces gathers the triangles that a surface is compared with: of the surface it faces,
// and of those that face it. What else lies there, a shoulder piece over an arm that lacks
// a triangle, is another part, bound to another joint. One that faces none is compared
// with all.
func (s *sides) faces(surface int) *against {
	main := s.facing[surface]
	if main < 0 {
		if s.all == nil {
			s.all = s.gather(func(int) bool { return true })
		}
		return s.all
	}
	return s.gather(func(i int) bool { return int32(i) == main || s.facing[i] == int32(surface) })
}

// gather takes the triangles of some skinned surfaces. Of several that lie in one place to
// the bit, as the surfaces of one mesh and skin do, the first stands for all: a search
// would have to look at each of them, at every vertex.
func (s *sides) gather(takes func(surface int) bool) *against {
	var triangles []uint32
	a := &against{}
	seen := map[[9]float32]bool{}
	several := 0
	for i, ok := range s.skinned {
		if ok && takes(i) {
			several++
		}
	}
	for i, ok := range s.skinned {
		if !ok || !takes(i) {
			continue
		}
		own := s.e.Rig.Meshes[s.e.Rig.Surfaces[i].Mesh].Triangles
		for t := 0; t+2 < len(own); t += 3 {
			var at [9]float32
			for c := range 3 {
				p := s.mirror.Point[i][own[t+c]]
				triangles = append(triangles, uint32(p))
				a.corner = append(a.corner, rig.Vertex(own[t+c]))
				if several > 1 && p >= 0 {
					copy(at[3*c:], s.mirror.Places[3*p:3*p+3])
				}
			}
			if several > 1 {
				if seen[at] {
					triangles, a.corner = triangles[:len(triangles)-3], a.corner[:len(a.corner)-3]
					continue
				}
				seen[at] = true
			}
			a.owner = append(a.owner, int32(i))
		}
	}
	a.triangles = geom.NewTriangles(s.mirror.Places, triangles)
	return a
}

// put adds a vertex's weights times k to the difference, on the partners' side
// when across.
func (s *sides) put(surface, v int, k float64, across bool) {
	r := s.e.Rig
	m := &r.Meshes[r.Surfaces[surface].Mesh]
	joints := r.Skins[r.Surfaces[surface].Skin].Joints
	for i, end := v*m.K, v*m.K+m.K; i < end; i++ {
		w := m.Weights[i]
		if w == 0 || int(m.Joints[i]) >= len(joints) {
			continue
		}
		n := joints[m.Joints[i]]
		if across {
			n = s.partner[n]
		}
		s.diff[n] += k * float64(w)
		s.touched = append(s.touched, n)
	}
}

// take answers the sum of the differences and clears them, adding each to its
// joint's total when given. Not a number counts as infinite.
func (s *sides) take(total []float64) float64 {
	sum := 0.0
	for _, n := range s.touched {
		d := math.Abs(s.diff[n])
		s.diff[n] = 0
		if d > math.MaxFloat64 || math.IsNaN(d) {
			sum = math.Inf(1)
			continue
		}
		sum += d
		if total != nil {
			total[n] += d
		}
	}
	s.touched = s.touched[:0]
	return sum
}
