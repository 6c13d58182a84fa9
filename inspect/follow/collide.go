package follow

import (
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Capsule is all within a radius of a line that goes along with a node.
type Capsule struct {
	Node   rig.Node
	A, B   space.Vec // ends of the line, in the node's own space
	Radius float64   // metres at rest
}

// Capsules are those of the bones that hold the surface, but for the links of the chains: from
// each joint to those below it, as thick as a quarter of its points there allow; where what it
// holds lies across it, as a yoke on shoulders does, along the longest way through that.
func (c *Chains) Capsules() (out []Capsule) {
	e := c.e
	world, places := e.RestWorld(), held(e)
	holds := make([]bool, len(e.Rig.Nodes))
	for n := range holds {
		holds[n] = len(places[rig.Node(n)]) > 0
	}
	above := e.Rig.Above(holds)
	below := make([][]rig.Node, len(holds))
	for _, n := range e.Rig.Order {
		if a := above[n]; a >= 0 && holds[n] && c.at[n] < 0 {
			below[a] = append(below[a], n)
		}
	}
	least := none * c.height
	for _, n := range e.Rig.Order {
		if !holds[n] || c.follows(n) {
			continue
		}
		inverse, ok := world[n].Inverse()
		if !ok {
			continue
		}
		head := world[n].Origin()
		var ends []space.Vec
		for _, b := range below[n] {
			ends = append(ends, world[b].Origin())
		}
		if len(ends) == 0 {
			ends = append(ends, farthest(head, places[n]))
		}
		// Each point counts for the end that it is nearest to.
		near := make([][]space.Vec, len(ends))
		for _, p := range places[n] {
			best, far := 0, math.Inf(1)
			for i, end := range ends {
				if d := space.ToSegment(p, head, end); d < far {
					best, far = i, d
				}
			}
			near[best] = append(near[best], p)
		}
		for i, end := range ends {
			from, to, radius := head, end, thick(near[i], head, end)
			if a, b := through(near[i]); 2*thick(near[i], a, b) < radius {
				from, to, radius = a, b, thick(near[i], a, b)
			}
			if radius > least && radius-radius == 0 {
				out = append(out, Capsule{n, inverse.Point(from), inverse.Point(to), radius})
			}
		}
	}
	return out
}

// thick is how far from a line a quarter of the points beside it lie: within the surface also
// where a section is not round.
func thick(points []space.Vec, a, b space.Vec) float64 { return off(points, a, b, 25) }

// through is a line as far as points go, along the direction in which they are spread most.
func through(points []space.Vec) (a, b space.Vec) {
	flat := make([]float32, 0, 3*len(points))
	for _, p := range points {
		flat = append(flat, float32(p[0]), float32(p[1]), float32(p[2]))
	}
	m := geom.PointMoments(flat)
	axes, _ := geom.Axes(m.Cov)
	dir := axes[0]
	least, most := 0.0, 0.0
	for _, p := range points {
		s := p.Sub(m.Centre).Dot(dir)
		least, most = min(least, s), max(most, s)
	}
	return m.Centre.Add(dir.Mul(least)), m.Centre.Add(dir.Mul(most))
}

// follows tells that a node is a link or hangs on one.
func (c *Chains) follows(n rig.Node) bool {
	for ; n >= 0; n = c.e.Rig.Nodes[n].Parent {
		if c.at[n] >= 0 {
			return true
		}
	}
	return false
}

// body is the capsules at a moment.
type body struct {
	capsules []Capsule
	a, b     []space.XYZ
	room     [][]room // by link and capsule
	deepest  float64  // metres that a link was left inside, at most
	at       float64  // seconds
	by       int      // the link
}

// room is how near a link may come to a capsule's line, at its head, at its tail and between, in
// metres: its radius and that of the link, or as near as it is at rest. What lies inside there
// may lie so ever: a strap on a back, a tail that grows out of the hips.
type room [5]float64

// at is the room at a share of the way along the link.
func (r *room) at(share float64) float64 {
	x := share * float64(len(r)-1)
	i := min(int(x), len(r)-2)
	return r[i] + (r[i+1]-r[i])*(x-float64(i))
}

// newBody measures at rest.
func (c *Chains) newBody(capsules []Capsule) *body {
	b := &body{capsules: capsules, a: make([]space.XYZ, len(capsules)), b: make([]space.XYZ, len(capsules))}
	world := c.e.RestWorld()
	b.stand(world)
	for i := range c.Links {
		l := &c.Links[i]
		rooms := make([]room, len(capsules))
		head := space.Plain(world[l.Joint].Origin())
		for k := range capsules {
			for s := range rooms[k] {
				at := head.Add(l.rest.Mul(l.Length * float64(s) / float64(len(rooms[k])-1)))
				_, _, _, far := nearest(at, at, b.a[k], b.b[k])
				rooms[k][s] = min(capsules[k].Radius+l.Radius, far)
			}
		}
		b.room = append(b.room, rooms)
	}
	return b
}

// stand brings the capsules to where their nodes stand.
func (b *body) stand(world []rig.Affine) {
	for k := range b.capsules {
		c := &b.capsules[k]
		b.a[k], b.b[k] = space.Plain(world[c.Node].Point(c.A)), space.Plain(world[c.Node].Point(c.B))
	}
}

// deep finds the point of a link that is farthest inside a capsule: its share of the way, how
// deep, and the way out. Where it is outside, deep is below 0 or nothing.
func (b *body) deep(i, k int, head, tail space.XYZ) (share, deep float64, out space.XYZ) {
	r := &b.room[i][k]
	on, off, s, far := nearest(head, tail, b.a[k], b.b[k])
	share, deep, out = s, r.at(s)-far, on.Sub(off)
	for n := 1; n < len(r); n++ {
		s := float64(n) / float64(len(r)-1)
		at := head.Add(tail.Sub(head).Mul(s))
		on, off, _, far := nearest(at, at, b.a[k], b.b[k])
		if d := r[n] - far; d > deep {
			share, deep, out = s, d, on.Sub(off)
		}
	}
	return share, deep, out
}

// mostPushed is how far a link is turned at once to come out of a capsule, radians: it swings by
// that in a step only at 24 rad/s.
const mostPushed = 0.1

// rounds of pushing out: one capsule may push into the next.
const rounds = 12

// keepOut turns a link about its head until it lies in no capsule, as far as that goes, and
// takes away the speed that leads into one.
func (b *body) keepOut(i int, l *link, head space.XYZ, length, seconds float64) {
	slack := 1e-3 * length
	left := 0.0
	for range rounds {
		left = 0
		for k := range b.room[i] {
			tail := head.Add(l.u.Mul(length))
			// Most are far off, and this square says so.
			mid := head.Add(tail).Sub(b.a[k]).Sub(b.b[k]).Mul(.5)
			reach := max(b.room[i][k][0], b.room[i][k][len(room{})-1], b.capsules[k].Radius) + (length+b.b[k].Sub(b.a[k]).Len())/2
			if mid.Dot(mid) > reach*reach {
				continue
			}
			share, deep, out := b.deep(i, k, head, tail)
			if deep <= 0 {
				continue
			}
			left = max(left, deep)
			b.push(l, k, share*length, deep, out)
		}
		if left <= slack {
			break
		}
	}
	if left > slack {
		left = 0
		for k := range b.room[i] {
			_, deep, _ := b.deep(i, k, head, head.Add(l.u.Mul(length)))
			left = max(left, deep)
		}
	}
	if left > b.deepest {
		b.deepest, b.at, b.by = left, seconds, i
	}
}

// push turns a link so that its point at a distance from the head comes out of a capsule by
// how deep it is.
func (b *body) push(l *link, k int, arm, deep float64, out space.XYZ) {
	out, ok := out.Unit()
	if !ok {
		out, ok = l.u.Cross(b.b[k].Sub(b.a[k])).Unit()
	}
	if !ok || arm < deep/10 {
		return // at its head it lies inside: the link above must give way
	}
	to, ok := l.u.Mul(arm).Add(out.Mul(deep)).Unit()
	if !ok {
		return
	}
	turn := space.TurnBetween(l.u, to)
	if far := angle(l.u, to); far > mostPushed {
		// What is suddenly deep inside comes out by and by, and does not leap.
		arc := space.NewArc(space.Turn{W: 1}, turn)
		turn, _ = arc.At(mostPushed / far).Unit()
		to = turn.Rotate(l.u)
	}
	l.u, l.v = to, turn.Rotate(l.v)
	if flat, ok := out.Sub(l.u.Mul(out.Dot(l.u))).Unit(); ok {
		if into := l.v.Dot(flat); into < 0 {
			l.v = l.v.Sub(flat.Mul(into))
		}
	}
}

// nearest are the points of two lines of given ends that are nearest to each other, the share
// of the way along the first where it is, and their distance (Ericson 2005, Real-Time
// Collision Detection, 5.1.9: closest points of two segments).
func nearest(p, q, a, b space.XYZ) (on, off space.XYZ, share, far float64) {
	d, e, r := q.Sub(p), b.Sub(a), p.Sub(a)
	dd, ee, f := d.Dot(d), e.Dot(e), e.Dot(r)
	s, t := 0.0, 0.0
	switch {
	case !(dd > 0) && !(ee > 0):
	case !(dd > 0):
		t = clamp(f / ee)
	default:
		c := d.Dot(r)
		if !(ee > 0) {
			s = clamp(-c / dd)
			break
		}
		de := d.Dot(e)
		if cross := dd*ee - de*de; cross > 1e-12*dd*ee {
			s = clamp((de*f - c*ee) / cross)
		}
		t = (de*s + f) / ee
		if t < 0 {
			s, t = clamp(-c/dd), 0
		} else if t > 1 {
			s, t = clamp((de-c)/dd), 1
		}
	}
	on, off = p.Add(d.Mul(s)), a.Add(e.Mul(t))
	return on, off, s, on.Sub(off).Len()
}

func clamp(x float64) float64 { return min(max(x, 0), 1) }

// DeepestIn is how far the links get into capsules over all clips of a rig, looked at so many
// times a second, less what each point of them is inside at rest: metres. It measures by points
// along every link and knows nothing of how the clips were made.
func (c *Chains) DeepestIn(r *rig.Rig, capsules []Capsule, hertz float64) (worst float64) {
	const points = 41 // along a link: a fortieth of it apart
	p := deform.NewPose(r)
	var rest []float64
	look := func(each func(n int, deep float64)) {
		n := 0
		for i := range c.Links {
			l := &c.Links[i]
			w := &p.World[l.Joint]
			head := w.Origin()
			way := w.Point(l.Tail).Sub(head)
			for k := range capsules {
				a, b := p.World[capsules[k].Node].Point(capsules[k].A), p.World[capsules[k].Node].Point(capsules[k].B)
				for s := range points {
					at := head.Add(way.Mul(float64(s) / (points - 1)))
					each(n, capsules[k].Radius+l.Radius-space.ToSegment(at, a, b))
					n++
				}
			}
		}
	}
	look(func(_ int, deep float64) { rest = append(rest, max(deep, 0)) })
	for n := range r.Clips {
		for f := range int(r.Clips[n].Seconds*hertz) + 1 {
			p.Sample(rig.Clip(n), float64(f)/hertz)
			look(func(n int, deep float64) { worst = max(worst, deep-rest[n]) })
		}
	}
	return worst
}
