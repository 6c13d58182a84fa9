package binding

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// seamDifference is how much the weights of vertices in one place may differ in sum
// before the seam between them opens in motion (common practice, no source).
const seamDifference = 0.01

// Seams are the places where vertices lie on each other bound differently.
type Seams struct {
	At     Group    `json:"at"`     // all vertices of such places that a triangle uses
	Opens  Opening  `json:"opens"`  // over the bend set, the widest
	Tried  int      `json:"tried"`  // places that the bend set was tried on
	Places int      `json:"places"` // all of them
	places []parted // until they are tried
}

// parted is one place with vertices bound differently.
type parted struct {
	surface    int
	list       []rig.Vertex
	difference float64 // of the weights, the largest found
}

// countSplit counts the stored vertices of one surface that share their place with
// one bound differently: all vertices of such a place.
func (f *Facts) countSplit(e *exam.Exam, surface int, joints int) (count int) {
	mesh := e.Rig.Surfaces[surface].Mesh
	m := &e.Rig.Meshes[mesh]
	weld := e.Weld(mesh)
	if m.K == 0 || weld.Groups() == len(weld.Of) {
		return 0
	}
	diff := make([]float64, joints)
	between := func(a, b rig.Vertex) (sum float64) {
		put := func(v rig.Vertex, k float64) {
			for i := int(v) * m.K; i < (int(v)+1)*m.K; i++ {
				if j := int(m.Joints[i]); j < joints {
					diff[j] += k * float64(m.Weights[i])
				}
			}
		}
		put(a, 1)
		put(b, -1)
		for _, v := range [2]rig.Vertex{a, b} {
			for i := int(v) * m.K; i < (int(v)+1)*m.K; i++ {
				if j := int(m.Joints[i]); j < joints {
					sum += math.Abs(diff[j])
					diff[j] = 0
				}
			}
		}
		return sum
	}
	used := e.Used(mesh)
	for _, g := range groupMembers(weld) {
		if len(g.list) < 2 {
			continue
		}
		if !f.watch.Spend(8 * m.K * len(g.list)) {
			return count
		}
		d := differ(g.list, between)
		if !(d > seamDifference) {
			continue
		}
		count += len(g.list)
		if slices.ContainsFunc(g.list, func(v rig.Vertex) bool { return used[v] }) {
			f.Seams.places = append(f.Seams.places, parted{surface, g.list, d})
			for _, v := range g.list {
				f.Seams.At.add(surface, v)
			}
		}
	}
	return count
}

// differ answers how far apart two of a list lie, the first pair found beyond
// seamDifference. Only those more than half of that from the first can: a place with
// thousands of vertices bound alike costs one comparison each.
func differ(list []rig.Vertex, between func(a, b rig.Vertex) float64) float64 {
	var apart []rig.Vertex
	largest := 0.0
	for _, v := range list[1:] {
		d := between(list[0], v)
		largest = max(largest, d)
		if d > seamDifference/2 {
			apart = append(apart, v)
		}
	}
	if largest > seamDifference {
		return largest
	}
	const most = 64 // of a crowd that no surface has
	apart = apart[:min(len(apart), most)]
	for i, a := range apart {
		for _, b := range apart[i+1:] {
			largest = max(largest, between(a, b))
		}
	}
	return largest
}

// openSeams tries the bend set on the seams and fills in SeamGap.
func (f *Facts) openSeams(e *exam.Exam, m *mover) {
	s := &f.Seams
	s.Opens, s.Places = closed(), len(s.places)
	if s.Places == 0 {
		return
	}
	slices.SortStableFunc(s.places, func(a, b parted) int { return cmp.Compare(b.difference, a.difference) })
	s.Tried = min(s.Places, mostMoving)
	f.SeamGap = make([][]float32, len(e.Rig.Surfaces))
	for _, p := range s.places[:s.Tried] {
		mesh := &e.Rig.Meshes[e.Rig.Surfaces[p.surface].Mesh]
		slots := every(mesh.K)
		var variants [][]hold
		for _, v := range p.list[:min(len(p.list), 16)] {
			variants = append(variants, m.holds(p.surface, v, slots, false))
		}
		if !f.watch.Spend(m.work(len(variants))) {
			return
		}
		o := m.widest(variants)
		if math.IsNaN(o.Metres) || math.IsInf(o.Metres, 0) {
			continue
		}
		if o.Metres > s.Opens.Metres {
			s.Opens = o
		}
		if f.SeamGap[p.surface] == nil {
			f.SeamGap[p.surface] = unknown(mesh.Vertices())
		}
		for _, v := range p.list {
			f.SeamGap[p.surface][v] = float32(o.Metres)
		}
	}
	s.places = nil
}

// unknown is a field without values yet.
func unknown(n int) []float32 {
	out := make([]float32, n)
	for i := range out {
		out[i] = float32(math.NaN())
	}
	return out
}
