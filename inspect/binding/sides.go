package binding

import (
	"math"

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
	e        *exam.Exam
	mirror   *exam.Mirror
	partner  []rig.Node  // joint → joint on the other side, itself in the middle
	members  [][]members // surface → vertices of each welded place
	skinned  []bool      // surfaces
	diff     []float64   // one a node, 0 between vertices
	touched  []rig.Node
	joint    []float64 // sum of the differences, one a node
	mirrored *geom.Triangles
	owner    []int32 // triangle of mirrored → surface
	corner   []rig.Vertex
	unfit    [][]bool // surface → vertex → its weights are gone or off
	beside   bool     // the vertex compared last met one of those
}

// members lists the vertices of one welded place.
type members struct{ list []rig.Vertex }

// compareSides fills in WeightMismatch and MirrorMismatch.
func (f *Facts) compareSides(e *exam.Exam) {
	if needsSkin(f) != "" {
		return
	}
	m := e.Mirror()
	if reason := m.Doubt(); reason != "" {
		f.noMirror = reason
		return
	}
	s := &sides{e: e, mirror: m, partner: e.Opposite(), diff: make([]float64, len(e.Rig.Nodes)), joint: make([]float64, len(e.Rig.Nodes))}
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
	if j := s.mirror.Partner[i]; j >= 0 {
		other := int(s.mirror.Surface[j])
		if !s.skinned[other] {
			return math.NaN()
		}
		weld := s.e.Weld(s.e.Rig.Surfaces[other].Mesh)
		// Split vertices lie in one place: the one most like this counts.
		best, at := math.Inf(1), rig.Vertex(0)
		list := s.members[other][weld.Of[s.mirror.Vertex[j]]].list
		for _, u := range list {
			s.beside = s.beside || s.unfit[other][u]
			s.put(surface, v, 1, true)
			s.put(other, int(u), -1, false)
			if d := s.take(nil); d < best {
				best, at = d, u
			}
			if best < 1e-6 {
				break
			}
		}
		if best > 1e-6 && !math.IsInf(best, 0) {
			s.put(surface, v, 1, true)
			s.put(other, int(at), -1, false)
			s.take(s.joint)
		}
		if math.IsInf(best, 0) {
			return math.NaN()
		}
		return best
	}
	return s.compareSurface(surface, v, int(i))
}

// compareSurface takes the weights at the closest point of the surface to the
// vertex's mirror image, within the reach of a partner.
func (s *sides) compareSurface(surface, v, point int) float64 {
	if s.mirrored == nil {
		s.buildMirrored()
	}
	image := s.mirror.Reflect(space.At(s.mirror.Places, point))
	hit, ok := s.mirrored.Closest(image, float64(s.mirror.Reach[point]))
	if !ok {
		return math.NaN()
	}
	s.put(surface, v, 1, true)
	for c := range 3 {
		s.beside = s.beside || hit.At[c] != 0 && s.unfit[s.owner[hit.Triangle]][s.corner[3*hit.Triangle+c]]
		s.put(int(s.owner[hit.Triangle]), int(s.corner[3*hit.Triangle+c]), -hit.At[c], false)
	}
	d := s.take(s.joint)
	if math.IsInf(d, 0) {
		return math.NaN()
	}
	return d
}

// buildMirrored gathers the triangles of all skinned surfaces. Of several that lie in
// one place to the bit, as the surfaces of one mesh and skin do, the first stands for
// all: a search would have to look at each of them, at every vertex.
func (s *sides) buildMirrored() {
	var triangles []uint32
	defer func() { s.mirrored = geom.NewTriangles(s.mirror.Places, triangles) }()
	seen := map[[9]float32]bool{}
	several := 0
	for _, ok := range s.skinned {
		if ok {
			several++
		}
	}
	for i, ok := range s.skinned {
		if !ok {
			continue
		}
		own := s.e.Rig.Meshes[s.e.Rig.Surfaces[i].Mesh].Triangles
		for t := 0; t+2 < len(own); t += 3 {
			var at [9]float32
			for c := range 3 {
				p := s.mirror.Point[i][own[t+c]]
				triangles = append(triangles, uint32(p))
				s.corner = append(s.corner, rig.Vertex(own[t+c]))
				if several > 1 && p >= 0 {
					copy(at[3*c:], s.mirror.Places[3*p:3*p+3])
				}
			}
			if several > 1 {
				if seen[at] {
					triangles, s.corner = triangles[:len(triangles)-3], s.corner[:len(s.corner)-3]
					continue
				}
				seen[at] = true
			}
			s.owner = append(s.owner, int32(i))
		}
	}
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
