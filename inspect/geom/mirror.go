package geom

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// Shape is what a mirror plane is sought for.
type Shape struct {
	Points    []float32      // 3·N, distinct places (welded), metres
	Triangles []uint32       // 3·T, places in Points; may be nil
	Pairs     [][2]space.Vec // places that should lie opposite each other (partner joints); may be nil
	Diagonal  float64        // of the shape's box; 0: worked out from Points
	Watch     *Watch         // ended by it, no plane is found; may be nil
}

// Mirror is the best mirror plane of a shape and how well it holds.
type Mirror struct {
	Plane
	Found bool // false: there is none to speak of (no point, all in one place, flat along every axis tried)

	// Partner is the point opposite each point, one to one: its own place for a
	// point on the plane, −1 where there is none within Reach.
	Partner []int32
	// Reach is how far from the mirror image a partner may lie, metres: the smaller
	// of 0.5 % of the diagonal and half the mean length of the edges there.
	Reach []float32
	// Distance from the mirror image of each point to its partner, else to the
	// nearest point, metres.
	Distance []float32

	Pairs          int     // of two distinct points
	OnPlane        int     // points that are their own partner
	Unmatched      int     // points without a partner
	UnmatchedShare float64 // Unmatched ÷ N
	Largest, Mean  float64 // of Distance, metres
	Alike          float64 // 0…1: share of the points off the plane whose image lies within 2 % of the diagonal from the shape
}

// PartnerReach is the part of the diagonal beyond which no vertex counts as
// a mirror partner (common practice, no source).
const PartnerReach = 0.005

// FindMirror finds the mirror plane, assuming none, and matches the points one to
// one over it. Planes are taken from partner joints, from the axes of the world
// through its origin and through the middles of the shape, from the principal
// axes of its surface (a mirror plane holds the centroid and has an eigenvector
// as its normal) and, where none of these is any good, from a fan of directions.
// The most promising are fitted to their own pairs by least squares; the one that
// matches most points wins, the earlier one when they match alike. It takes
// n·log n and answers the same each time.
func FindMirror(s Shape) Mirror {
	n := len(s.Points) / 3
	m := Mirror{Partner: make([]int32, n), Reach: make([]float32, n), Distance: make([]float32, n)}
	for i := range m.Partner {
		m.Partner[i] = -1
		m.Distance[i] = float32(math.NaN())
	}
	box := BoxOf(s.Points)
	if s.Diagonal == 0 {
		s.Diagonal = box.Diagonal()
	}
	m.Unmatched = n
	if n > 0 {
		m.UnmatchedShare = 1
	}
	if n < 2 || !(s.Diagonal > 0) || math.IsInf(s.Diagonal, 0) {
		return m
	}
	moments := surfaceMoments(s.Points, s.Triangles, s.Watch)
	if moments.Weight == 0 {
		moments = PointMoments(s.Points)
	}
	s.Watch.Spend(20 * n)
	// Everything from here on is relative to the middle of the box: float32 has no
	// digits to spare far from the origin.
	middle := box.Center()
	centred := make([]float32, len(s.Points))
	for i := range centred {
		centred[i] = float32(float64(s.Points[i]) - middle[i%3])
	}
	tree := newTree(centred, s.Watch)
	f := newFinder(tree, centred, s.Diagonal)
	f.watch = s.Watch
	s.Watch.Spend(20 * n)
	edge := meanEdges(s)
	s.Watch.Spend(20 * n)
	plane, ok := f.find(candidates(s, box, moments), moments, middle, edge)
	if !ok {
		return m
	}
	m.Found = true
	m.Alike = f.alike(plane, s.Triangles)
	for i, far := 0, float32(PartnerReach*s.Diagonal); i < n; i++ {
		m.Reach[i] = far
		if edge[i] > 0 {
			m.Reach[i] = min(far, edge[i]/2)
		}
	}
	m.Plane = snapped(planeThrough(plane.Normal, middle.Add(plane.Normal.Mul(plane.Offset))), middle, s.Diagonal)
	match(&m, Plane{m.Normal, -m.Side(middle)}, centred, tree, s.Watch)
	m.Found = s.Watch.Err() == nil
	return m
}

// snapped is a plane square to an axis of the world, or one through its origin,
// where the plane differs from that by no more than the digits of float32 tell.
func snapped(p Plane, middle space.Vec, diagonal float64) Plane {
	const digits = 1e-6    // some roundings of float32 (6e-8 of the largest number), added up over a figure
	foot := p.Foot(middle) // turns about here, in the middle of the shape
	for c := range 3 {
		rest := p.Normal
		rest[c] = 0
		if rest.Len() < digits {
			p.Normal = space.Vec{}
			p.Normal[c] = 1
			p.Offset = foot[c]
		}
	}
	if math.Abs(p.Offset) < digits*diagonal {
		p.Offset = 0
	}
	return p
}

// meanEdges answers the mean length of the edges at each point; 0 where there are
// none. An edge between two triangles counts twice, which changes no mean on a
// closed surface.
func meanEdges(s Shape) []float32 {
	sum, count := make([]float32, len(s.Points)/3), make([]int32, len(s.Points)/3)
	for t := 0; t+2 < len(s.Triangles); t += 3 {
		for k := range 3 {
			a, b := s.Triangles[t+k], s.Triangles[t+(k+1)%3]
			dx, dy, dz := s.Points[3*a]-s.Points[3*b], s.Points[3*a+1]-s.Points[3*b+1], s.Points[3*a+2]-s.Points[3*b+2]
			if l := float32(math.Sqrt(float64(dx*dx + dy*dy + dz*dz))); l > 0 {
				sum[a] += l
				sum[b] += l
				count[a]++
				count[b]++
			}
		}
	}
	for i := range sum {
		if count[i] > 0 {
			sum[i] /= float32(count[i])
		}
	}
	return sum
}

// workOfNearest is what finding the nearest of a million points costs, in pieces of
// work: see Watch.
const workOfNearest = 20

// mostRounds bounds match; figures take two or three, a cloud of noise about ten.
const mostRounds = 24

// match pairs the points over a plane: whoever are nearest to each other's images
// are partners and step out, and so on with the rest. That is the matching which
// takes pairs in order of distance, without ever listing the pairs.
func match(m *Mirror, plane Plane, centred []float32, tree *Tree, watch *Watch) {
	n := len(m.Partner)
	images := make([]float32, 3*n)
	p := newPlane32(plane)
	for i := range n {
		images[3*i], images[3*i+1], images[3*i+2] = p.reflect(centred[3*i], centred[3*i+1], centred[3*i+2])
	}
	left := make([]uint32, n) // points that may still find a partner
	for i := range left {
		left[i] = uint32(i)
	}
	var alone []uint32 // points with none within reach
	nearest := make([]int32, n)
	all := tree
	var seek search
	for round := 0; len(left) > 0; round++ {
		if round > 0 {
			rest := make([]float32, 0, 3*len(left))
			for _, i := range left {
				rest = append(rest, centred[3*i:3*i+3]...)
			}
			tree = newTree(rest, watch)
		}
		for k, i := range left {
			if k%Stride == 0 && !watch.Spend(workOfNearest*Stride) {
				return
			}
			r := m.Reach[i]
			// One rounding step more than the reach squared, so that a point exactly
			// at the limit is in.
			j, square := seek.nearest(tree, images[3*i], images[3*i+1], images[3*i+2], math.Nextafter32(r*r, math.MaxFloat32))
			if j >= 0 && round > 0 {
				j = int32(left[j])
			}
			nearest[i], m.Distance[i] = j, float32(math.Sqrt(float64(square)))
		}
		for _, i := range left {
			if j := nearest[i]; j >= 0 && nearest[j] == int32(i) {
				m.Partner[i] = j
			}
		}
		found := false
		left = slices.DeleteFunc(left, func(i uint32) bool {
			switch {
			case m.Partner[i] >= 0:
				found = true
				return true
			case nearest[i] < 0:
				alone = append(alone, i)
				return true
			}
			return false
		})
		if found && round < mostRounds {
			continue
		}
		// A ring of equal distances in which nobody is nearest to each other's image:
		// first come, first served.
		for _, i := range left {
			if j := nearest[i]; m.Partner[i] < 0 && m.Partner[j] < 0 && m.Distance[i] <= m.Reach[j] {
				m.Partner[i], m.Partner[j] = j, int32(i)
				m.Distance[j] = m.Distance[i]
			}
		}
		left = slices.DeleteFunc(left, func(i uint32) bool { return m.Partner[i] >= 0 })
		break
	}
	left = append(left, alone...)
	slices.Sort(left)
	inf := float32(math.Inf(1))
	sum := 0.0
	for k, i := range left {
		if k%Stride == 0 && !watch.Spend(workOfNearest*Stride) {
			return
		}
		_, square := seek.nearest(all, images[3*i], images[3*i+1], images[3*i+2], inf)
		m.Distance[i] = float32(math.Sqrt(float64(square)))
	}
	for i, j := range m.Partner {
		switch {
		case int(j) == i:
			m.OnPlane++
		case j >= 0:
			m.Pairs++
		}
		if d := float64(m.Distance[i]); !math.IsInf(d, 0) {
			sum += d
			m.Largest = max(m.Largest, d)
		} else {
			m.Distance[i] = float32(math.NaN()) // not finite: no place at all
		}
	}
	m.Pairs /= 2
	m.Unmatched = len(left)
	m.UnmatchedShare = float64(len(left)) / float64(n)
	m.Mean = sum / float64(n)
}

// Across pairs points over a plane, one to one: the answer for each is the point within
// reach of its mirror image, −1 where there is none. It takes n·log n.
func Across(plane Plane, points []float32, reach float64) []int32 {
	n := len(points) / 3
	m := Mirror{Partner: make([]int32, n), Reach: make([]float32, n), Distance: make([]float32, n)}
	for i := range n {
		m.Partner[i], m.Reach[i] = -1, float32(reach)
	}
	if n > 0 {
		match(&m, plane, points, newTree(points, nil), nil)
	}
	return m.Partner
}

// plane32 is a plane for the loops over all points.
type plane32 struct{ x, y, z, offset float32 }

func newPlane32(p Plane) plane32 {
	return plane32{float32(p.Normal[0]), float32(p.Normal[1]), float32(p.Normal[2]), float32(p.Offset)}
}

func (p *plane32) reflect(x, y, z float32) (float32, float32, float32) {
	k := 2 * (p.x*x + p.y*y + p.z*z - p.offset)
	return x - k*p.x, y - k*p.y, z - k*p.z
}
