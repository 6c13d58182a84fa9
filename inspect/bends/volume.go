package bends

import (
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/geom"
)

// capEdge is one edge of the border of a zone, in the direction of its triangle, and
// the loop it belongs to. A fan from the middle of the loop closes it.
type capEdge struct{ from, to, loop, piece int32 }

// piece is one connected part of a zone.
type piece struct {
	rest [2]float64 // by method: m³, signed, closed by fans; 0: encloses nothing to speak of
	now  float64
	area float64
}

// flatPiece is the volume ÷ area^1.5 below which a piece encloses nothing to speak of:
// a flap, a sheet. A ball has 0.094; a plate 1/300 as thick as wide has 1e-3.
const flatPiece = 1e-3

// findPieces parts the zone's triangles into connected pieces, finds the edges where
// it was cut out of the surface (or the surface ends), and measures the volume at
// rest.
func (z *zone) findPieces() {
	b := z.b
	// Scratch as long as the body, cleared where it was written.
	inside, numbers := b.inside, b.numbers
	for _, t := range z.tri {
		inside[t] = true
	}
	places := 0
	number := func(v uint32) int32 {
		p := b.place[v]
		if numbers[p] == 0 {
			places++
			numbers[p] = int32(places)
		}
		return numbers[p] - 1
	}
	ids := make([]int32, 3*len(z.tri))
	for i, t := range z.tri {
		for c := range 3 {
			ids[3*i+c] = number(b.tri[3*int(t)+c])
		}
	}
	pieces := geom.NewUnion(places)
	var border []borderEdge
	for i, t := range z.tri {
		pieces.Join(uint32(ids[3*i]), uint32(ids[3*i+1]))
		pieces.Join(uint32(ids[3*i]), uint32(ids[3*i+2]))
		for c := range 3 {
			e := b.edges.Of[3*int(t)+c]
			if e == geom.NoEdge {
				continue
			}
			if n := b.edges.Count[e]; n <= 2 {
				other := b.edges.Tri[2*e]
				if other == t {
					other = b.edges.Tri[2*e+1]
				}
				if inside[other] && other != t {
					continue
				}
			} else if z.shared(e, t) {
				continue // more than two meet there: taken as closed
			}
			border = append(border, borderEdge{i, c, ids[3*i+c], ids[3*i+(c+1)%3]})
		}
	}
	pieceNumber := make([]int32, places) // by root, +1
	z.pieceOf = make([]int32, len(z.tri))
	for i := range z.tri {
		root := pieces.Find(uint32(ids[3*i]))
		n := pieceNumber[root] - 1
		if n < 0 {
			n = int32(len(z.pieces))
			pieceNumber[root], z.pieces = n+1, append(z.pieces, piece{})
		}
		z.pieceOf[i] = n
		normal := z.normal[deform.Linear]
		x, y, w := normal[3*i], normal[3*i+1], normal[3*i+2]
		z.pieces[n].area += math.Sqrt(x*x+y*y+w*w) / 2
	}
	loops, count := walkBorder(border, places)
	for k, o := range border {
		z.caps = append(z.caps, capEdge{z.corners[3*o.i+o.c], z.corners[3*o.i+(o.c+1)%3], loops[k], z.pieceOf[o.i]})
	}
	z.loops = count
	for _, t := range z.tri {
		inside[t] = false
		for _, v := range b.tri[3*t : 3*t+3] {
			numbers[b.place[v]] = 0
		}
	}
}

// borderEdge is the edge of a zone's triangle i from its corner c to the next, and the
// places at its ends.
type borderEdge struct {
	i, c     int
	from, to int32
}

// walkBorder parts the edges of the border into loops, along the direction of their
// triangles: by edge, and how many. A walk that comes by a place again closes a loop
// there, so loops that touch are two. What does not close (triangles of mixed
// direction) is a loop of its own.
func walkBorder(border []borderEdge, places int) (loop []int32, count int) {
	head, next := make([]int32, places), make([]int32, len(border))
	for i := len(border) - 1; i >= 0; i-- {
		next[i] = head[border[i].from]
		head[border[i].from] = int32(i) + 1
	}
	loop = make([]int32, len(border))
	used := make([]bool, len(border))
	on := make([]int32, places) // place → its edge on the path, +1
	close := func(edges []int32) {
		for _, e := range edges {
			loop[e] = int32(count)
		}
		count++
	}
	var path []int32
	for i := range border {
		if used[i] {
			continue
		}
		path = append(path[:0], int32(i))
		used[i] = true
		on[border[i].from] = 1
		for len(path) > 0 {
			at := border[path[len(path)-1]].to
			if k := on[at]; k > 0 {
				ring := path[k-1:]
				close(ring)
				for _, e := range ring {
					on[border[e].from] = 0
				}
				path = path[:k-1]
				if len(path) == 0 {
					break
				}
				continue
			}
			h := head[at]
			for h != 0 && used[h-1] {
				h = next[h-1]
			}
			head[at] = h
			if h == 0 { // a dead end
				close(path)
				for _, e := range path {
					on[border[e].from] = 0
				}
				break
			}
			used[h-1] = true
			path = append(path, h-1)
			on[at] = int32(len(path))
		}
	}
	return loop, count
}

// encloses tells that a piece of so much surface, m², holds a volume, m³, to speak of.
func encloses(volume, area float64) bool {
	return math.Abs(volume) > flatPiece*area*math.Sqrt(area)
}

// weighRest measures the volumes at rest, once all vertices have their numbers.
func (z *zone) weighRest() {
	n := 3 * len(z.vertices)
	if cap(z.pos) < n {
		z.pos = make([]float64, n)
	}
	z.pos = z.pos[:n]
	for method, rest := range [2][]float64{deform.Linear: z.b.rest, deform.Dual: z.b.dual} {
		if method == int(deform.Linear) || z.b.apart() {
			for i, v := range z.vertices {
				copy(z.pos[3*i:3*i+3], rest[3*v:])
			}
			z.enclosed()
		}
		for i := range z.pieces {
			p := &z.pieces[i]
			p.rest[method] = p.now
			if !encloses(p.now, p.area) {
				p.rest[method] = 0
			}
		}
	}
}

// shared tells whether another triangle of the zone has the edge as well.
func (z *zone) shared(e, t uint32) bool {
	b := z.b
	lo, hi := b.edges.Ends[2*e], b.edges.Ends[2*e+1]
	for _, u := range b.around[b.aroundStart[lo]:b.aroundStart[lo+1]] {
		if !b.inside[u] || u == t {
			continue
		}
		for c := range 3 {
			if b.place[b.tri[3*int(u)+c]] == hi {
				return true
			}
		}
	}
	return false
}

// enclosed works out the signed volume of every piece as z.pos has it, closed by fans
// over its cut loops (divergence theorem). Positions are taken about the joint, so
// that a gap costs little.
func (z *zone) enclosed() {
	if need := 4 * z.loops; cap(z.apex) < need {
		z.apex = make([]float64, need)
	} else {
		z.apex = z.apex[:need]
		clear(z.apex)
	}
	for i := range z.pieces {
		z.pieces[i].now = 0
	}
	pos, ox, oy, oz := z.pos, z.at[0], z.at[1], z.at[2]
	for i := range z.tri {
		a, b, c := 3*z.corners[3*i], 3*z.corners[3*i+1], 3*z.corners[3*i+2]
		ax, ay, az := pos[a]-ox, pos[a+1]-oy, pos[a+2]-oz
		bx, by, bz := pos[b]-ox, pos[b+1]-oy, pos[b+2]-oz
		cx, cy, cz := pos[c]-ox, pos[c+1]-oy, pos[c+2]-oz
		z.pieces[z.pieceOf[i]].now += (ax*(by*cz-bz*cy) + ay*(bz*cx-bx*cz) + az*(bx*cy-by*cx)) / 6
	}
	for i := range z.caps {
		e := &z.caps[i]
		m := z.apex[4*e.loop : 4*e.loop+4]
		for _, v := range [2]int32{e.from, e.to} {
			m[0], m[1], m[2] = m[0]+pos[3*v]-ox, m[1]+pos[3*v+1]-oy, m[2]+pos[3*v+2]-oz
		}
		m[3] += 2
	}
	for i := range z.caps {
		e := &z.caps[i]
		m := z.apex[4*e.loop : 4*e.loop+4]
		// From to to from: the fan runs against the triangle.
		ax, ay, az := m[0]/m[3], m[1]/m[3], m[2]/m[3]
		b, c := 3*e.to, 3*e.from
		bx, by, bz := pos[b]-ox, pos[b+1]-oy, pos[b+2]-oz
		cx, cy, cz := pos[c]-ox, pos[c+1]-oy, pos[c+2]-oz
		z.pieces[e.piece].now += (ax*(by*cz-bz*cy) + ay*(bz*cx-bx*cz) + az*(bx*cy-by*cx)) / 6
	}
}

// volumeRatio is the zone's volume against rest, all pieces that enclose something
// together; NaN when none does. It is signed: what is folded over counts negative.
func (z *zone) volumeRatio() float64 {
	z.enclosed()
	now, rest := 0.0, 0.0
	for i := range z.pieces {
		p := &z.pieces[i]
		switch was := p.rest[z.method]; {
		case was > 0:
			now, rest = now+p.now, rest+was
		case was < 0: // inside out: the same loss
			now, rest = now-p.now, rest-was
		}
	}
	if rest == 0 {
		return math.NaN()
	}
	return now / rest
}
