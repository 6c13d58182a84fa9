package surface

import (
	"math"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// curve are the tolerances of the weld curve, × diagonal.
var curve = [12]float64{0, 1e-6, 3e-6, 1e-5, 3e-5, 1e-4, 2e-4, 5e-4, 1e-3, 2e-3, 5e-3, 1e-2}

// WeldStep is what welding at one distance does.
type WeldStep struct {
	Share     float64 `json:"share"`          // × diagonal
	Metres    float64 `json:"metres"`         //
	Distinct  int     `json:"distinct"`       // places left
	Edges     int     `json:"edges_lost"`     // whose two ends become one
	Triangles int     `json:"triangles_lost"` // that lose an edge so
	Shift     float64 `json:"largest_shift"`  // metres, to the middle of the places that become one
}

func (s *WeldStep) add(o *WeldStep) {
	s.Distinct += o.Distinct
	s.Edges += o.Edges
	s.Triangles += o.Triangles
	s.Shift = max(s.Shift, o.Shift)
}

const (
	nearShare = 1e-5       // × diagonal: closer than that, and not equal, is near-coincident
	apartL1   = 0.01       // weights that differ by more than that move apart
	mostPairs = 200_000    // near pairs looked at one by one
	pairWork  = 40_000_000 // comparisons for counting near pairs
	safeShare = 0.25       // of the 1st percentile of edges: the suggested distance stays below
	shortEdge = 1          // percentile
)

// closeness fills in near pairs, seams, the weld curve and the distances to weld at.
func (s *sheet) closeness(f *Facts) {
	t, out := &f.Surfaces[s.surface].Topology, &f.Sheets[s.surface]
	near := geom.NewNear(s.points, s.watch)
	close := nearShare * s.size
	var gaps []float64
	t.NearPairs, t.NearAll = near.Pairs(close, mostPairs, pairWork, func(a, b uint32) {
		pair := [2]rig.Vertex{rig.Vertex(s.first[a]), rig.Vertex(s.first[b])}
		if s.apart(pair[0], pair[1]) {
			out.Held = append(out.Held, pair)
		} else {
			out.Near = append(out.Near, pair)
			gaps = append(gaps, s.at(a).Sub(s.at(b)).Len())
		}
	})
	t.HeldApart = len(out.Held)
	slices.SortFunc(out.Near, comparePairs)
	slices.SortFunc(out.Held, comparePairs)
	gaps = append(gaps, s.seams(f)...)

	s.watch.Spend(20 * len(s.first))
	lengths := s.lengths()
	t.Safe = s.safe(f, near, lengths)
	s.suggest(f, near, lengths, gaps)
	s.curve(f, near)
}

// curve measures what welding at each distance of the curve does, and from which of
// them on each vertex loses an edge. Its places are those at rest as stored.
func (s *sheet) curve(f *Facts, near *geom.Near) {
	if s.rest != nil {
		defer func(p []float32) { s.points = p }(s.points)
		s.points = s.rest
		near = geom.NewNear(s.points, s.watch)
	}
	t, out := &f.Surfaces[s.surface].Topology, &f.Sheets[s.surface]
	s.watch.Spend(20 * len(s.first))
	risk := make([]float32, len(s.first))
	for g := range risk {
		risk[g] = float32(math.Inf(1))
		if !s.inUse[g] {
			risk[g] = float32(math.NaN())
		}
	}
	lost := make([]bool, s.edges.N())
	var last WeldStep
	for i, share := range curve {
		if !s.watch.Spend(4 * len(s.first)) {
			return
		}
		step := WeldStep{Share: share, Metres: share * f.Size}
		root := near.Clusters(step.Metres)
		step.Distinct = distinct(root)
		if i > 0 && step.Distinct == last.Distinct {
			step.Edges, step.Triangles, step.Shift = last.Edges, last.Triangles, last.Shift
		} else if step.Distinct < len(root) {
			s.cost(&step, root, lost, risk)
		}
		last = step
		t.Steps = append(t.Steps, step)
		t.Curve = append(t.Curve, [2]float64{step.Metres, float64(step.Distinct)})
	}
	s.sum, s.count = nil, nil
	out.RiskFrom = make([]float32, len(s.of))
	for v, g := range s.of {
		out.RiskFrom[v] = risk[g]
		if !s.used[v] {
			out.RiskFrom[v] = float32(math.NaN())
		}
	}
}

// distinct counts the places that are left.
func distinct(root []uint32) (n int) {
	for g, r := range root {
		if uint32(g) == r {
			n++
		}
	}
	return n
}

func comparePairs(a, b [2]rig.Vertex) int {
	if a[0] != b[0] {
		return int(a[0]) - int(b[0])
	}
	return int(a[1]) - int(b[1])
}

// lengths of the edges, metres.
func (s *sheet) lengths() []float32 {
	out := make([]float32, s.edges.N())
	for i := range out {
		out[i] = float32(s.at(s.edges.Ends[2*i]).Sub(s.at(s.edges.Ends[2*i+1])).Len())
	}
	return out
}

// safe is the largest distance that loses no true edge: a quarter of the 1st
// percentile of their lengths, no longer than the shortest of them, and less where
// chains of places lose one below that. Edges that are near pairs themselves are no
// true ones. nil: no edge, or no such distance.
func (s *sheet) safe(f *Facts, near *geom.Near, lengths []float32) *float64 {
	close := nearShare * s.size
	var real []float32
	shortest := float32(math.Inf(1))
	for _, l := range lengths {
		if float64(l) > close {
			real = append(real, l)
			shortest = min(shortest, l)
		}
	}
	if len(real) == 0 {
		return nil
	}
	s.watch.Spend(20 * len(s.first))
	p := space.Percentile(real, shortEdge)
	limit := min(safeShare*float64(p), float64(math.Nextafter32(shortest, 0)))
	settled, done := 0.0, false
	for _, share := range curve {
		metres := share * f.Size
		if metres >= limit {
			break
		}
		if s.losesTrue(near.Clusters(metres), lengths, close) > 0 {
			done = true
			break
		}
		settled = metres
	}
	if !done && s.losesTrue(near.Clusters(limit), lengths, close) == 0 {
		settled = limit
	}
	near.Reset()
	if settled <= 0 {
		return nil
	}
	return &settled
}

// losesTrue counts the edges that are no near pairs and have both ends in one set.
func (s *sheet) losesTrue(root []uint32, lengths []float32, close float64) (n int) {
	for i, l := range lengths {
		if float64(l) > close && root[s.edges.Ends[2*i]] == root[s.edges.Ends[2*i+1]] {
			n++
		}
	}
	return n
}

// cost counts what is lost where the places of a set become one.
func (s *sheet) cost(step *WeldStep, root []uint32, lost []bool, risk []float32) {
	for i := range lost {
		a, b := s.edges.Ends[2*i], s.edges.Ends[2*i+1]
		if root[a] != root[b] {
			continue
		}
		step.Edges++
		if !lost[i] {
			lost[i] = true
			risk[a] = min(risk[a], float32(step.Metres))
			risk[b] = min(risk[b], float32(step.Metres))
		}
	}
	for i := 0; i < len(s.triangles); i += 3 {
		if s.edges.Of[i] != geom.NoEdge && (lost[s.edges.Of[i]] || lost[s.edges.Of[i+1]] || lost[s.edges.Of[i+2]]) {
			step.Triangles++
		}
	}
	if s.sum == nil {
		s.sum, s.count = make([]float64, 3*len(root)), make([]int32, len(root))
	}
	sum, count := s.sum, s.count
	clear(sum)
	clear(count)
	for g, r := range root {
		if !s.inUse[g] {
			continue
		}
		count[r]++
		for c := range 3 {
			sum[3*int(r)+c] += float64(s.points[3*g+c])
		}
	}
	for g, r := range root {
		if count[r] < 2 {
			continue
		}
		k := float64(count[r])
		middle := space.Vec{sum[3*r] / k, sum[3*r+1] / k, sum[3*r+2] / k}
		if d := s.at(uint32(g)).Sub(middle).Len(); d > step.Shift {
			step.Shift = d
		}
	}
}

// apart tells whether the weights of two vertices differ by more than apartL1.
func (s *sheet) apart(a, b rig.Vertex) bool {
	d := s.data
	if d.K == 0 {
		return false
	}
	sum := 0.0
	weight := func(v rig.Vertex, joint uint16) (w float64) {
		for k := range d.K {
			if d.Joints[d.K*int(v)+k] == joint {
				w += float64(d.Weights[d.K*int(v)+k])
			}
		}
		return w
	}
	for k := range d.K {
		j := d.Joints[d.K*int(a)+k]
		if d.Weights[d.K*int(a)+k] != 0 && !earlier(d.Joints[d.K*int(a):d.K*int(a)+k], j) {
			sum += math.Abs(weight(a, j) - weight(b, j))
		}
	}
	for k := range d.K {
		j := d.Joints[d.K*int(b)+k]
		if w := d.Weights[d.K*int(b)+k]; w != 0 && weight(a, j) == 0 {
			sum += math.Abs(float64(w))
		}
	}
	return sum > apartL1
}

func earlier(list []uint16, j uint16) bool {
	for _, x := range list {
		if x == j {
			return true
		}
	}
	return false
}
