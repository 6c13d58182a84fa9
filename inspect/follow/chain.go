package follow

import (
	"math"
	"slices"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Link is one joint of a chain and what it turns as a straight piece.
type Link struct {
	Joint  rig.Node
	Above  int       // place in Chains.Links of the link it hangs on, −1
	Tail   space.Vec // where it ends, in the joint's own space
	Length float64   // metres at rest; 0: it has no direction and is carried along stiffly
	Radius float64   // metres: the median distance of its vertices from it, 0: it has none
	Below  float64   // metres of chain from its head on, itself included: the longest way down
	Along  float64   // share of the chain's length at its tail: 1 at its end
	Tip    bool      // no joint hangs on it: its end was found on the surface, or guessed

	rest space.XYZ // unit, world at rest: from head to tail
	down float64   // how far that points down, −1 to 1
}

// Chains are joints that follow, as links: what hangs on what, parents first.
type Chains struct {
	Links []Link

	e      *exam.Exam
	height float64    // metres, of the figure
	at     []int      // by node: place in Links, −1
	path   []rig.Node // links and the nodes between them, parents first
	onPath []bool     // by node
}

// none tells lengths apart from nothing, in sizes of the figure.
const none = 1e-6

// Find makes links of joints; what hangs between two of them is carried along. A link ends
// where the next begins, at the middle of several; the last one at the node that hangs on it,
// else where its surface ends, else it is as long as the one above.
func Find(e *exam.Exam, joints []rig.Node) *Chains {
	r := e.Rig
	c := &Chains{e: e, at: make([]int, len(r.Nodes))}
	in := make([]bool, len(r.Nodes))
	for _, n := range joints {
		if n >= 0 && int(n) < len(in) {
			in[n] = true
		}
	}
	above := r.Above(in)
	for i := range c.at {
		c.at[i] = -1
	}
	for _, n := range r.Order {
		if !in[n] {
			continue
		}
		l := Link{Joint: n, Above: -1, Tip: true}
		if above[n] >= 0 {
			l.Above = c.at[above[n]]
			c.Links[l.Above].Tip = false
		}
		c.at[n] = len(c.Links)
		c.Links = append(c.Links, l)
	}
	c.onPath = make([]bool, len(r.Nodes))
	for _, n := range slices.Backward(r.Order) {
		c.onPath[n] = c.onPath[n] || in[n]
		if p := r.Nodes[n].Parent; p >= 0 && c.onPath[n] && above[n] >= 0 {
			c.onPath[p] = true
		}
	}
	for _, n := range r.Order {
		if c.onPath[n] {
			c.path = append(c.path, n)
		}
	}
	c.measure()
	c.ends()
	for i := len(c.Links) - 1; i >= 0; i-- {
		l := &c.Links[i]
		l.Below += l.Length
		if l.Above >= 0 {
			up := &c.Links[l.Above]
			up.Below = max(up.Below, l.Below)
		}
	}
	for i := range c.Links {
		l := &c.Links[i]
		before := 0.0 // metres of chain above
		for up := l.Above; up >= 0; up = c.Links[up].Above {
			before += c.Links[up].Length
		}
		if l.Below > 0 {
			l.Along = (before + l.Length) / (before + l.Below)
		}
	}
	return c
}

// measure takes the height of the body; of joints alone, or of what lies flat, its size.
func (c *Chains) measure() {
	c.height = c.e.Height()
	if !(c.height > 0) {
		c.height = c.e.Size()
	}
	if c.height > 0 && !math.IsInf(c.height, 0) {
		return
	}
	box := geom.EmptyBox()
	for _, w := range c.e.RestWorld() {
		if at := w.Origin(); space.Finite(at) {
			box.Add(at)
		}
	}
	c.height = box.Diagonal()
}

// ends finds the tail of every link, its thickness and its direction.
func (c *Chains) ends() {
	world := c.e.RestWorld()
	least := none * c.height
	sum, n := make([]space.Vec, len(c.Links)), make([]float64, len(c.Links))
	for i := range c.Links {
		l := &c.Links[i]
		if l.Above >= 0 {
			sum[l.Above], n[l.Above] = sum[l.Above].Add(world[l.Joint].Origin()), n[l.Above]+1
		}
		if l.Tip { // nodes that end it
			for _, k := range c.e.Rig.Nodes[l.Joint].Children {
				sum[i], n[i] = sum[i].Add(world[k].Origin()), n[i]+1
			}
		}
	}
	held := held(c.e)
	for i := range c.Links {
		l := &c.Links[i]
		head := world[l.Joint].Origin()
		points := held[l.Joint]
		tail := head
		switch {
		case n[i] > 0:
			tail = sum[i].Mul(1 / n[i])
		case len(points) > 0:
			tail = farthest(head, points)
		}
		if l.Tip && l.Above >= 0 && !(tail.Sub(head).Len() > least && n[i]+float64(len(points)) > 0) {
			up := &c.Links[l.Above]
			tail = head.Add(up.rest.Vec().Mul(up.Length))
		}
		way := tail.Sub(head)
		inverse, ok := world[l.Joint].Inverse()
		if far := way.Len(); ok && far > least && far-far == 0 {
			l.Length, l.Tail = far, inverse.Point(tail)
			l.rest, _ = space.Plain(way).Unit()
			l.down = -l.rest.Y
			l.Radius = off(points, head, tail, 50)
		}
	}
}

// held lists for every node the places at rest whose largest weight is on it.
func held(e *exam.Exam) map[rig.Node][]space.Vec {
	out := map[rig.Node][]space.Vec{}
	for i, s := range e.Rig.Surfaces {
		m := &e.Rig.Meshes[s.Mesh]
		at := e.RestPositions(i)
		for v := range m.Vertices() {
			n := s.Node
			if s.Skin >= 0 && m.K > 0 {
				joints := e.Rig.Skins[s.Skin].Joints
				j := m.Strongest(v, len(joints))
				if j < 0 {
					continue
				}
				n = joints[j]
			}
			if p := space.At(at, v); n >= 0 && space.Finite(p) {
				out[n] = append(out[n], p)
			}
		}
	}
	return out
}

// farthest is the end of a piece that begins at head: along the direction of its middle, as far
// as any of its points.
func farthest(head space.Vec, points []space.Vec) space.Vec {
	var sum space.Vec
	for _, p := range points {
		sum = sum.Add(p.Sub(head))
	}
	dir, ok := space.Unit(sum)
	if !ok {
		return head
	}
	far := 0.0
	for _, p := range points {
		far = max(far, p.Sub(head).Dot(dir))
	}
	return head.Add(dir.Mul(far))
}

// off is the distance of points from a line between two ends that so many per cent of them do
// not reach: of those beside it, as a section has them; of all where there are fewer than few.
// What lies beyond an end, as the hem of a coat below the hips, says nothing of how thick it is.
func off(points []space.Vec, a, b space.Vec, percent float64) float64 {
	const few = 8 // fewer than eight points have no tenth and no quarter
	var far []float64
	for _, p := range points {
		if s := space.Along(p, a, b); s > 0 && s < 1 {
			far = append(far, space.ToSegment(p, a, b))
		}
	}
	if len(far) < few {
		far = far[:0]
		for _, p := range points {
			far = append(far, space.ToSegment(p, a, b))
		}
	}
	if len(far) == 0 {
		return 0
	}
	return space.Percentile(far, percent)
}

// Hangs tells whether a link hangs down at rest, within 30° (common practice, no source: a
// chain that is drawn so is drawn hanging).
func (l *Link) Hangs() bool { return l.Length > 0 && l.down > math.Sqrt(3)/2 }

// stiff is the sag of chains that do not hang down at rest, degrees (common practice, no source).
const stiff = 20.0

// Sag is that of chains as they are drawn: those that hang down at rest hang freely.
func (c *Chains) Sag() float64 {
	for i := range c.Links {
		if l := &c.Links[i]; l.Length > 0 && !l.Hangs() {
			return stiff
		}
	}
	return Free
}
