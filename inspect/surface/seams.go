package surface

import (
	"math"

	"rigloupe/inspect/decimal"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Seams are borders that were meant to be one line and lie a hair apart: open edges
// that meet an open edge running the opposite way, where the surface goes on beyond.
type Seams struct {
	SeamEdges int         `json:"seam_edges"`
	SeamAll   bool        `json:"seam_edges_all"`  // false: there may be more, the search was given up
	SeamHeld  int         `json:"held_seam_edges"` // the same, but the weights on the two sides differ: parts that move apart
	SeamGap   *float64    `json:"seam_gap_m"`      // the widest; nil: no seam
	Suggested *float64    `json:"suggested_weld"`  // metres: where the plateau of the weld curve begins; nil: nothing to weld, or no distance spares the detail
	Weld      *Suggestion `json:"suggested_step"`  // what welding there does
}

// Suggestion is what welding at the suggested distance does; over all surfaces: what
// welding each at its own does.
type Suggestion struct {
	WeldStep
	OpenLeft int `json:"open_edges_left"`
}

const (
	seamReach = 2e-3       // × diagonal: wider gaps are openings
	seamShare = 0.01       // of the open edges of a surface: more, and the surface is not ready to be bound
	seamWork  = 10_000_000 // comparisons for finding seams
	tailGap   = 2          // × the 99th percentile: a gap beyond is no part of the plateau
	lossShare = 0.001      // of the edges may be lost at the suggested distance
)

// share is the part of the open edges that are a missed seam.
func (t *Topology) seamShare() float64 {
	if t.Boundary == 0 {
		return 0
	}
	return float64(t.SeamEdges) / float64(t.Boundary)
}

func (s *Seams) add(o *Seams) {
	s.SeamEdges += o.SeamEdges
	s.SeamHeld += o.SeamHeld
	s.SeamAll = s.SeamAll && o.SeamAll
	larger := func(a, b *float64) *float64 {
		if a == nil || b != nil && *b > *a {
			return b
		}
		return a
	}
	s.SeamGap, s.Suggested = larger(s.SeamGap, o.SeamGap), larger(s.Suggested, o.Suggested)
}

// sumWeld adds up what welding does.
func (f *Facts) sumWeld() {
	if f.Suggested == nil {
		return
	}
	sum := &Suggestion{WeldStep: WeldStep{Share: *f.Suggested / f.Size, Metres: *f.Suggested}}
	for i := range f.Surfaces {
		s := &f.Surfaces[i]
		if s.Weld == nil {
			sum.Distinct += s.Welded
			sum.OpenLeft += s.Boundary
			continue
		}
		sum.WeldStep.add(&s.Weld.WeldStep)
		sum.OpenLeft += s.Weld.OpenLeft
	}
	f.Seams.Weld = sum
}

// seams finds them and answers their gaps, metres, without those held apart.
func (s *sheet) seams(f *Facts) (gaps []float64) {
	if !(s.size > 0) { // all in one place, or nowhere: no distance has a meaning
		return nil
	}
	t, out := &f.Surfaces[s.surface].Topology, &f.Sheets[s.surface]
	meetings, all := geom.MeetingEdges(s.points, s.triangles, s.edges, seamReach*s.size, seamWork, s.watch)
	t.SeamAll = all
	for _, m := range meetings {
		if s.partsAt(m) {
			out.SeamsHeld = append(out.SeamsHeld, s.edge(int(m.Edge)))
			continue
		}
		out.Seams = append(out.Seams, s.edge(int(m.Edge)))
		gaps = append(gaps, m.Gap)
		if t.SeamGap == nil || m.Gap > *t.SeamGap {
			t.SeamGap = &m.Gap
		}
	}
	t.SeamEdges, t.SeamHeld = len(out.Seams), len(out.SeamsHeld)
	return gaps
}

// partsAt tells whether the weights on the two sides of a seam differ.
func (s *sheet) partsAt(m geom.Meeting) bool {
	a, b := s.edge(int(m.Edge)), s.edge(int(m.Partner))
	near := func(v, w rig.Vertex) float64 { return s.at(s.of[v]).Sub(s.at(s.of[w])).Len() }
	if near(a[0], b[0])+near(a[1], b[1]) > near(a[0], b[1])+near(a[1], b[0]) {
		b[0], b[1] = b[1], b[0]
	}
	return s.apart(a[0], b[0]) || s.apart(a[1], b[1])
}

// suggest works out the distance to weld at. The weld curve falls while what should
// be one place becomes one, then runs level until true edges are lost: the start of
// the level part closes all there is to close and moves the least. Where true edges
// are as short as the gaps, it goes down until no more than a thousandth is lost.
func (s *sheet) suggest(f *Facts, near *geom.Near, lengths []float32, gaps []float64) {
	if len(gaps) == 0 {
		return
	}
	t := &f.Surfaces[s.surface].Topology
	close := nearShare * s.size
	at := func(percent float64) float64 { return space.Percentile(gaps, percent) }
	top := at(100)
	if top > tailGap*at(99) {
		top = at(99)
	}
	last := math.Inf(1)
	for _, metres := range []float64{top, at(98), at(95), at(90), at(80), at(65), at(50)} {
		metres = decimal.Upwards(metres)
		if metres >= last {
			continue
		}
		last = metres
		if !s.watch.Spend(20 * len(s.first)) {
			return
		}
		near.Reset()
		root := near.Clusters(metres)
		if float64(s.losesTrue(root, lengths, close)) > lossShare*float64(len(lengths)) {
			continue
		}
		step := Suggestion{WeldStep: WeldStep{Share: metres / f.Size, Metres: metres, Distinct: distinct(root)}}
		s.cost(&step.WeldStep, root, make([]bool, s.edges.N()), make([]float32, len(s.first)))
		joined := make([]uint32, len(s.triangles))
		for i, g := range s.triangles {
			joined[i] = root[g]
		}
		edges := geom.FindEdges(joined, len(s.first), s.watch)
		for i := range edges.N() {
			if edges.Open(i) {
				step.OpenLeft++
			}
		}
		t.Suggested, t.Weld = &metres, &step
		break
	}
	near.Reset()
}
