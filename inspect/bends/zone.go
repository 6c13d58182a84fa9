package bends

import (
	"cmp"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// zone is what one joint bends: all that hangs on the joint or on something below it
// moves; the vertices that hang on other joints too lie between. Only those are
// worked out move by move; what hangs on the joint wholly follows it as one piece, so
// its triangles keep their shape.
type zone struct {
	b     *body
	joint rig.Node
	at    mgl64.Vec3 // the joint at rest: what it turns about

	outline outline // regioned: triangles with a vertex that moves, and an area
	sweep   *sweep  // what follows as one piece
	mixes   []int32 // by vertex of the body: place in blend + 1; 0: still or whole
	local   []int32 // by vertex of the body: place in vertices + 1; 0: none

	// Vertices of the zone's triangles and of its sections: mixed ones first, then
	// those that follow wholly, then those that stay.
	vertices []uint32
	mixed    int
	follow   int     // end of those that follow
	blend    []blend // of the mixed ones

	tri     []uint32     // triangles of the body that lie between
	corners []int32      // 3 a triangle, places in vertices
	normal  [2][]float64 // by method, at rest; as long as twice the area
	share   []float64    // by triangle: how much of its weights moves, 0 … 1

	caps    []capEdge // of the cut loops, closed by fans
	loops   int
	pieces  []piece
	pieceOf []int32 // by triangle

	rings []ring   // sections that the moves are measured on
	seams []uint32 // of the body: places in its list that the joint opens or closes

	pos    []float64 // 3 a vertex of the zone: where a move has put it
	method deform.Method
	rest   []float64 // of the body: the rest positions of that method
	apex   []float64 // 3 a loop, and the count of its edges
	above  []float64 // squared stretches of a move above 1
	below  []float64 // and the others
}

// What a place is to a move where it is none of the bent ones, whose numbers are 0 and up.
const (
	still = -1 // it stays where it is
	whole = -2 // it goes along whole
)

// blend is one vertex that hangs on what moves and on what does not: where each has
// it at rest, so that a move costs one matrix.
type blend struct {
	stay mgl64.Vec3 // what does not move puts in, and what moves about the joint's own place
	turn mgl64.Vec3 // what moves puts in, less its weight times the joint's place

	weight, rest float64 // of what moves; of the rest

	// As dual quaternions, summed each for itself: a move multiplies the first.
	moves, stays [8]float64
	src          mgl64.Vec3 // after the stretch that comes first
}

// newZone is the zone of one joint alone.
func (b *body) newZone(j rig.Node) *zone {
	o, s := b.outlineOf(j)
	return b.zoneOf(j, o, s, nil)
}

// zoneOf takes time linear in what the joint bends. Scratch is handed from zone to
// zone: only one is in use at a time.
func (b *body) zoneOf(j rig.Node, o outline, s *sweep, scratch *zone) *zone {
	z := &zone{b: b, joint: j, at: b.world[j].Origin(), outline: o, sweep: s}
	if scratch != nil {
		for i, v := range scratch.vertices {
			scratch.local[v] = 0
			if i < scratch.mixed {
				scratch.mixes[v] = 0
			}
		}
		z.mixes, z.local = scratch.mixes, scratch.local
		z.vertices, z.blend = scratch.vertices[:0], scratch.blend[:0]
		z.pos, z.above, z.below = scratch.pos[:0], scratch.above[:0], scratch.below[:0]
	} else {
		z.mixes, z.local = make([]int32, len(b.place)), make([]int32, len(b.place))
	}
	z.sortVertices()
	z.sortTriangles()
	z.number()
	z.findPieces()
	z.findSeams()
	z.weighRest()
	return z
}

// holds tells whether a node, by its enter, moves with the joint.
func (z *zone) holds(enter int32) bool {
	return enter >= z.outline.lo && enter < z.outline.hi
}

// firm tells that a place follows the joint as one piece.
func (z *zone) firm(place uint32) bool { return z.holds(z.b.placeTop[place]) }

// state is still, whole, or the place of a vertex among the mixed ones.
func (z *zone) state(v uint32) int32 {
	if i := z.mixes[v]; i > 0 {
		return i - 1
	}
	if z.holds(z.b.top[v]) {
		return whole
	}
	return still
}

// moved tells that a vertex hangs on the joint or below it.
func (z *zone) moved(v uint32) bool { return z.state(v) != still }

// sortVertices lists the vertices that move partly, in the order of the nodes that hold
// them.
func (z *zone) sortVertices() {
	b := z.b
	var ranks []uint64
	for _, p := range z.outline.places {
		for _, v := range b.vertices[b.verticesStart[p]:b.verticesStart[p+1]] {
			if !z.holds(b.top[v]) {
				if r := b.order(v, z.outline.lo, z.outline.hi); int32(r>>32) >= 0 {
					ranks = append(ranks, r)
				}
			}
		}
	}
	slices.Sort(ranks)
	z.vertices = slices.Grow(z.vertices, len(ranks))
	z.blend = slices.Grow(z.blend, len(ranks)) // grown step by step, it would take memory several times over
	for i, r := range ranks {
		v := uint32(r)
		z.vertices, z.mixes[v] = append(z.vertices, v), int32(i)+1
		d := b.blendOf(v, z.holds)
		d.turn = d.turn.Sub(z.at.Mul(d.weight))
		d.stay = d.stay.Add(z.at.Mul(d.weight))
		z.blend = append(z.blend, d)
	}
	z.mixed = len(z.vertices)
}

// sortTriangles puts those that lie between into the order of the vertices that move.
func (z *zone) sortTriangles() {
	b := z.b
	type ranked struct {
		by  uint64
		tri uint32
	}
	list := make([]ranked, 0, len(z.outline.tris))
	for _, t := range z.outline.tris {
		by := ^uint64(0)
		for _, v := range b.tri[3*t : 3*t+3] {
			if z.moved(v) {
				by = min(by, b.order(v, z.outline.lo, z.outline.hi))
			}
		}
		list = append(list, ranked{by, t})
	}
	slices.SortFunc(list, func(a, b ranked) int { return cmp.Or(cmp.Compare(a.by, b.by), cmp.Compare(a.tri, b.tri)) })
	z.tri = make([]uint32, 0, len(list))
	for _, r := range list {
		z.tri = append(z.tri, r.tri)
	}
}

// blendOf sums what a vertex hangs on, those that move and the others each for itself.
func (b *body) blendOf(v uint32, moves func(enter int32) bool) (d blend) {
	x := mgl64.Vec3{float64(b.src[3*v]), float64(b.src[3*v+1]), float64(b.src[3*v+2])}
	var stretched mgl64.Vec3
	sum, rigid := 0.0, true
	for k := b.start[v]; k < b.start[v+1]; k++ {
		p, w := &b.parts[b.part[k]], b.weight[k]
		q := &d.stays
		if moves(b.holder[k]) {
			q = &d.moves
			d.turn, d.weight = d.turn.Add(p.matrix.Point(x).Mul(w)), d.weight+w
		} else {
			d.stay, d.rest = d.stay.Add(p.matrix.Point(x).Mul(w)), d.rest+w
		}
		add(q, &p.real, &p.dual, w)
		rigid = rigid && p.rigid
		h := &p.stretch
		stretched = stretched.Add(mgl64.Vec3{
			h[0]*x[0] + h[1]*x[1] + h[2]*x[2],
			h[3]*x[0] + h[4]*x[1] + h[5]*x[2],
			h[6]*x[0] + h[7]*x[1] + h[8]*x[2],
		}.Mul(w))
		sum += w
	}
	d.src = x
	if !rigid && sum != 0 {
		d.src = stretched.Mul(1 / sum)
	}
	return d
}

// add sums dual quaternions on the side of the first: q and −q are one motion.
func add(sum *[8]float64, real, dual *[4]float64, w float64) {
	if sum[0]*real[0]+sum[1]*real[1]+sum[2]*real[2]+sum[3]*real[3] < 0 {
		w = -w
	}
	for i := range 4 {
		sum[i] += w * real[i]
		sum[4+i] += w * dual[i]
	}
}

// number gives the zone's vertices local numbers.
func (z *zone) number() {
	for i, v := range z.vertices {
		z.local[v] = int32(i) + 1
	}
	for _, kind := range [2]int32{whole, still} {
		for _, t := range z.tri {
			for _, v := range z.b.tri[3*t : 3*t+3] {
				if z.state(v) == kind && z.local[v] == 0 {
					z.vertices = append(z.vertices, v)
					z.local[v] = int32(len(z.vertices))
				}
			}
		}
		if kind == whole {
			z.follow = len(z.vertices)
		}
	}
	z.corners = make([]int32, 0, 3*len(z.tri))
	z.share = make([]float64, 0, len(z.tri))
	for _, t := range z.tri {
		share := 0.0
		for _, v := range z.b.tri[3*t : 3*t+3] {
			z.corners = append(z.corners, z.local[v]-1)
			share += z.shareOf(v) / 3
		}
		z.share = append(z.share, share)
	}
	z.normal[deform.Linear] = z.normals(z.b.rest)
	z.normal[deform.Dual] = z.normal[deform.Linear]
	if z.b.apart() {
		z.normal[deform.Dual] = z.normals(z.b.dual)
	}
}

func (z *zone) normals(rest []float64) []float64 {
	list := make([]float64, 0, 3*len(z.tri))
	for _, t := range z.tri {
		p, q, r := space.At(rest, z.b.tri[3*t]), space.At(rest, z.b.tri[3*t+1]), space.At(rest, z.b.tri[3*t+2])
		n := q.Sub(p).Cross(r.Sub(p))
		list = append(list, n[0], n[1], n[2])
	}
	return list
}

// shareOf is how much of a vertex's weight moves, 0 … 1 for sound weights.
func (z *zone) shareOf(v uint32) float64 {
	switch s := z.state(v); {
	case s == still:
		return 0
	case s == whole:
		return 1
	default:
		d := &z.blend[s]
		if sum := d.weight + d.rest; sum != 0 {
			return d.weight / sum
		}
		return 0
	}
}

// place is where the move that z.pos was carried by has put a vertex of the body, in
// the zone or not.
func (z *zone) place(v uint32, m *turning) mgl64.Vec3 {
	if i := z.local[v]; i > 0 {
		return mgl64.Vec3{z.pos[3*i-3], z.pos[3*i-2], z.pos[3*i-1]}
	}
	x := mgl64.Vec3{z.rest[3*v], z.rest[3*v+1], z.rest[3*v+2]}
	if z.state(v) == whole {
		return m.point(x.Sub(z.at)).Add(z.at)
	}
	return x
}

// turning is one move at one angle: a turn about an axis through the joint's place.
type turning struct {
	axis    mgl64.Vec3
	degrees float64
	m       [9]float64
	half    [2]float64 // sine and cosine of half the angle
	quat    [8]float64 // as a dual quaternion, about the joint's place
}

func (z *zone) turn(axis mgl64.Vec3, degrees float64) *turning {
	t := &turning{axis: axis, degrees: degrees}
	a := anatomy.Rotation(mgl64.Vec3{}, axis, degrees)
	t.m = [9]float64{a[0], a[1], a[2], a[4], a[5], a[6], a[8], a[9], a[10]}
	s, c := math.Sincos(degrees * math.Pi / 360)
	t.half = [2]float64{s, c}
	x, y, w := axis[0]*s, axis[1]*s, axis[2]*s
	move := z.at.Sub(t.point(z.at))
	tx, ty, tz := move[0]/2, move[1]/2, move[2]/2
	t.quat = [8]float64{x, y, w, c, tx*c + ty*w - tz*y, ty*c + tz*x - tx*w, tz*c + tx*y - ty*x, -(tx*x + ty*y + tz*w)}
	return t
}

func (t *turning) point(p mgl64.Vec3) mgl64.Vec3 {
	m := &t.m
	return mgl64.Vec3{m[0]*p[0] + m[1]*p[1] + m[2]*p[2], m[3]*p[0] + m[4]*p[1] + m[5]*p[2], m[6]*p[0] + m[7]*p[1] + m[8]*p[2]}
}

// carry puts the zone's vertices where a move takes them, into z.pos.
func (z *zone) carry(t *turning, method deform.Method) {
	n := 3 * len(z.vertices)
	if cap(z.pos) < n {
		z.pos = make([]float64, n)
	}
	z.pos = z.pos[:n]
	m, ox, oy, oz := &t.m, z.at[0], z.at[1], z.at[2]
	z.method, z.rest = method, z.b.rest
	if method == deform.Dual {
		z.rest = z.b.dual
		carryDual(z.blend, t, z.pos)
	} else {
		for i := range z.blend {
			d, p := &z.blend[i], z.pos[3*i:3*i+3:3*i+3]
			x, y, w := d.turn[0], d.turn[1], d.turn[2]
			p[0] = d.stay[0] + m[0]*x + m[1]*y + m[2]*w
			p[1] = d.stay[1] + m[3]*x + m[4]*y + m[5]*w
			p[2] = d.stay[2] + m[6]*x + m[7]*y + m[8]*w
		}
	}
	for i := z.mixed; i < z.follow; i++ {
		v := z.vertices[i]
		x, y, w := z.rest[3*v]-ox, z.rest[3*v+1]-oy, z.rest[3*v+2]-oz
		p := z.pos[3*i : 3*i+3 : 3*i+3]
		p[0] = ox + m[0]*x + m[1]*y + m[2]*w
		p[1] = oy + m[3]*x + m[4]*y + m[5]*w
		p[2] = oz + m[6]*x + m[7]*y + m[8]*w
	}
	for i := z.follow; i < len(z.vertices); i++ {
		copy(z.pos[3*i:3*i+3], z.rest[3*z.vertices[i]:])
	}
}

// carryDual blends as deform.Deformer does with Dual: the sums of what moves and of
// what does not are made before, so that a move costs one product.
func carryDual(blends []blend, t *turning, pos []float64) {
	a := &t.quat
	for i := range blends {
		d := &blends[i]
		b, c := &d.moves, &d.stays
		rx := a[3]*b[0] + a[0]*b[3] + a[1]*b[2] - a[2]*b[1]
		ry := a[3]*b[1] + a[1]*b[3] + a[2]*b[0] - a[0]*b[2]
		rz := a[3]*b[2] + a[2]*b[3] + a[0]*b[1] - a[1]*b[0]
		rw := a[3]*b[3] - a[0]*b[0] - a[1]*b[1] - a[2]*b[2]
		dx := a[3]*b[4] + a[0]*b[7] + a[1]*b[6] - a[2]*b[5] + a[7]*b[0] + a[4]*b[3] + a[5]*b[2] - a[6]*b[1]
		dy := a[3]*b[5] + a[1]*b[7] + a[2]*b[4] - a[0]*b[6] + a[7]*b[1] + a[5]*b[3] + a[6]*b[0] - a[4]*b[2]
		dz := a[3]*b[6] + a[2]*b[7] + a[0]*b[5] - a[1]*b[4] + a[7]*b[2] + a[6]*b[3] + a[4]*b[1] - a[5]*b[0]
		dw := a[3]*b[7] - a[0]*b[4] - a[1]*b[5] - a[2]*b[6] + a[7]*b[3] - a[4]*b[0] - a[5]*b[1] - a[6]*b[2]
		ox, oy, oz, ow := rx, ry, rz, rw
		ex, ey, ez, ew := dx, dy, dz, dw
		if rx*c[0]+ry*c[1]+rz*c[2]+rw*c[3] < 0 {
			rx, ry, rz, rw = c[0]-rx, c[1]-ry, c[2]-rz, c[3]-rw
			dx, dy, dz, dw = c[4]-dx, c[5]-dy, c[6]-dz, c[7]-dw
		} else {
			rx, ry, rz, rw = c[0]+rx, c[1]+ry, c[2]+rz, c[3]+rw
			dx, dy, dz, dw = c[4]+dx, c[5]+dy, c[6]+dz, c[7]+dw
		}
		l := rx*rx + ry*ry + rz*rz + rw*rw
		if !(l > 1e-12) { // turns that cancel out: the stronger side alone
			if d.weight >= d.rest {
				rx, ry, rz, rw, dx, dy, dz, dw = ox, oy, oz, ow, ex, ey, ez, ew
			} else {
				rx, ry, rz, rw, dx, dy, dz, dw = c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7]
			}
			l = rx*rx + ry*ry + rz*rz + rw*rw
		}
		if !(l > 0) {
			l = 1
		}
		k := 2 / l
		x, y, w := d.src[0], d.src[1], d.src[2]
		p := pos[3*i : 3*i+3 : 3*i+3]
		p[0] = (1-k*(ry*ry+rz*rz))*x + k*(rx*ry-rw*rz)*y + k*(rx*rz+rw*ry)*w + k*(rw*dx-dw*rx+ry*dz-rz*dy)
		p[1] = k*(rx*ry+rw*rz)*x + (1-k*(rx*rx+rz*rz))*y + k*(ry*rz-rw*rx)*w + k*(rw*dy-dw*ry+rz*dx-rx*dz)
		p[2] = k*(rx*rz-rw*ry)*x + k*(ry*rz+rw*rx)*y + (1-k*(rx*rx+ry*ry))*w + k*(rw*dz-dw*rz+rx*dy-ry*dx)
	}
}
