package even

import (
	"math"
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Giver is the side that stays and is copied.
type Giver int8

const (
	Mean   Giver = 0  // both sides meet half way
	To     Giver = 1  // the side that the plane's normal points to gives
	Behind Giver = -1 // the other
)

// Drawn is a shape whose pairs are mirror images.
type Drawn struct {
	Points []float32
	Moved  []int32 // places that moved, in order
	LetGo  []Gone  // pairs that a guard kept from it
	Most   float64 // the longest move, metres
	Mean   float64 // of Moved
}

// Gone is a pair that was let go: neither of the two moves.
type Gone struct {
	A, B int32
	Why  Guard
}

// Guard is what keeps a pair from being drawn.
type Guard uint8

const (
	TooFar    Guard = iota // a move over the limit
	Turned                 // a triangle would turn over
	Stretched              // an edge would get under half or over twice its length
)

func (g Guard) String() string {
	return [...]string{"would move too far", "would turn a triangle over", "would stretch an edge to over twice or under half its length"}[g]
}

// leastEdge and mostEdge are how many times its length an edge may become (common practice, no
// source): what is drawn out farther was no pair.
const leastEdge, mostEdge = 0.5, 2.0

// Draw moves the pairs onto each other's mirror images: the giving side stays to the bit.
// A pair is let go where it would move farther than the limit, turn a triangle over or
// change an edge beyond half or twice its length; a triangle that becomes the mirror image
// of one of the giving side is right whatever it was.
func Draw(s *Shape, p *Pairs, from Giver, l Limits) *Drawn {
	w := &drawer{s: s, p: p, from: from, d: &Drawn{Points: slices.Clone(s.Points)}, gone: make([]bool, len(p.Of))}
	far := l.Move * s.Height
	for i := range p.Of {
		w.place(int32(i))
	}
	for i, j := range p.Of {
		if j >= int32(i) && (w.move(int32(i)) > far || w.move(j) > far) {
			w.letGo(int32(i), TooFar)
		}
	}
	w.copies()
	for w.guard() {
	}
	sum := 0.0
	for i := range p.Of {
		if m := w.move(int32(i)); m > 0 {
			w.d.Moved = append(w.d.Moved, int32(i))
			w.d.Most = max(w.d.Most, m)
			sum += m
		}
	}
	if n := len(w.d.Moved); n > 0 {
		w.d.Mean = sum / float64(n)
	}
	return w.d
}

type drawer struct {
	s    *Shape
	p    *Pairs
	from Giver
	d    *Drawn
	gone []bool
	copy []bool // by triangle: it becomes the image of another
}

// Gives tells that a place of a pair stays while the other is drawn to its image.
func Gives(s *Shape, p *Pairs, from Giver, i int32) bool {
	j := p.Of[i]
	if j < 0 || j == i || from == Mean {
		return false
	}
	a, b := s.Plane.Side(space.At(s.Points, int(i))), s.Plane.Side(space.At(s.Points, int(j)))
	if a == b {
		return i < j
	}
	return (a > b) == (from == To)
}

// place works out where a place goes.
func (w *drawer) place(i int32) {
	j := w.p.Of[i]
	if j < 0 {
		return
	}
	at := space.At(w.s.Points, int(i))
	var to space.Vec
	switch {
	case j == i:
		if to = w.s.Plane.Foot(at); to.Sub(at).Len() < leastMove*w.s.Height {
			return
		}
	case w.from == Mean:
		to = at.Add(w.s.Plane.Reflect(space.At(w.s.Points, int(j)))).Mul(0.5)
	case Gives(w.s, w.p, w.from, i):
		return
	default:
		to = w.s.Plane.Reflect(space.At(w.s.Points, int(j)))
	}
	if to.Sub(at).Len() < leastMove*w.s.Height {
		return // it is there but for rounding: its bytes stay
	}
	for c := range 3 {
		w.d.Points[3*int(i)+c] = float32(to[c])
	}
}

// leastMove is what rounding moves, a share of the height: nothing under it is written.
const leastMove = 1e-7

func (w *drawer) move(i int32) float64 {
	a, b := space.At(w.s.Points, int(i)), space.At(w.d.Points, int(i))
	d := b.Sub(a).Len()
	if d-d != 0 {
		return 0
	}
	return d
}

func (w *drawer) letGo(i int32, why Guard) {
	j := w.p.Of[i]
	if w.gone[i] {
		return
	}
	w.d.LetGo = append(w.d.LetGo, Gone{min(i, j), max(i, j), why})
	for _, k := range [2]int32{i, j} {
		w.gone[k] = true
		copy(w.d.Points[3*k:3*k+3], w.s.Points[3*k:3*k+3])
	}
}

// copies finds the triangles whose corners' partners are a triangle the other way round.
func (w *drawer) copies() {
	w.copy = make([]bool, len(w.s.Triangles)/3)
	key := func(a, b, c uint32) [3]uint32 { // the same ring of corners, the least first
		switch {
		case b < a && b < c:
			return [3]uint32{b, c, a}
		case c < a && c < b:
			return [3]uint32{c, a, b}
		}
		return [3]uint32{a, b, c}
	}
	has := make(map[[3]uint32]bool, len(w.copy))
	for t := range w.copy {
		c := w.s.Triangles[3*t : 3*t+3]
		has[key(c[0], c[1], c[2])] = true
	}
	for t := range w.copy {
		c := w.s.Triangles[3*t : 3*t+3]
		a, b, d := w.p.Of[c[0]], w.p.Of[c[1]], w.p.Of[c[2]]
		w.copy[t] = a >= 0 && b >= 0 && d >= 0 && has[key(uint32(d), uint32(b), uint32(a))]
	}
}

// guard lets pairs go for which a triangle turns over or an edge changes too much; true
// when it did, since what is left must be looked at again.
func (w *drawer) guard() bool {
	before := len(w.d.LetGo)
	for t := range w.copy {
		c := w.s.Triangles[3*t : 3*t+3]
		worst, far, gone := int32(-1), 0.0, false
		for _, v := range c {
			if m := w.move(int32(v)); m > far {
				worst, far = int32(v), m
			}
			gone = gone || w.gone[v]
		}
		if worst < 0 || w.copy[t] && !gone && w.from != Mean {
			continue
		}
		if why, bad := w.spoilt(c); bad {
			w.letGo(worst, why)
		}
	}
	return len(w.d.LetGo) > before
}

// spoilt tells that a triangle turns over or that an edge of it changes too much.
func (w *drawer) spoilt(c []uint32) (Guard, bool) {
	var was, is [3]space.Vec
	for k, v := range c {
		was[k], is[k] = space.At(w.s.Points, int(v)), space.At(w.d.Points, int(v))
	}
	a, b := was[1].Sub(was[0]).Cross(was[2].Sub(was[0])), is[1].Sub(is[0]).Cross(is[2].Sub(is[0]))
	if a.Len() > 0 && a.Dot(b) <= 0 {
		return Turned, true
	}
	for k := range 3 {
		x, y := was[(k+1)%3].Sub(was[k]).Len(), is[(k+1)%3].Sub(is[k]).Len()
		if x > 0 && !(y >= leastEdge*x && y <= mostEdge*x) {
			return Stretched, true
		}
	}
	return 0, false
}

// Smoother tells which side to copy: the one whose places lie nearer to the middle of
// their neighbours, summed over the pairs that are no mirror images. A dent, a bump and a
// part that was pulled all roughen the side that they are on. Mean where nothing tells.
func Smoother(s *Shape, p *Pairs) Giver {
	edges := geom.FindEdges(s.Triangles, len(p.Of), nil)
	sum, count := make([]space.Vec, len(p.Of)), make([]float64, len(p.Of))
	for e := 0; e+1 < len(edges.Ends); e += 2 {
		a, b := edges.Ends[e], edges.Ends[e+1]
		sum[a], sum[b] = sum[a].Add(space.At(s.Points, int(b))), sum[b].Add(space.At(s.Points, int(a)))
		count[a]++
		count[b]++
	}
	rough := func(i int32) float64 {
		if count[i] == 0 {
			return 0
		}
		d := sum[i].Mul(1 / count[i]).Sub(space.At(s.Points, int(i)))
		return d.Dot(d)
	}
	to, behind := 0.0, 0.0
	off, near := make([]bool, len(p.Of)), make([]bool, len(p.Of)) // no mirror images; beside one that is off
	for i, j := range p.Of {
		if j >= 0 && s.Plane.Reflect(space.At(s.Points, i)).Sub(space.At(s.Points, int(j))).Len() > 1e-5*s.Height {
			off[i], near[i] = true, true
		}
	}
	for e := 0; e+1 < len(edges.Ends); e += 2 {
		a, b := edges.Ends[e], edges.Ends[e+1]
		near[a], near[b] = near[a] || off[b], near[b] || off[a]
	}
	for i, j := range p.Of {
		if j <= int32(i) || !near[i] && !near[j] {
			continue
		}
		a, b := rough(int32(i)), rough(j)
		if s.Plane.Side(space.At(s.Points, i)) < s.Plane.Side(space.At(s.Points, int(j))) {
			a, b = b, a
		}
		to, behind = to+a, behind+b
	}
	switch d := to - behind; {
	case math.Abs(d) <= 1e-3*math.Max(to, behind):
		return Mean
	case d < 0:
		return To
	}
	return Behind
}
