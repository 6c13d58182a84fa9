package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Meeting is an open edge that lies along another one which runs the opposite way:
// two borders of one surface that were meant to be one line.
type Meeting struct {
	Edge, Partner uint32  // of Edges; Partner is the nearest that fits
	Gap           float64 // metres: the larger distance of an end from the end it meets, above 0
}

const (
	// meetShare is how far an end may lie from the end it meets, × length of the
	// shorter edge. From a half on the next vertex along the border is as near as the
	// right one; a third leaves room for both ends being off.
	meetShare = 1. / 3

	// A fold sharper than meetFold is the hem of a cloth of two layers, not a surface
	// that goes on: cos 30°.
	meetFold = 0.866

	// A run of meeting edges counts from runEdges on, or from runShare of the border
	// it is part of: two hems with unlike numbers of vertices come into step for an
	// edge or two by chance.
	runEdges = 6
	runShare = 0.25
)

// MeetingEdges finds the open edges that meet another within reach metres and within
// a third of their length, ends crossed over, while the surface goes on beyond them.
// Points (3·V) are the places of the triangles (3·T) that edges were found of. The
// answer is in rising order of Edge. all is false when the search was given up after
// so much work: there may be more.
//
// Source of the idea: common practice, no source; an open edge is a half-edge without
// twin, and twins run opposite ways.
func MeetingEdges(points []float32, triangles []uint32, edges *Edges, reach float64, work int, watch *Watch) (out []Meeting, all bool) {
	m := meetWalk{points: points, edges: edges}
	m.gather(triangles)
	if len(m.open) < 2 || reach <= 0 {
		return nil, true
	}
	middles := make([]float32, 0, 3*len(m.open))
	for i := range m.open {
		a, b := m.at(m.open[i].from), m.at(m.open[i].to)
		middles = append(middles, float32((a[0]+b[0])/2), float32((a[1]+b[1])/2), float32((a[2]+b[2])/2))
	}
	tree := newTree(middles, watch)
	found := make([]Meeting, 0, len(m.open))
	all = true
	for i := range m.open {
		if i%64 == 0 && !watch.Spend(64*workOfMeeting) {
			return nil, false
		}
		e := &m.open[i]
		far := min(reach, meetShare*e.length)
		if !(far > 0) {
			continue
		}
		best := Meeting{Edge: e.edge, Gap: math.Inf(1)}
		// The middles lie no farther apart than the ends; a hair more, as they are float32.
		whole := tree.Within(middles[3*i], middles[3*i+1], middles[3*i+2], float32(far*far*1.001), func(id uint32) bool {
			if work--; work < 0 {
				return false
			}
			o := &m.open[id]
			if gap := m.gap(e, o); gap <= far && gap <= meetShare*o.length && gap < best.Gap && m.goesOn(e, o) {
				best.Gap, best.Partner = gap, o.edge
			}
			return true
		})
		if best.Gap < math.Inf(1) {
			found = append(found, best)
		}
		if !whole {
			all = false
			break
		}
	}
	return m.runs(found), all
}

// workOfMeeting is what one look at the neighbours of an edge costs, in pieces of
// work: see Watch.
const workOfMeeting = 30

type openEdge struct {
	edge, triangle  uint32
	from, to, third uint32 // places, as the triangle runs
	length          float64
}

type meetWalk struct {
	points []float32
	edges  *Edges
	open   []openEdge
}

func (m *meetWalk) gather(triangles []uint32) {
	for i, n := range m.edges.Count {
		if n != 1 {
			continue
		}
		t := m.edges.Tri[2*i]
		for k := range uint32(3) {
			if m.edges.Of[3*t+k] != uint32(i) {
				continue
			}
			e := openEdge{edge: uint32(i), triangle: t, from: triangles[3*t+k], to: triangles[3*t+(k+1)%3], third: triangles[3*t+(k+2)%3]}
			e.length = m.at(e.to).Sub(m.at(e.from)).Len()
			m.open = append(m.open, e)
		}
	}
}

func (m *meetWalk) at(place uint32) space.Vec {
	p := m.points[3*place : 3*place+3]
	return space.Vec{float64(p[0]), float64(p[1]), float64(p[2])}
}

// gap between two edges that run opposite ways; +Inf for two of one triangle.
func (m *meetWalk) gap(a, b *openEdge) float64 {
	if a.triangle == b.triangle {
		return math.Inf(1)
	}
	return max(m.at(a.from).Sub(m.at(b.to)).Len(), m.at(a.to).Sub(m.at(b.from)).Len())
}

// goesOn tells that the two triangles do not lie back to back.
func (m *meetWalk) goesOn(a, b *openEdge) bool {
	u, v := m.inwards(a), m.inwards(b)
	return u.Dot(v) <= meetFold*math.Sqrt(u.Dot(u)*v.Dot(v))
}

// inwards points from an edge to the third corner, across the edge.
func (m *meetWalk) inwards(e *openEdge) space.Vec {
	d, u := m.at(e.to).Sub(m.at(e.from)), m.at(e.third).Sub(m.at(e.from))
	k := d.Dot(u) / d.Dot(d)
	return space.Vec{u[0] - k*d[0], u[1] - k*d[1], u[2] - k*d[2]}
}

// runs keeps the edges of runs that are long enough.
func (m *meetWalk) runs(found []Meeting) []Meeting {
	if len(found) == 0 {
		return nil
	}
	border, run := NewUnion(len(m.points)/3), NewUnion(len(m.points)/3)
	for i := range m.open {
		border.Join(m.open[i].from, m.open[i].to)
	}
	for i := range found {
		run.Join(m.edges.Ends[2*found[i].Edge], m.edges.Ends[2*found[i].Edge+1])
	}
	inBorder, inRun := map[uint32]int{}, map[uint32]int{}
	for i := range m.open {
		inBorder[border.Find(m.open[i].from)]++
	}
	for i := range found {
		inRun[run.Find(m.edges.Ends[2*found[i].Edge])]++
	}
	kept := found[:0]
	for _, x := range found {
		end := m.edges.Ends[2*x.Edge]
		n := inRun[run.Find(end)]
		if n >= runEdges || float64(n) >= runShare*float64(inBorder[border.Find(end)]) {
			kept = append(kept, x)
		}
	}
	return kept
}
