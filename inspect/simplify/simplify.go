// Package simplify takes triangles out of a surface by drawing vertices onto their neighbours,
// the cheapest first: Garland & Heckbert 1997, with further dimensions beside the place as in
// Garland & Heckbert 1998. Vertices are left out and none is moved, so that whatever they
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
	r.quadrics()
	for v := range m.Locked {
		r.put(uint32(v))
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
		if m.Within > 0 && c.cost > m.Within*m.Within*(r.area[c.from]+r.area[c.to]) {
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
	u, v = uint32(r.m.Opposite[from]), uint32(r.m.Opposite[to])
	both = u != from && u != to && r.To[u] == u && r.To[v] == v && !r.m.Locked[u]
	return u, v, both
}

type reducer struct {
	Reduced
	area    []float64 // by vertex: of its triangles at rest
	m       *Mesh
	n       int       // numbers of a quadric
	q       []float64 // by vertex
	around  [][]int32 // by vertex: triangles
	version []int32
	queue   queue
	near    []uint32
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

// cost is what drawing u onto v costs: both quadrics at v.
func (r *reducer) cost(u, v uint32) float64 {
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

// neighbours of a vertex, each once.
func (r *reducer) neighbours(v uint32) []uint32 {
	r.near = r.near[:0]
	for _, t := range r.around[v] {
	corner:
		for _, w := range r.corners(t) {
			if w == v {
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
	return r.near
}

// put queues the cheapest way to draw a vertex away.
func (r *reducer) put(u uint32) {
	if r.m.Locked[u] || len(r.around[u]) == 0 {
		return
	}
	for _, v := range r.neighbours(u) {
		r.queue = append(r.queue, candidate{r.cost(u, v), u, v, r.version[u] + r.version[v]})
	}
}

// allowed: the two have just the two neighbours of their edge in common (Dey et al. 1999, the
// link condition), and no triangle folds over.
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
	if shared != 2 {
		return false
	}
	both := 0
	for _, t := range r.around[u] {
		c := r.corners(t)
		if c[0] == v || c[1] == v || c[2] == v {
			both++
			continue
		}
		was := r.normal(c[0], c[1], c[2])
		var n [3]uint32
		for k, w := range c {
			if n[k] = w; w == u {
				n[k] = v
			}
		}
		is := r.normal(n[0], n[1], n[2])
		if b := is.Len(); !(was.Dot(is) > steep*was.Len()*b) || !(b > 0) {
			return false
		}
	}
	return both == 2
}

// normal of a triangle at rest, twice its area long.
func (r *reducer) normal(a, b, c uint32) space.Vec {
	p, q, s := space.Vec(r.at(a)[:3]), space.Vec(r.at(b)[:3]), space.Vec(r.at(c)[:3])
	return q.Sub(p).Cross(s.Sub(p))
}

// draw draws u onto v.
func (r *reducer) draw(u, v uint32) {
	for _, t := range r.around[u] {
		c := r.corners(t)
		if c[0] == v || c[1] == v || c[2] == v {
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
	for _, w := range append([]uint32{v}, r.neighbours(v)...) {
		keep := r.around[w][:0]
		for _, t := range r.around[w] {
			if !r.Gone[t] {
				keep = append(keep, t)
			}
		}
		r.around[w] = keep
	}
	r.around[u], r.To[u] = nil, v
	a, b := r.q[r.n*int(u):r.n*int(u+1)], r.q[r.n*int(v):r.n*int(v+1)]
	for k := range b {
		b[k] += a[k]
	}
	r.area[v] += r.area[u]
	r.version[u]++
	r.version[v] += 2
	for _, w := range append([]uint32(nil), r.neighbours(v)...) {
		if !r.m.Locked[w] {
			heap.Push(&r.queue, candidate{r.cost(w, v), w, v, r.version[w] + r.version[v]})
		}
		if !r.m.Locked[v] {
			heap.Push(&r.queue, candidate{r.cost(v, w), v, w, r.version[w] + r.version[v]})
		}
	}
}

// candidate is one vertex to be drawn onto another, of no account any more where the versions
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
