package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// EvenField solves ∇²s = div goal over the surface (cotangent weights) by
// conjugate gradients from the present s, so that isolines lie evenly and stay
// unbroken across joints. pos is 3·V, tri 3·T, weld gives each vertex its group
// 0 … groups−1 (vertices of one place share one unknown); goal is 3·V, unit or
// zero. s (V values) is read and written; each shell keeps its weighted mean. Ended
// by the watch, s stays what it was.
//
// More than 30,000 unknowns are first solved on a clustered copy and finished
// with a fixed number of rounds, so the cost stays linear: conjugate gradients
// alone need rounds in proportion to the width of the mesh.
func EvenField(pos []float32, tri []uint32, weld []uint32, groups int, goal, s []float32, watch *Watch) {
	if groups == 0 || len(tri) == 0 {
		return
	}
	p := newPoisson(pos, tri, weld, groups, goal, s, watch)
	rounds := 4000 // never met below 30,000 unknowns: the residual ends it
	if groups > 30000 {
		rounds = 60
		p.coarse(pos, tri, weld, goal)
	}
	p.solve(rounds)
	if watch.Err() != nil {
		return
	}
	for v, w := range weld {
		s[v] = p.s[w]
	}
}

// poisson is the system: row i holds the neighbours next[start[i]:start[i+1]]
// and their weights; the diagonal is their sum.
type poisson struct {
	start  []uint32
	next   []uint32
	weight []float32
	diag   []float32
	div, s []float32
	watch  *Watch
}

func newPoisson(pos []float32, tri, weld []uint32, groups int, goal, s []float32, watch *Watch) *poisson {
	p := &poisson{s: make([]float32, groups), watch: watch}
	count := make([]float32, groups)
	for v, w := range weld {
		p.s[w] += s[v]
		count[w]++
	}
	for w := range p.s {
		if count[w] > 0 {
			p.s[w] /= count[w]
		}
	}
	// A place has one neighbour more than triangles where the surface is open there,
	// else as many; only where it hangs together in several fans there may be more.
	if !p.fill(pos, tri, weld, goal, 1) {
		p.fill(pos, tri, weld, goal, 2)
	}
	return p
}

// fill makes the rows, with room for perTriangle neighbours a triangle and one
// more; false: there are more somewhere.
func (p *poisson) fill(pos []float32, tri, weld []uint32, goal []float32, perTriangle uint32) bool {
	groups := len(p.s)
	p.start, p.diag, p.div = make([]uint32, groups+1), make([]float32, groups), make([]float32, groups)
	for t := 0; t+2 < len(tri); t += 3 {
		for c := range 3 {
			p.start[weld[tri[t+c]]+1] += perTriangle
		}
	}
	for i := range groups {
		p.start[i+1] += p.start[i] + 1
	}
	p.next = make([]uint32, p.start[groups])
	p.weight = make([]float32, p.start[groups])
	fill := make([]uint32, groups)
	fits := true
	put := func(a, b uint32, w float32) {
		// One entry a neighbour: both triangles of an edge add to it.
		from, n := p.start[a], fill[a]
		for i := from; i < from+n; i++ {
			if p.next[i] == b {
				p.weight[i] += w
				return
			}
		}
		if from+n == p.start[a+1] {
			fits = false
			return
		}
		p.next[from+n], p.weight[from+n] = b, w
		fill[a]++
	}
	for t := 0; t+2 < len(tri) && fits; t += 3 {
		if t%(3*Stride) == 0 && !p.watch.Spend(20*Stride) {
			break
		}
		i := [3]uint32{tri[t], tri[t+1], tri[t+2]}
		w := [3]uint32{weld[i[0]], weld[i[1]], weld[i[2]]}
		if w[0] == w[1] || w[1] == w[2] || w[2] == w[0] {
			continue
		}
		q := [3]space.Vec32{space.At32(pos, i[0]), space.At32(pos, i[1]), space.At32(pos, i[2])}
		if !space.Finite32(q[0]) || !space.Finite32(q[1]) || !space.Finite32(q[2]) {
			continue
		}
		n := space.Direction32(q[1].Sub(q[0]).Cross(q[2].Sub(q[0])))
		g := space.At32(goal, i[0]).Add(space.At32(goal, i[1])).Add(space.At32(goal, i[2]))
		l := g.Len()
		g = g.Mul(1 / 3.)
		g = g.Sub(n.Mul(g.Dot(n)))
		// Even density: bring the tangent part up towards unit length, but leave
		// end caps alone, where the limb points out of the surface.
		if m := g.Len(); m > .35 && l > 0 {
			g = g.Mul((.4 + .6*m) / m)
		}
		for c := range 3 {
			a, b := c, (c+1)%3
			e1, e2 := q[a].Sub(q[(c+2)%3]), q[b].Sub(q[(c+2)%3])
			// Clamped: slivers must not rule, and obtuse corners not push apart.
			cot := e1.Dot(e2) / (e1.Cross(e2).Len() + 1e-12)
			cot = min(6, max(.02, cot)) / 2
			d := cot * g.Dot(q[b].Sub(q[a]))
			put(w[a], w[b], cot)
			put(w[b], w[a], cot)
			p.diag[w[a]] += cot
			p.diag[w[b]] += cot
			p.div[w[a]] -= d
			p.div[w[b]] += d
		}
	}
	// Close the gaps that merged entries left.
	at := uint32(0)
	for i := range groups {
		from := p.start[i]
		p.start[i] = at
		copy(p.next[at:], p.next[from:from+fill[i]])
		copy(p.weight[at:], p.weight[from:from+fill[i]])
		at += fill[i]
	}
	p.start[groups] = at
	return fits
}

// times writes the operator applied to x into y.
func (p *poisson) times(x, y []float32) {
	for i := range y {
		sum := p.diag[i] * x[i]
		row := p.next[p.start[i]:p.start[i+1]]
		weights := p.weight[p.start[i]:p.start[i+1]][:len(row)]
		for k, j := range row {
			sum -= weights[k] * x[j]
		}
		y[i] = sum
	}
}

// solve runs conjugate gradients, preconditioned by the diagonal, until the
// squared residual has fallen by a million or the rounds are used up.
func (p *poisson) solve(rounds int) {
	n := len(p.s)
	r, z, d, q := make([]float32, n), make([]float32, n), make([]float32, n), make([]float32, n)
	inv := make([]float32, n)
	p.times(p.s, q)
	rz := 0.
	for i := range r {
		if p.diag[i] > 0 {
			inv[i] = 1 / p.diag[i]
		}
		r[i] = p.div[i] - q[i]
		z[i] = r[i] * inv[i]
		d[i] = z[i]
		rz += float64(r[i]) * float64(z[i])
	}
	for end := rz * 1e-6; rz > end && rounds > 0; rounds-- {
		if !p.watch.Spend(2 * n) {
			return
		}
		p.times(d, q)
		dq := 0.
		for i := range d {
			dq += float64(d[i]) * float64(q[i])
		}
		if !(dq > 0) {
			return
		}
		alpha := float32(rz / dq)
		next := 0.
		for i := range r {
			p.s[i] += alpha * d[i]
			r[i] -= alpha * q[i]
			z[i] = r[i] * inv[i]
			next += float64(r[i]) * float64(z[i])
		}
		beta := float32(next / rz)
		rz = next
		for i := range d {
			d[i] = z[i] + beta*d[i]
		}
	}
}

// coarse solves a clustered copy of the surface and carries the change over:
// each unknown takes its cluster's change, sloped by the change's own gradient
// there, so that the fine rounds only have short waves left to smooth.
func (p *poisson) coarse(pos []float32, tri, weld []uint32, goal []float32) {
	groups := len(p.s)
	place := make([]float32, 3*groups)
	wish := make([]float32, 3*groups)
	for v, w := range weld {
		for k := range 3 {
			place[3*w+uint32(k)] = pos[3*v+k]
			wish[3*w+uint32(k)] = goal[3*v+k]
		}
	}
	wtri := make([]uint32, len(tri))
	for i, v := range tri {
		wtri[i] = weld[v]
	}
	// About 8,000 clusters: the surface of a figure fills some (side/2)² cells.
	of, n := Cluster(place, nil, 160)
	if n == 0 || n > groups*2/3 {
		return
	}
	cpos, cgoal, cs := make([]float32, 3*n), make([]float32, 3*n), make([]float32, n)
	count := make([]float32, n)
	for i := range groups {
		c := of[i]
		if !space.Finite32(space.At32(place, i)) {
			continue
		}
		for k := range 3 {
			cpos[3*int(c)+k] += place[3*i+k]
			cgoal[3*int(c)+k] += wish[3*i+k]
		}
		cs[c] += p.s[i]
		count[c]++
	}
	for c := range n {
		if count[c] == 0 {
			continue
		}
		inv := 1 / count[c]
		cs[c] *= inv
		g := space.Direction32(space.At32(cgoal, c))
		for k := range 3 {
			cpos[3*c+k] *= inv
			cgoal[3*c+k] = g[k]
		}
	}
	var ctri []uint32
	for t := 0; t+2 < len(wtri); t += 3 {
		a, b, c := of[wtri[t]], of[wtri[t+1]], of[wtri[t+2]]
		if a != b && b != c && c != a {
			ctri = append(ctri, a, b, c)
		}
	}
	cweld := make([]uint32, n)
	for i := range cweld {
		cweld[i] = uint32(i)
	}
	before := append([]float32(nil), cs...)
	q := newPoisson(cpos, ctri, cweld, n, cgoal, cs, p.watch)
	q.solve(2000)
	change := make([]float32, n)
	for c := range change {
		change[c] = q.s[c] - before[c]
	}
	slope := FieldSlope(cpos, ctri, nil, change)
	for i := range groups {
		c := int(of[i])
		d := space.At32(place, i).Sub(space.At32(cpos, c))
		if x := change[c] + d.Dot(space.At32(slope, c)); x-x == 0 {
			p.s[i] += x
		}
	}
}

// Cluster puts points (3·N; those of which, nil: all) into cells of a grid with
// side cells along the longest edge of their box, and numbers the cells that are
// used, in order of their first point. Points left out by which, or not finite,
// share one last cluster when there are any.
func Cluster(points []float32, which []bool, side int) (of []uint32, n int) {
	of = make([]uint32, len(points)/3)
	lo := space.Vec32{math.MaxFloat32, math.MaxFloat32, math.MaxFloat32}
	hi := space.Vec32{-math.MaxFloat32, -math.MaxFloat32, -math.MaxFloat32}
	skip := func(v int, p space.Vec32) bool { return which != nil && !which[v] || !space.Finite32(p) }
	for v := range of {
		p := space.At32(points, v)
		if skip(v, p) {
			continue
		}
		for k := range 3 {
			lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
		}
	}
	width := max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2])
	scale := float32(0)
	if width > 0 && width-width == 0 {
		scale = float32(side) * .9999 / width
	}
	// Open addressing: a Go map costs three times as much at a million points.
	bits := uint(4)
	for 1<<bits < 2*len(of) {
		bits++
	}
	slots := make([]uint32, 1<<bits) // 1 + cell
	var ids []uint64                 // by cell
	rest := false
	for v := range of {
		p := space.At32(points, v)
		if skip(v, p) {
			of[v] = math.MaxUint32
			rest = true
			continue
		}
		x, y, z := uint64((p[0]-lo[0])*scale), uint64((p[1]-lo[1])*scale), uint64((p[2]-lo[2])*scale)
		id := x<<42 | y<<21 | z
		h := id * 0x9e3779b97f4a7c15 >> (64 - bits)
		for slots[h] != 0 && ids[slots[h]-1] != id {
			h = (h + 1) & (1<<bits - 1)
		}
		if slots[h] == 0 {
			ids = append(ids, id)
			slots[h] = uint32(len(ids))
		}
		of[v] = slots[h] - 1
	}
	n = len(ids)
	if rest {
		for v := range of {
			if of[v] == math.MaxUint32 {
				of[v] = uint32(n)
			}
		}
		n++
	}
	return of, n
}
