package geom

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// Slicer cuts one surface by planes. Corners that stand in one place must be one
// place in triangles: weld first, or every seam opens the loops.
type Slicer struct {
	Tested    int // triangles that the cuts so far looked at
	points    []float32
	triangles []uint32
	above     []bool     // for few cuts: every place, every time
	tree      *Triangles // for many: only what the plane comes near
}

// manyCuts × triangles pay for a tree (bench_test.go: building one costs as much as
// some 100 cuts).
const manyCuts = 100

// NewSlicer keeps both slices: points (3·V) and triangles (3·T). cuts is how many
// will be asked for, about.
func NewSlicer(points []float32, triangles []uint32, cuts int) *Slicer {
	s := &Slicer{points: points, triangles: triangles}
	if cuts > manyCuts && len(triangles) > 3*treeLeaf {
		s.tree = NewTriangles(points, triangles)
	} else {
		s.above = make([]bool, len(points)/3)
	}
	return s
}

// Section is one connected line in which a plane cuts a surface.
type Section struct {
	Points []space.Vec // in the order of the walk; the first is not repeated
	Closed bool        // false: it ends at holes of the surface
}

// Cut answers the lines in which the plane cuts the surface, in the order of their
// first triangles. A place on the plane counts as above it, so that every triangle
// is crossed along one segment or not at all (half-open rule); where more than two
// triangles share an edge, loops part there.
func (s *Slicer) Cut(p Plane) []Section {
	c := cut{s: s, p: p, node: map[uint64]int32{}}
	if s.tree != nil {
		near := s.near(p)
		s.Tested += len(near)
		for _, t := range near {
			v := s.triangles[3*t : 3*t+3]
			c.triangle(v[0], v[1], v[2], s.isAbove(p, v[0]), s.isAbove(p, v[1]), s.isAbove(p, v[2]))
		}
		return c.walk()
	}
	s.Tested += len(s.triangles) / 3
	for v := range s.above {
		s.above[v] = s.isAbove(p, uint32(v))
	}
	for t := 0; t+2 < len(s.triangles); t += 3 {
		a, b, d := s.triangles[t], s.triangles[t+1], s.triangles[t+2]
		c.triangle(a, b, d, s.above[a], s.above[b], s.above[d])
	}
	return c.walk()
}

func (s *Slicer) isAbove(p Plane, v uint32) bool {
	x, y, z := float64(s.points[3*v]), float64(s.points[3*v+1]), float64(s.points[3*v+2])
	return p.Normal[0]*x+p.Normal[1]*y+p.Normal[2]*z >= p.Offset
}

// near answers the triangles in boxes that the plane cuts, in rising order.
func (s *Slicer) near(p Plane) (out []uint32) {
	t := s.tree.tree
	var d descent
	d.begin(t)
	for d.more() {
		n := d.take()
		b := t.box(n.k)
		lo, hi := 0.0, 0.0
		for c := range 3 {
			x, y := p.Normal[c]*float64(b[c]), p.Normal[c]*float64(b[c+3])
			lo, hi = lo+math.Min(x, y), hi+math.Max(x, y)
		}
		// Half the last bit of the sums, so that rounding loses no triangle.
		slack := 1e-12 * (math.Abs(lo) + math.Abs(hi) + math.Abs(p.Offset))
		if lo > p.Offset+slack || hi < p.Offset-slack {
			continue
		}
		if d.isLeaf(n) {
			out = append(out, t.id[n.lo:n.hi]...)
			continue
		}
		d.put(n.halves())
	}
	slices.Sort(out)
	return out
}

// cut gathers the segments of one plane. A node is an edge of the surface that the
// plane crosses.
type cut struct {
	s    *Slicer
	p    Plane
	node map[uint64]int32
	at   []space.Vec
	head []int32 // node → its last segment's end (2·segment + end) + 1
	next []int32 // segment's end → the one before, +1
	ends []int32 // 2 a segment: nodes
}

// triangle adds the segment of a triangle with corners above or below, if any. The
// corner that stands alone comes first.
func (c *cut) triangle(a, b, d uint32, aboveA, aboveB, aboveD bool) {
	switch {
	case aboveA == aboveB && aboveB == aboveD:
	case aboveA == aboveB:
		c.segment(d, a, b)
	case aboveB == aboveD:
		c.segment(a, b, d)
	default:
		c.segment(b, d, a)
	}
}

func (c *cut) segment(lone, a, b uint32) {
	from, to := c.cross(lone, a), c.cross(lone, b)
	for _, n := range [2]int32{from, to} {
		c.next = append(c.next, c.head[n])
		c.ends = append(c.ends, n)
		c.head[n] = int32(len(c.next))
	}
}

// cross answers the node of an edge, worked out the same from both its triangles.
func (c *cut) cross(a, b uint32) int32 {
	if a > b {
		a, b = b, a
	}
	key := uint64(a)<<32 | uint64(b)
	if n, ok := c.node[key]; ok {
		return n
	}
	pa, pb := space.At(c.s.points, a), space.At(c.s.points, b)
	da, db := c.p.Side(pa), c.p.Side(pb)
	k := 0.5
	if d := da - db; d != 0 {
		k = min(1, max(0, da/d))
	}
	n := int32(len(c.at))
	c.node[key] = n
	c.at = append(c.at, space.Vec{pa[0] + k*(pb[0]-pa[0]), pa[1] + k*(pb[1]-pa[1]), pa[2] + k*(pb[2]-pa[2])})
	c.head = append(c.head, 0)
	return n
}

// walk joins segments: open lines from their ends first, then loops.
func (c *cut) walk() (out []Section) {
	used := make([]bool, len(c.ends)/2)
	degree := make([]int32, len(c.at))
	for _, n := range c.ends {
		degree[n]++
	}
	take := func(n int32) (to int32, ok bool) {
		h := c.head[n]
		for h != 0 && used[(h-1)/2] {
			h = c.next[h-1]
		}
		c.head[n] = h
		if h == 0 {
			return 0, false
		}
		used[(h-1)/2] = true
		return c.ends[(h-1)^1], true
	}
	place := make([]int32, len(c.at)) // on the path, +1
	follow := func(start int32) {
		path := []int32{start}
		place[start] = 1
		for {
			to, ok := take(path[len(path)-1])
			if !ok {
				break
			}
			if k := place[to]; k > 0 {
				out = append(out, c.section(path[k-1:], true))
				for _, n := range path[k:] {
					place[n] = 0
				}
				path = path[:k]
				continue
			}
			path = append(path, to)
			place[to] = int32(len(path))
		}
		for _, n := range path {
			place[n] = 0
		}
		if len(path) > 1 {
			out = append(out, c.section(path, false))
		}
	}
	for pass := range 2 {
		for i, u := range used {
			for _, n := range c.ends[2*i : 2*i+2] {
				if !u && !used[i] && (pass == 1 || degree[n]%2 == 1) {
					follow(n)
				}
			}
		}
	}
	return out
}

func (c *cut) section(path []int32, closed bool) Section {
	s := Section{Points: make([]space.Vec, len(path)), Closed: closed}
	for i, n := range path {
		s.Points[i] = c.at[n]
	}
	return s
}

// Middle answers the centre of the area that a closed line in a plane of that
// normal encloses, and the area, never negative (shoelace formula). A line without
// area answers the middle of its points.
func (s *Section) Middle(normal space.Vec) (centre space.Vec, area float64) {
	if len(s.Points) == 0 {
		return centre, 0
	}
	o := s.Points[0]
	var sum space.Vec
	for i := 1; i+1 < len(s.Points); i++ {
		a, b := s.Points[i].Sub(o), s.Points[i+1].Sub(o)
		w := a.Cross(b).Dot(normal) / 2
		area += w
		for k := range 3 {
			sum[k] += w * (a[k] + b[k]) / 3
		}
	}
	if area == 0 {
		for _, p := range s.Points {
			for k := range 3 {
				centre[k] += p[k] / float64(len(s.Points))
			}
		}
		return centre, 0
	}
	for k := range 3 {
		centre[k] = o[k] + sum[k]/area
	}
	return centre, math.Abs(area)
}

// Around tells whether a closed line in a plane of that normal goes round a point
// of the plane, in sum (winding number not zero).
func (s *Section) Around(x, normal space.Vec) bool {
	u, v := acrossPlane(normal)
	turns := 0
	for i, p := range s.Points {
		q := s.Points[(i+1)%len(s.Points)]
		a, b := p.Sub(x), q.Sub(x)
		ax, ay, bx, by := a.Dot(u), a.Dot(v), b.Dot(u), b.Dot(v)
		if (ay > 0) == (by > 0) {
			continue
		}
		left := ax*by - ay*bx
		switch {
		case by > ay && left > 0:
			turns++
		case by < ay && left < 0:
			turns--
		}
	}
	return turns != 0
}

// acrossPlane answers two unit vectors at right angles to n and to each other.
func acrossPlane(n space.Vec) (u, v space.Vec) {
	k := 0
	for c := range 3 {
		if math.Abs(n[c]) < math.Abs(n[k]) {
			k = c
		}
	}
	var e space.Vec
	e[k] = 1
	u = n.Cross(e)
	l := u.Len()
	if l == 0 {
		return e, e
	}
	for c := range 3 {
		u[c] /= l
	}
	return u, n.Cross(u)
}
