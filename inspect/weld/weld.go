// Package weld makes one place of places that were meant to be one: borders of a surface
// that run along each other and miss, and vertices that lie a rounding apart. It takes
// and answers slices and knows neither files nor words.
//
// Seams come first: two open edges that run opposite ways, each end within the distance
// of the one that it meets (geom.MeetingEdges), are joined end to end. What is left over
// on borders is joined by distance, nearest pairs first, as long as no set becomes wider
// than the distance (complete linkage: chains of near places would drag vertices up to
// nine times as far). Never joined are the two ends of an edge, the walls of a thin part
// that lie back to back, and what moves apart because its weights differ.
package weld

import (
	"math"
	"slices"

	"rigloupe/inspect/decimal"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Shape is one surface whose equal places are one already.
type Shape struct {
	Points    []float32 // 3·P, world, metres; NaN: a place that nothing uses
	Triangles []uint32  // 3·T, places
	Diagonal  float64   // of the whole figure, metres

	// Apart tells that two places must not become one: what follows joints moves apart
	// there. nil: nothing does.
	Apart func(a, b uint32) bool

	Watch *geom.Watch
}

// Joined is what became of the places.
type Joined struct {
	To       []uint32 // place → the smallest place of its set
	Distance float64  // metres, that was joined at; 0: nothing lies near
	Plateau  bool     // no distance was given, and one tells seams from detail

	Seams   int  // open edges that were joined to another
	Places  int  // places that are no more
	Held    int  // pairs within the distance that stay two: weights differ
	Back    int  // because they lie back to back
	Ends    int  // because an edge joins them
	Wide    int  // because the set would be too wide
	GivenUp bool // there were too many pairs to look at all

	Gap      float64 // widest gap of a seam that was joined, metres
	Shortest float64 // true edge, metres
}

const (
	reach     = 2e-3       // × diagonal: wider gaps are openings; as the check counts them
	rounding  = 1e-5       // × diagonal: within it places are joined inside a surface, too
	seamWork  = 50_000_000 // looks at pairs of open edges
	mostPairs = 2_000_000  // pairs of places within the distance
	plateau   = 10         // the shortest edge is as many gaps long at least where a distance tells them apart
	tail      = 2          // × the 99th percentile: a gap beyond is none of the seam's
)

// Weld joins places at a distance in metres; 0: the one where the plateau of the weld
// curve begins, which is the widest gap of the seams, when the shortest edge is ten times
// as long, and seams alone when it is not.
func Weld(s Shape, distance float64) Joined {
	n := len(s.Points) / 3
	w := &welder{Shape: s, edges: geom.FindEdges(s.Triangles, n, s.Watch)}
	out := &w.out
	w.start(n)
	far := distance
	if distance == 0 {
		far = reach * s.Diagonal
	}
	if !(far > 0) {
		return w.done()
	}
	meetings, all := geom.MeetingEdges(s.Points, s.Triangles, w.edges, far, seamWork, s.Watch)
	out.GivenUp = !all
	out.Shortest = w.shortest()
	leftovers := far
	if distance == 0 {
		gaps := w.gaps(meetings)
		if len(gaps) == 0 { // no seam: what lies a rounding apart is one place all the same
			w.adjacent(2 * rounding * s.Diagonal)
			w.near(nil, rounding*s.Diagonal)
			if j := w.done(); j.Places > 0 {
				out.Distance, out.Plateau = rounding*s.Diagonal, true
			}
			return w.out
		}
		far = decimal.Upwards(gaps[len(gaps)-1])
		out.Plateau = far*plateau <= out.Shortest
		// Corners where several pieces meet: two that share no edge lie up to twice as far.
		leftovers = 2 * far
		if !out.Plateau {
			leftovers = 0
		}
	}
	out.Distance = far
	w.adjacent(max(2*far, leftovers))
	for _, m := range meetings {
		if m.Gap <= far {
			w.seam(m, 2*far)
		}
	}
	if leftovers > 0 {
		w.near(w.border(), leftovers)
		w.near(nil, min(leftovers, rounding*s.Diagonal))
	}
	return w.done()
}

// welder keeps each set as a ring of places.
type welder struct {
	Shape
	edges  *geom.Edges
	sets   *geom.Union
	ring   []uint32 // place → the next of its set
	joined map[uint64]bool
	normal []space.Vec // by place, of the triangles around it; nil: not worked out
	out    Joined
}

func (w *welder) start(n int) {
	w.sets = geom.NewUnion(n)
	w.ring = make([]uint32, n)
	for i := range w.ring {
		w.ring[i] = uint32(i)
	}
}

func (w *welder) done() Joined {
	w.out.To = w.sets.Flatten()
	for i, to := range w.out.To {
		if uint32(i) != to {
			w.out.Places++
		}
	}
	return w.out
}

func (w *welder) at(p uint32) space.Vec { return space.At(w.Points, int(p)) }

// gaps answers those of the seams that may be joined, in rising order, without the few
// that are far wider than all others.
func (w *welder) gaps(meetings []geom.Meeting) (gaps []float64) {
	for _, m := range meetings {
		a, b := w.across(m)
		if !w.apart(a[0], b[0]) && !w.apart(a[1], b[1]) {
			gaps = append(gaps, m.Gap)
		}
	}
	slices.Sort(gaps)
	if n := len(gaps); n > 0 {
		most := tail * gaps[(99*n+99)/100-1]
		for gaps[n-1] > most {
			n--
		}
		gaps = gaps[:n]
	}
	return gaps
}

func (w *welder) apart(a, b uint32) bool { return a != b && w.Apart != nil && w.Apart(a, b) }

// across answers the ends of two meeting edges, those that meet at the same place of the
// answer.
func (w *welder) across(m geom.Meeting) (a, b [2]uint32) {
	a = [2]uint32(w.edges.Ends[2*m.Edge : 2*m.Edge+2])
	b = [2]uint32(w.edges.Ends[2*m.Partner : 2*m.Partner+2])
	far := func(p, q uint32) float64 { return w.at(p).Sub(w.at(q)).Len() }
	if far(a[0], b[0])+far(a[1], b[1]) > far(a[0], b[1])+far(a[1], b[0]) {
		b[0], b[1] = b[1], b[0]
	}
	return a, b
}

// shortest true edge: one that is no rounding by itself.
func (w *welder) shortest() float64 {
	least := math.Inf(1)
	for i := range w.edges.N() {
		if l := w.at(w.edges.Ends[2*i]).Sub(w.at(w.edges.Ends[2*i+1])).Len(); l > rounding*w.Diagonal && l < least {
			least = l
		}
	}
	return least
}

// adjacent notes the edges that are short enough for both ends to be near.
func (w *welder) adjacent(most float64) {
	w.joined = map[uint64]bool{}
	for i := range w.edges.N() {
		a, b := w.edges.Ends[2*i], w.edges.Ends[2*i+1]
		if w.at(a).Sub(w.at(b)).Len() <= 2*most {
			w.joined[uint64(a)<<32|uint64(b)] = true
		}
	}
}

// members calls f for every place of a set; it ends when f answers false.
func (w *welder) members(p uint32, f func(q uint32) bool) bool {
	for q := w.ring[p]; ; q = w.ring[q] {
		if !f(q) {
			return false
		}
		if q == p {
			return true
		}
	}
}

// seam joins two meeting edges end to end.
func (w *welder) seam(m geom.Meeting, most float64) {
	a, b := w.across(m)
	if w.apart(a[0], b[0]) || w.apart(a[1], b[1]) {
		w.out.Held++
		return
	}
	both := true
	for k := range 2 {
		if w.sets.Find(a[k]) != w.sets.Find(b[k]) && !w.join(a[k], b[k], most) {
			both = false
		}
	}
	if both {
		w.out.Seams++
		w.out.Gap = max(w.out.Gap, m.Gap)
	}
}

// join makes one set of two where every place of one may be joined to every place of the
// other.
func (w *welder) join(a, b uint32, most float64) bool {
	why := &w.out.Wide
	ok := w.members(a, func(p uint32) bool {
		return w.members(b, func(q uint32) bool {
			switch {
			case w.joined[uint64(min(p, q))<<32|uint64(max(p, q))]:
				why = &w.out.Ends
			case !(w.at(p).Sub(w.at(q)).Len() <= most):
				why = &w.out.Wide
			case w.apart(p, q):
				why = &w.out.Held
			default:
				return true
			}
			return false
		})
	})
	if !ok {
		*why++
		return false
	}
	w.sets.Join(a, b)
	w.ring[a], w.ring[b] = w.ring[b], w.ring[a]
	return true
}

// border lists the places on open edges.
func (w *welder) border() []uint32 {
	is := make([]bool, len(w.ring))
	for i := range w.edges.N() {
		if w.edges.Open(i) {
			is[w.edges.Ends[2*i]], is[w.edges.Ends[2*i+1]] = true, true
		}
	}
	out := []uint32{}
	for p, yes := range is {
		if yes {
			out = append(out, uint32(p))
		}
	}
	return out
}

// near joins the places within a distance, the nearest first; some: of these, nil: of
// all.
func (w *welder) near(some []uint32, most float64) {
	points := w.Points
	if some != nil {
		points = make([]float32, 0, 3*len(some))
		for _, p := range some {
			points = append(points, w.Points[3*p:3*p+3]...)
		}
	}
	type pair struct {
		square float64
		a, b   uint32
	}
	var pairs []pair
	count, all := geom.NewNear(points, w.Watch).Pairs(most, mostPairs, seamWork, func(a, b uint32) {
		if some != nil {
			a, b = some[a], some[b]
		}
		if w.sets.Find(a) != w.sets.Find(b) {
			d := w.at(a).Sub(w.at(b))
			pairs = append(pairs, pair{d.Dot(d), a, b})
		}
	})
	w.out.GivenUp = w.out.GivenUp || !all || count > mostPairs
	slices.SortFunc(pairs, func(x, y pair) int {
		switch {
		case x.square != y.square && x.square < y.square, x.square == y.square && (x.a < y.a || x.a == y.a && x.b < y.b):
			return -1
		}
		return 1
	})
	for _, p := range pairs {
		switch {
		case w.sets.Find(p.a) == w.sets.Find(p.b):
		case w.back(p.a, p.b):
			w.out.Back++
		default:
			w.join(p.a, p.b, most)
		}
	}
}

// back tells that the surface at two places looks opposite ways.
func (w *welder) back(a, b uint32) bool {
	if w.normal == nil {
		w.normal = make([]space.Vec, len(w.ring))
		for t := 0; t+2 < len(w.Triangles); t += 3 {
			p, q, r := w.Triangles[t], w.Triangles[t+1], w.Triangles[t+2]
			n := w.at(q).Sub(w.at(p)).Cross(w.at(r).Sub(w.at(p)))
			if !space.Finite(n) {
				continue
			}
			for _, c := range []uint32{p, q, r} {
				w.normal[c] = w.normal[c].Add(n)
			}
		}
	}
	return w.normal[a].Dot(w.normal[b]) < 0
}
