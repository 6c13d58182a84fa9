package bends

import (
	"slices"

	"rigloupe/inspect/rig"
)

// A joint moves all that hangs on it and below; along a chain of n joints that is the
// surface n times over. What a bend changes is only what lies between: places that hang
// on what moves and on what does not, and triangles between the two. The sweep goes over
// the tree from its ends upwards and keeps just those: what has come together at a joint
// follows every joint above as one piece and is dropped. So time and memory go by how far
// influences of one place lie apart in the tree, not by joints times vertices.

// never is the top of what follows no joint as one piece: weights that are not whole, or
// influences with nothing in common above them.
const never = -1

// stops prepares the tree of nodes that hold something or are joints, by enter.
func (b *body) stops(joints []bool) {
	n := len(b.r.Nodes)
	b.leaveAt, b.upTo = make([]int32, n), make([]int32, n)
	in := make([]bool, n)
	for _, h := range b.holder {
		in[h] = true
	}
	for j, is := range joints {
		if is {
			in[b.enter[j]] = true
		}
	}
	depth := make([]int32, n) // by enter, in that tree
	for _, j := range b.r.Order {
		e := b.enter[j]
		b.leaveAt[e], b.upTo[e] = b.leave[j], never
		if p := b.r.Nodes[j].Parent; p >= 0 {
			if up := b.enter[p]; in[up] {
				b.upTo[e] = up
			} else {
				b.upTo[e] = b.upTo[up]
			}
		}
		if u := b.upTo[e]; u >= 0 {
			depth[e] = depth[u] + 1
		}
	}
	// The nearest common one of two, by the least depth between them in the order of enter.
	var order []int32
	at := make([]int32, n)
	for e := range int32(n) {
		if in[e] {
			at[e] = int32(len(order))
			order = append(order, e)
		}
	}
	b.stop = order
	least := [][]int32{order}
	for step := 1; 2*step <= len(order); step *= 2 {
		last := least[len(least)-1]
		row := make([]int32, len(last)-step)
		for i := range row {
			row[i] = last[i]
			if depth[last[i+step]] < depth[row[i]] {
				row[i] = last[i+step]
			}
		}
		least = append(least, row)
	}
	common := func(e, f int32) int32 {
		switch {
		case e == f || e < 0:
			return e
		case f < 0:
			return f
		case e > f:
			e, f = f, e
		}
		if f < b.leaveAt[e] {
			return e
		}
		i, k := at[e]+1, at[f]+1 // behind e, up to f
		row := 0
		for 2<<row <= int(k-i) {
			row++
		}
		x, y := least[row][i], least[row][int(k)-1<<row]
		if depth[y] < depth[x] {
			x = y
		}
		return b.upTo[x]
	}
	b.findTops(common)
}

// findTops answers where vertices, places and triangles have come together.
func (b *body) findTops(common func(int32, int32) int32) {
	b.top = make([]int32, len(b.place))
	used := make([]bool, len(b.place))
	for _, v := range b.tri {
		used[v] = true
	}
	for v := range b.top {
		top, sum := int32(never), 0.0
		for k := b.start[v]; k < b.start[v+1]; k++ {
			if sum += b.weight[k]; k == b.start[v] {
				top = b.holder[k]
			} else {
				top = common(top, b.holder[k])
			}
		}
		// 1e-6: the rounding of a few float32 weights.
		if !(sum > 1-1e-6 && sum < 1+1e-6) {
			top = never
		}
		b.top[v] = top
	}
	b.placeTop = make([]int32, len(b.of))
	const unset = -2 // never is taken, and tops are 0 and up
	for p := range b.placeTop {
		b.placeTop[p] = unset
	}
	for v, p := range b.place {
		if !used[v] {
			continue
		}
		if t := &b.placeTop[p]; *t == unset {
			*t = b.top[v]
		} else {
			*t = common(*t, b.top[v])
		}
	}
	b.triTop = make([]int32, len(b.index))
	for t := range b.triTop {
		v := b.tri[3*t : 3*t+3]
		b.triTop[t] = common(common(b.top[v[0]], b.top[v[1]]), b.top[v[2]])
	}
}

// sweep is the walk, at one node.
type sweep struct {
	b  *body
	at int // place in b.stop; what stands behind it is done

	places, tris, pieces [][]uint32 // by enter: what the nodes below have left open
	done                 [][2]int   // by enter and method: triangles with an area that came together below
	full                 []shellOf  // by enter: the largest shell that hangs wholly below
	seenPlace, seenTri   []int32    // enter + 1 of the node that listed it last
	work                 int        // steps taken

	// Places that follow as one piece and touch are one piece: a forest, with a ring
	// through the places of each tree.
	up, next []uint32
	size     []int32
	first    []uint64 // the least rank in it
}

// shellOf is a whole shell as the largest piece of a limb.
type shellOf struct {
	size  int32
	first uint64
	shell uint32
}

func (a shellOf) larger(b shellOf) bool {
	return a.size > b.size || a.size == b.size && a.first < b.first
}

func (b *body) newSweep() *sweep {
	n, p := len(b.r.Nodes), len(b.of)
	s := &sweep{b: b, at: len(b.stop), places: make([][]uint32, n), tris: make([][]uint32, n), pieces: make([][]uint32, n),
		done: make([][2]int, n), full: make([]shellOf, n), seenPlace: make([]int32, p), seenTri: make([]int32, len(b.index)),
		up: make([]uint32, p), next: make([]uint32, p), size: make([]int32, p), first: make([]uint64, p)}
	for i := range s.up {
		s.up[i], s.next[i], s.size[i] = uint32(i), uint32(i), 1
	}
	return s
}

// outline is what one joint bends.
type outline struct {
	lo, hi   int32    // enters of the joint and of what hangs on it
	places   []uint32 // that it moves, but not as one piece
	tris     []uint32 // the same
	pieces   []uint32 // a place of each connected piece that follows as one and is no whole shell
	full     shellOf
	regioned [2]int
}

// order ranks what a joint moves: by the first node that holds it, then by number.
func (b *body) order(v uint32, lo, hi int32) uint64 {
	best := int32(-1)
	for k := b.start[v]; k < b.start[v+1]; k++ {
		if h := b.holder[k]; h >= lo && h < hi && (best < 0 || h < best) {
			best = h
		}
	}
	return uint64(uint32(best))<<32 | uint64(v)
}

func (s *sweep) find(p uint32) uint32 {
	for s.up[p] != p {
		s.up[p] = s.up[s.up[p]]
		p = s.up[p]
	}
	return p
}

func (s *sweep) join(p, q uint32) {
	p, q = s.find(p), s.find(q)
	if p == q {
		return
	}
	if s.size[p] < s.size[q] {
		p, q = q, p
	}
	s.up[q] = p
	s.size[p] += s.size[q]
	s.first[p] = min(s.first[p], s.first[q])
	s.next[p], s.next[q] = s.next[q], s.next[p] // two rings made one
}

// to goes on to a node, by its enter, and answers what it bends. Nodes are asked for in
// falling order.
func (s *sweep) to(enter int32) outline {
	for s.at > 0 {
		s.at--
		e := s.b.stop[s.at]
		if o := s.step(e); e == enter {
			return o
		}
	}
	return outline{lo: enter, hi: s.b.leaveAt[enter]}
}

// step gathers what the nodes below have left open and what the node itself holds.
func (s *sweep) step(e int32) outline {
	b := s.b
	o := outline{lo: e, hi: b.leaveAt[e]}
	firm := func(p uint32) bool { return b.placeTop[p] >= o.lo && b.placeTop[p] < o.hi }
	mark := e + 1
	places, tris := s.places[e], s.tris[e]
	s.work += len(places) + len(tris)
	for _, v := range b.holds[b.holdStart[e]:b.holdStart[e+1]] {
		places = append(places, b.place[v])
		for _, t := range b.around[b.aroundStart[b.place[v]]:b.aroundStart[b.place[v]+1]] {
			if b.tri[3*t] == v || b.tri[3*t+1] == v || b.tri[3*t+2] == v {
				tris = append(tris, t)
			}
		}
	}
	var fresh []uint32
	for _, p := range places {
		if s.seenPlace[p] == mark {
			continue
		}
		s.seenPlace[p] = mark
		if firm(p) {
			fresh = append(fresh, p)
		} else {
			o.places = append(o.places, p)
		}
	}
	done := s.done[e]
	o.regioned = done
	join := func(t uint32) {
		p := [3]uint32{b.place[b.tri[3*t]], b.place[b.tri[3*t+1]], b.place[b.tri[3*t+2]]}
		for k := range p {
			if q := p[(k+1)%3]; firm(p[k]) && firm(q) {
				s.join(p[k], q)
			}
		}
	}
	for _, p := range fresh {
		first := ^uint64(0)
		for _, v := range b.vertices[b.verticesStart[p]:b.verticesStart[p+1]] {
			first = min(first, b.order(v, o.lo, o.hi))
		}
		s.first[p] = first
	}
	for _, t := range tris {
		if s.seenTri[t] == mark {
			continue
		}
		s.seenTri[t] = mark
		closed := b.triTop[t] >= o.lo && b.triTop[t] < o.hi
		for m := range done {
			if b.shaped[m][t] {
				o.regioned[m]++
				if closed {
					done[m]++
				}
			}
		}
		if !closed {
			o.tris = append(o.tris, t)
		}
		join(t)
	}
	for _, p := range fresh {
		for _, t := range b.around[b.aroundStart[p]:b.aroundStart[p+1]] {
			join(t)
		}
	}
	o.full = s.full[e]
	seen := map[uint32]bool{}
	for _, p := range append(s.pieces[e], fresh...) {
		r := s.find(p)
		if seen[r] {
			continue
		}
		seen[r] = true
		if whole := (shellOf{s.size[r], s.first[r], b.shell[r]}); int(whole.size) < b.shellSize[whole.shell] {
			o.pieces = append(o.pieces, r)
		} else if whole.larger(o.full) {
			o.full = whole
		}
	}
	s.work += len(o.pieces)
	if up := b.upTo[e]; up >= 0 {
		s.places[up] = handed(s.places[up], o.places)
		s.tris[up] = handed(s.tris[up], o.tris)
		s.pieces[up] = handed(s.pieces[up], o.pieces)
		for m := range done {
			s.done[up][m] += done[m]
		}
		if o.full.larger(s.full[up]) {
			s.full[up] = o.full
		}
	}
	s.places[e], s.tris[e], s.pieces[e] = nil, nil, nil
	return o
}

func handed(to, list []uint32) []uint32 {
	if to == nil {
		return slices.Clone(list) // the outline keeps its own
	}
	return append(to, list...)
}

// outlineOf is the outline of one joint, from the nodes below it alone.
func (b *body) outlineOf(j rig.Node) (outline, *sweep) {
	s := b.newSweep()
	s.at, _ = slices.BinarySearch(b.stop, b.leave[j])
	return s.to(b.enter[j]), s
}

// moves lists all vertices that a triangle uses and that hang on the joint or below.
func (z *zone) moves() (list []uint32) {
	b := z.b
	list = slices.Clone(b.holds[b.holdStart[b.enter[z.joint]]:b.holdStart[b.leave[z.joint]]])
	slices.Sort(list)
	return slices.Compact(list)
}
