package bends

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// ring is one closed section of the surface at rest, across a bone. Its points hang
// on the edges they cut, so a move carries them along.
type ring struct {
	points []crossing
	area   float64  // m²
	laid   [2]*laid // by method, at rest; nil: it has no width there
}

// laid is a ring at rest, flattened about its middle.
type laid struct {
	flat []float64  // 3 a point: u and v from the middle, weight (length of the line there)
	inv  [3]float64 // of the second moments
}

// crossing is a point of an edge: a + k·(b − a).
type crossing struct {
	a, b uint32
	k    float64
}

// section finds the ring across a bone at a point: of all closed lines in which the
// plane cuts the surface, that go through the zone and round the point, the smallest.
// A limb inside a sleeve is measured, not the sleeve. false: there is none.
func (z *zone) section(at, normal mgl64.Vec3) (best ring, ok bool) {
	b := z.b
	if l := normal.Len(); l < 1e-12 || l != l {
		return best, false
	}
	normal = normal.Normalize()
	plane := geom.Plane{Normal: normal, Offset: normal.Dot(at)}
	above := func(p uint32) bool {
		v := 3 * b.of[p]
		return normal[0]*b.rest[v]+normal[1]*b.rest[v+1]+normal[2]*b.rest[v+2] >= plane.Offset
	}
	seen := b.marks()
	var line geom.Section
	line.Closed = true
	for _, t := range z.tri {
		if seen[t] == b.mark {
			continue
		}
		a0, a1, a2 := above(b.place[b.tri[3*t]]), above(b.place[b.tri[3*t+1]]), above(b.place[b.tri[3*t+2]])
		if a0 == a1 && a1 == a2 {
			continue
		}
		points, closed := b.walk(t, above, seen, &plane)
		if !closed || len(points) < 3 {
			continue
		}
		line.Points = line.Points[:0]
		for _, c := range points {
			line.Points = append(line.Points, c.in(b.rest))
		}
		_, area := line.Middle(normal)
		if area > 0 && (!ok || area < best.area) && line.Around(at, normal) {
			best, ok = ring{points: points, area: area}, true
		}
	}
	if !ok {
		return best, false
	}
	best.laid[deform.Linear] = best.lay(b.rest, normal)
	best.laid[deform.Dual] = best.laid[deform.Linear]
	if b.apart() {
		best.laid[deform.Dual] = best.lay(b.dual, best.across(b.dual))
	}
	return best, best.laid[deform.Linear] != nil
}

// across is the normal of the plane that a ring lies in, nearly (Newell). In plain numbers:
// rings of helpers have hundreds of points, and arrays are kept in memory.
func (r *ring) across(rest []float64) (n mgl64.Vec3) {
	first := r.points[0].in(rest)
	ox, oy, oz := first[0], first[1], first[2]
	var ax, ay, az, nx, ny, nz float64
	for i := 1; i < len(r.points); i++ {
		c := &r.points[i]
		p, q := rest[3*c.a:3*c.a+3:3*c.a+3], rest[3*c.b:3*c.b+3:3*c.b+3]
		bx, by, bz := p[0]+(q[0]-p[0])*c.k-ox, p[1]+(q[1]-p[1])*c.k-oy, p[2]+(q[2]-p[2])*c.k-oz
		if i > 1 {
			nx, ny, nz = nx+(ay*bz-az*by), ny+(az*bx-ax*bz), nz+(ax*by-ay*bx)
		}
		ax, ay, az = bx, by, bz
	}
	n = mgl64.Vec3{nx, ny, nz}
	if l := n.Len(); l > 0 {
		return n.Mul(1 / l)
	}
	return n
}

// walk follows the plane from triangle to triangle. It ends where it began, or (not
// closed) where the surface ends or branches.
func (b *body) walk(t uint32, above func(uint32) bool, seen []uint32, plane *geom.Plane) (points []crossing, closed bool) {
	start := t
	from := uint32(geom.NoEdge)
	for {
		seen[t] = b.mark
		out := uint32(geom.NoEdge)
		for c := range uint32(3) {
			e := b.edges.Of[3*t+c]
			if e == geom.NoEdge {
				return points, false
			}
			if e == from {
				continue
			}
			p, q := b.tri[3*t+c], b.tri[3*t+(c+1)%3]
			if above(b.place[p]) == above(b.place[q]) {
				continue
			}
			dp, dq := plane.Side(b.at(p)), plane.Side(b.at(q))
			k := 0.5
			if d := dp - dq; d != 0 {
				k = min(1, max(0, dp/d))
			}
			points = append(points, crossing{p, q, k})
			out = e
			break
		}
		if out == geom.NoEdge || b.edges.Count[out] != 2 {
			return points, false
		}
		next := b.edges.Tri[2*out]
		if next == t {
			next = b.edges.Tri[2*out+1]
		}
		if next == start {
			return points, true
		}
		if seen[next] == b.mark {
			return points, false
		}
		t, from = next, out
	}
}

// in is where the crossing lies when the vertices stand as listed.
func (c *crossing) in(list []float64) mgl64.Vec3 {
	p, q := list[3*c.a:3*c.a+3:3*c.a+3], list[3*c.b:3*c.b+3:3*c.b+3]
	return mgl64.Vec3{p[0] + (q[0]-p[0])*c.k, p[1] + (q[1]-p[1])*c.k, p[2] + (q[2]-p[2])*c.k}
}

// lay flattens the ring into a plane about its middle. nil: it has no width.
func (r *ring) lay(rest []float64, normal mgl64.Vec3) *laid {
	if normal.Len() == 0 {
		return nil
	}
	u := space.Square(normal)
	v := normal.Cross(u)
	n := len(r.points)
	l := &laid{flat: make([]float64, 3*n)}
	places := make([]mgl64.Vec3, n)
	var middle mgl64.Vec3
	total := 0.0
	for i := range r.points {
		places[i] = r.points[i].in(rest)
	}
	for i := range places {
		w := (places[i].Sub(places[(i+1)%n]).Len() + places[i].Sub(places[(i+n-1)%n]).Len()) / 2
		l.flat[3*i+2] = w
		middle, total = middle.Add(places[i].Mul(w)), total+w
	}
	if !(total > 0) {
		return nil
	}
	middle = middle.Mul(1 / total)
	var uu, uv, vv float64
	for i := range places {
		d := places[i].Sub(middle)
		x, y, w := d.Dot(u), d.Dot(v), l.flat[3*i+2]/total
		l.flat[3*i], l.flat[3*i+1], l.flat[3*i+2] = x, y, w
		uu, uv, vv = uu+w*x*x, uv+w*x*y, vv+w*y*y
	}
	det := uu*vv - uv*uv
	if !(det > 1e-6*(uu+vv)*(uu+vv)) { // a slit
		return nil
	}
	l.inv = [3]float64{vv / det, -uv / det, uu / det}
	return l
}

// narrowest answers how much of its radius the ring keeps where it keeps least, and
// how much of its area: the smaller singular value, and the product of both, of the
// linear map that carries the ring at rest to the ring as moved, about its middle, by
// least squares, NaN where it has no width at rest. A twisted tube gives its radius factor; a bent one the factor in the
// plane of the bend.
func (z *zone) narrowest(r *ring, t *turning) (radius, area float64) {
	l := r.laid[z.method]
	if l == nil {
		return math.NaN(), math.NaN()
	}
	var middle mgl64.Vec3
	moved := make([]mgl64.Vec3, len(r.points))
	for i, c := range r.points {
		p := z.place(c.a, t)
		moved[i] = p.Add(z.place(c.b, t).Sub(p).Mul(c.k))
		middle = middle.Add(moved[i].Mul(l.flat[3*i+2]))
	}
	var su, sv mgl64.Vec3
	for i := range moved {
		d := moved[i].Sub(middle)
		x, y, w := l.flat[3*i], l.flat[3*i+1], l.flat[3*i+2]
		su, sv = su.Add(d.Mul(w*x)), sv.Add(d.Mul(w*y))
	}
	// Columns of the map, in the plane's frame.
	a := su.Mul(l.inv[0]).Add(sv.Mul(l.inv[1]))
	c := su.Mul(l.inv[1]).Add(sv.Mul(l.inv[2]))
	p, q, s := a.Dot(a), a.Dot(c), c.Dot(c)
	most, least := space.Stretches(p, q, s)
	if !(most > 0) {
		return 0, 0
	}
	return math.Sqrt(least), math.Sqrt(max(0, p*s-q*q))
}
