// Package simplify takes triangles out of a surface by drawing vertices onto their neighbours,
// the cheapest first: Garland & Heckbert 1997, with further dimensions beside the place as in
// Garland & Heckbert 1998. Copies along a seam of picture or shading go along it together. Vertices are left out and none is moved, so that whatever they
// bear (pictures, weights, morph targets) stays theirs. Slices in, slices out.
package simplify

import (
	"container/heap"
	"math"

	"rigloupe/inspect/space"
)

// Mesh is what is simplified.
type Mesh struct {
	Triangles []uint32  // 3·T, vertices
	At        []float64 // D·V: the place at rest first, then what else is to be kept near
	D         int       // 3 or more
	Locked    []bool    // by vertex: it stays
	Place     []uint32  // by vertex: those with one number stand in one spot, copies along a seam, and go together; nil: each by itself
	Opposite  []int32   // by vertex: its mirror image, itself in the middle, −1: none; what goes on one side goes on the other; nil: none has one
	Within    float64   // how far, in the units of At, what is drawn may be off the planes it lay in, in the mean square over its triangles at rest; 0: any
}

// Reduced is what is left.
type Reduced struct {
	Triangles []uint32 // 3·T as they were, corners that went replaced
	Gone      []bool   // by triangle
	To        []uint32 // by vertex: where it was drawn to, itself where it stays
	Left      int      // triangles
}

// steep is the least cosine between a triangle's normal before and after: less folds it over.
const steep = 0.2

// Reduce draws vertices onto neighbours until so many triangles are left, or no more can go
// without folding the surface, joining its sheets or touching what is locked. look is asked
// now and then and ends it; nil: it is not.
func (m *Mesh) Reduce(want int, look func() error) (*Reduced, error) {
	r := &reducer{m: m, n: m.D*(m.D+1)/2 + m.D + 1, around: make([][]int32, len(m.Locked)), version: make([]int32, len(m.Locked))}
	r.Triangles = append([]uint32(nil), m.Triangles...)
	r.Gone = make([]bool, len(m.Triangles)/3)
	r.To = make([]uint32, len(m.Locked))
	r.Left = len(r.Gone)
	for v := range r.To {
		r.To[v] = uint32(v)
	}
	for t := range r.Gone {
		for _, v := range r.corners(int32(t)) {
			r.around[v] = append(r.around[v], int32(t))
		}
	}
	r.gather()
	r.quadrics()
	for v := range m.Locked {
		if r.spot[v] == uint32(v) {
			r.put(uint32(v))
		}
	}
	heap.Init(&r.queue)
	for steps := 0; r.Left > want && len(r.queue) > 0; steps++ {
		if look != nil && steps%4096 == 0 {
			if err := look(); err != nil {
				return nil, err
			}
		}
		c := heap.Pop(&r.queue).(candidate)
		if c.version != r.version[c.from]+r.version[c.to] || r.To[c.from] != c.from || r.To[c.to] != c.to {
			continue
		}
		if m.Within > 0 && c.cost > m.Within*m.Within*(r.areaOf(c.from)+r.areaOf(c.to)) {
			continue
		}
		u, v, both := r.opposite(c.from, c.to)
		switch {
		case !r.allowed(c.from, c.to) || both && !r.allowed(u, v):
		case u == c.from && v != c.to, u == c.to: // off the middle, or across it
		default:
			r.draw(c.from, c.to)
			if both && r.allowed(u, v) {
				r.draw(u, v)
			}
		}
	}
	for v := range r.To {
		to := r.To[v]
		for r.To[to] != to {
			to = r.To[to]
		}
		r.To[v] = to
	}
	return &r.Reduced, nil
}

// opposite is what is to be drawn on the other side; both: there is something.
func (r *reducer) opposite(from, to uint32) (u, v uint32, both bool) {
	const none = math.MaxUint32
	if r.m.Opposite == nil || r.m.Opposite[from] < 0 || r.m.Opposite[to] < 0 {
		return none, none, false
	}
	u, v = r.spot[r.m.Opposite[from]], r.spot[r.m.Opposite[to]]
	both = u != from && u != to && r.To[u] == u && r.To[v] == v && !r.held(u)
	return u, v, both
}

type reducer struct {
	Reduced
	area    []float64 // by vertex: of its triangles at rest
	m       *Mesh
	n       int       // numbers of a quadric
	q       []float64 // by vertex
	around  [][]int32 // by vertex: triangles
	version []int32   // by spot
	queue   queue
	near    []uint32
	spot    []uint32 // by vertex: the first of those in one place that a triangle uses, which stands for all
	next    []uint32 // by vertex: the next of those in one place, in a ring
	pair    [][2]uint32
}

// gather finds which vertices stand in one place.
func (r *reducer) gather() {
	n := len(r.m.Locked)
	r.spot, r.next = make([]uint32, n), make([]uint32, n)
	first := map[uint32]uint32{}
	for v := range uint32(n) {
		r.spot[v], r.next[v] = v, v
		if r.m.Place == nil || len(r.around[v]) == 0 {
			continue
		}
		if u, had := first[r.m.Place[v]]; had {
			r.spot[v], r.next[v], r.next[u] = u, r.next[u], v
		} else {
			first[r.m.Place[v]] = v
		}
	}
}

// copies visits the vertices of a spot.
func (r *reducer) copies(spot uint32, visit func(v uint32)) {
	for v := spot; ; {
		visit(v)
		if v = r.next[v]; v == spot {
			return
		}
	}
}

// held tells that one of a spot stays.
func (r *reducer) held(spot uint32) (is bool) {
	r.copies(spot, func(v uint32) { is = is || r.m.Locked[v] })
	return is
}

func (r *reducer) areaOf(spot uint32) (sum float64) {
	r.copies(spot, func(v uint32) { sum += r.area[v] })
	return sum
}

// pairs answers for each vertex of a spot that of another onto which it would be drawn: the one
// with which it has a triangle. false: a side of a seam has none there, or two.
func (r *reducer) pairs(u, v uint32) bool {
	r.pair = r.pair[:0]
	for a := u; ; {
		if len(r.around[a]) > 0 {
			to, some := uint32(0), false
			for _, t := range r.around[a] {
				for _, w := range r.corners(t) {
					if r.spot[w] != v {
						continue
					}
					if some && w != to {
						return false
					}
					to, some = w, true
				}
			}
			if !some {
				return false
			}
			r.pair = append(r.pair, [2]uint32{a, to})
		}
		if a = r.next[a]; a == u {
			break
		}
	}
	return len(r.pair) > 0
}

func (r *reducer) corners(t int32) []uint32 { return r.Triangles[3*t : 3*t+3] }

func (r *reducer) at(v uint32) []float64 { return r.m.At[int(v)*r.m.D : int(v+1)*r.m.D] }

// quadrics sums up for each vertex those of its triangles, each times its area: the squared
// distance of a point from the triangle's plane in all dimensions, A = I − e₁e₁ᵀ − e₂e₂ᵀ.
func (r *reducer) quadrics() {
	d := r.m.D
	r.q, r.area = make([]float64, r.n*len(r.m.Locked)), make([]float64, len(r.m.Locked))
	e1, e2 := make([]float64, d), make([]float64, d)
	for t := range r.Gone {
		c := r.corners(int32(t))
		p, a, b := r.at(c[0]), r.at(c[1]), r.at(c[2])
		l1 := 0.0
		for i := range d {
			e1[i] = a[i] - p[i]
			l1 += e1[i] * e1[i]
		}
		if l1 = math.Sqrt(l1); !(l1 > 0) {
			continue
		}
		along, l2 := 0.0, 0.0
		for i := range d {
			e1[i] /= l1
			along += e1[i] * (b[i] - p[i])
		}
		for i := range d {
			e2[i] = b[i] - p[i] - along*e1[i]
			l2 += e2[i] * e2[i]
		}
		if l2 = math.Sqrt(l2); !(l2 > 0) {
			continue
		}
		p1, p2, pp := 0.0, 0.0, 0.0
		for i := range d {
			e2[i] /= l2
		}
		for i := range d {
			p1, p2, pp = p1+p[i]*e1[i], p2+p[i]*e2[i], pp+p[i]*p[i]
		}
		area, n := l1*l2/2, r.normal(c[0], c[1], c[2])
		flat := n.Len() / 2
		for _, v := range c {
			r.area[v] += flat
			q, k := r.q[r.n*int(v):r.n*int(v+1)], 0
			for i := range d {
				for j := i; j < d; j++ {
					x := -e1[i]*e1[j] - e2[i]*e2[j]
					if i == j {
						x++
					}
					q[k] += area * x
					k++
				}
			}
			for i := range d {
				q[k] += area * (p1*e1[i] + p2*e2[i] - p[i])
				k++
			}
			q[k] += area * (pp - p1*p1 - p2*p2)
		}
	}
}

// cost is what drawing one spot onto another costs; false: it cannot be.
func (r *reducer) cost(u, v uint32) (sum float64, can bool) {
	if !r.pairs(u, v) {
		return 0, false
	}
	for _, p := range r.pair {
		sum += r.costOf(p[0], p[1])
	}
	return sum, true
}

// costOf is what drawing u onto v costs: both quadrics at v.
func (r *reducer) costOf(u, v uint32) float64 {
	d, x := r.m.D, r.at(v)
	a, b := r.q[r.n*int(u):r.n*int(u+1)], r.q[r.n*int(v):r.n*int(v+1)]
	sum, k := 0.0, 0
	for i := range d {
		for j := i; j < d; j++ {
			y := (a[k] + b[k]) * x[i] * x[j]
			if j > i {
				y *= 2
			}
			sum += y
			k++
		}
	}
	for i := range d {
		sum += 2 * (a[k] + b[k]) * x[i]
		k++
	}
	return max(0, sum+a[k]+b[k])
}

// neighbours of a spot, each once.
func (r *reducer) neighbours(spot uint32) []uint32 {
	r.near = r.near[:0]
	r.copies(spot, func(v uint32) {
		for _, t := range r.around[v] {
		corner:
			for _, w := range r.corners(t) {
				if w = r.spot[w]; w == spot {
					continue
				}
				for _, had := range r.near {
					if had == w {
						continue corner
					}
				}
				r.near = append(r.near, w)
			}
		}
	})
	return r.near
}

// put queues the ways to draw a spot away.
func (r *reducer) put(u uint32) {
	if r.held(u) || len(r.around[u]) == 0 {
		return
	}
	for _, v := range r.neighbours(u) {
		if cost, can := r.cost(u, v); can {
			r.queue = append(r.queue, candidate{cost, u, v, r.version[u] + r.version[v]})
		}
	}
}

// allowed: the two have just the two neighbours of their edge in common (Dey et al. 1999, the
// link condition), each side of a seam has somewhere to go, and no triangle folds over.
func (r *reducer) allowed(u, v uint32) bool {
	shared := 0
	of := append([]uint32(nil), r.neighbours(v)...)
	for _, w := range r.neighbours(u) {
		for _, x := range of {
			if x == w {
				shared++
			}
		}
	}
	if shared != 2 || !r.pairs(u, v) {
		return false
	}
	both := 0
	for _, p := range r.pair {
		for _, t := range r.around[p[0]] {
			c := r.corners(t)
			if r.spot[c[0]] == v || r.spot[c[1]] == v || r.spot[c[2]] == v {
				both++
				continue
			}
			was := r.normal(c[0], c[1], c[2])
			var n [3]uint32
			for k, w := range c {
				if n[k] = w; w == p[0] {
					n[k] = p[1]
				}
			}
			is := r.normal(n[0], n[1], n[2])
			if b := is.Len(); !(was.Dot(is) > steep*was.Len()*b) || !(b > 0) {
				return false
			}
		}
	}
	return both == 2
}

// normal of a triangle at rest, twice its area long.
func (r *reducer) normal(a, b, c uint32) space.Vec {
	p, q, s := space.Vec(r.at(a)[:3]), space.Vec(r.at(b)[:3]), space.Vec(r.at(c)[:3])
	return q.Sub(p).Cross(s.Sub(p))
}

// draw draws one spot onto another, each vertex onto the one on its side of a seam.
func (r *reducer) draw(from, to uint32) {
	if !r.pairs(from, to) {
		return
	}
	for _, p := range r.pair {
		u, v := p[0], p[1]
		for _, t := range r.around[u] {
			c := r.corners(t)
			if r.spot[c[0]] == to || r.spot[c[1]] == to || r.spot[c[2]] == to {
				r.Gone[t] = true
				r.Left--
				continue
			}
			for k := range c {
				if c[k] == u {
					c[k] = v
				}
			}
			r.around[v] = append(r.around[v], t)
		}
		r.around[u], r.To[u] = nil, v
		a, b := r.q[r.n*int(u):r.n*int(u+1)], r.q[r.n*int(v):r.n*int(v+1)]
		for k := range b {
			b[k] += a[k]
		}
		r.area[v] += r.area[u]
	}
	r.To[from] = r.pair[0][1]
	for _, p := range r.pair {
		if p[0] == from {
			r.To[from] = p[1]
		}
	}
	clean := func(w uint32) {
		r.copies(w, func(w uint32) {
			keep := r.around[w][:0]
			for _, t := range r.around[w] {
				if !r.Gone[t] {
					keep = append(keep, t)
				}
			}
			r.around[w] = keep
		})
	}
	near := append([]uint32{to}, r.neighbours(to)...)
	for _, w := range near {
		clean(w)
	}
	r.version[from]++
	r.version[to] += 2
	stays := r.held(to)
	for _, w := range append([]uint32(nil), r.neighbours(to)...) {
		if !r.held(w) {
			if cost, can := r.cost(w, to); can {
				heap.Push(&r.queue, candidate{cost, w, to, r.version[w] + r.version[to]})
			}
		}
		if !stays {
			if cost, can := r.cost(to, w); can {
				heap.Push(&r.queue, candidate{cost, to, w, r.version[to] + r.version[w]})
			}
		}
	}
}

// candidate is one spot to be drawn onto another, of no account any more where the versions
// of the two have another sum.
type candidate struct {
	cost     float64
	from, to uint32
	version  int32
}

type queue []candidate

func (q queue) Len() int { return len(q) }
func (q queue) Less(a, b int) bool { // in one order whatever the heap does
	if q[a].cost != q[b].cost {
		return q[a].cost < q[b].cost
	}
	if q[a].from != q[b].from {
		return q[a].from < q[b].from
	}
	return q[a].to < q[b].to
}
func (q queue) Swap(a, b int) { q[a], q[b] = q[b], q[a] }
func (q *queue) Push(x any)   { *q = append(*q, x.(candidate)) }
func (q *queue) Pop() any {
	last := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return last
}
