package bends

import (
	"cmp"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// drawn is a vertex that the joint draws along though it lies beyond its limb.
type drawn struct {
	v    uint32
	turn mgl64.Vec3 // what moves puts in, about the joint: a move shifts it by (R − 1)·turn
}

// findBleed lists the vertices beyond the joint's own limb that its moves can shift by
// more than limit metres.
//
// The limb is where the joint, and what hangs on it, has at least half of the weight:
// the heaviest connected patch of it, other shells that hang on it altogether, and
// patches beside its bones that are in other shells or have a tenth of its weight. What lies within reach metres of the limb
// along the surface (edges of the welded mesh) is its surroundings and may be drawn
// along, and so may what is two edges away, however long these are. Vertices of shells
// that have no part of the limb are measured straight to its bones. A joint without a
// bone on either side reaches as far as its limb goes from it, and what lies opposite the limb is
// its limb too: the palm of a hand is a metacarpal's as its back is, though little of it has
// half. Without a limb there is nothing to say.
func (z *zone) findBleed(bones *skeleton, reach, most, limit float64) (out []drawn) {
	b := z.b
	chord := 2 * math.Sin(min(most, 180)*math.Pi/360) // nothing moves farther
	turnOf := func(v uint32) mgl64.Vec3 {
		if s := z.state(v); s >= 0 {
			return z.blend[s].turn
		}
		return b.at(v).Sub(z.at)
	}
	z.markKinds()
	patches, ids := z.patches()
	defer z.unmark(ids)
	boneless := reach == 0
	if boneless {
		if reach = z.coreReach(); reach == 0 {
			return nil
		}
	}
	var segments [][2]mgl64.Vec3
	toBones := func(x mgl64.Vec3) float64 {
		if segments == nil {
			segments = bones.below(z.joint)
		}
		z.sweep.work += len(segments)
		d := math.Inf(1)
		for i := range segments {
			d = min(d, space.ToSegment(x, segments[i][0], segments[i][1]))
		}
		return d
	}
	limbs := func(p uint32) bool {
		if z.firm(p) {
			r := b.rank[z.sweep.find(p)]
			return r == 0 || patches[r-1].limb // 0: a whole shell
		}
		return b.kind[p] == core && patches[b.rank[p]-1].limb
	}
	shells := z.findLimb(patches, func(place uint32) bool { return toBones(b.at(b.of[place])) <= reach },
		func(place uint32) bool { return boneless && z.faces(place, reach, limbs) })
	// What moves far enough and is not the limb: in its shells what the walk does not
	// reach, elsewhere what lies far from the bones.
	var walkTo []drawn
	consider := func(p uint32) {
		for _, v := range b.vertices[b.verticesStart[p]:b.verticesStart[p+1]] {
			if !z.moved(v) {
				continue
			}
			t := turnOf(v)
			if !(t.Len()*chord > limit) {
				continue
			}
			if shells[b.shell[p]] {
				walkTo = append(walkTo, drawn{v, t})
			} else if !(toBones(b.at(v)) <= reach) {
				out = append(out, drawn{v, t})
			}
		}
	}
	for _, p := range z.outline.places {
		if !limbs(p) {
			consider(p)
		}
	}
	for i := range patches {
		if !patches[i].limb {
			z.firmOf(&patches[i], consider)
		}
	}
	if len(walkTo) == 0 { // most joints of sound figures need no walk
		return out
	}
	return append(out, z.beyond(walkTo, limbs, reach)...)
}

// coreReach is how far from the joint its limb goes, metres: 0 where there is none. It
// needs b.kind.
func (z *zone) coreReach() (reach float64) {
	b := z.b
	for _, v := range z.moves() {
		if p := b.place[v]; z.firm(p) || b.kind[p] == core {
			reach = max(reach, b.at(b.of[p]).Sub(z.at).Len())
		}
	}
	return reach
}

// beyond answers those of a list that a walk from the limb does not reach. It leaves
// b.wanted, b.reached and b.best as it found them.
func (z *zone) beyond(walkTo []drawn, limbs func(uint32) bool, reach float64) (out []drawn) {
	b, left := z.b, 0
	for _, d := range walkTo {
		if p := b.place[d.v]; !b.wanted[p] {
			b.wanted[p] = true
			left++
		}
	}
	walked := z.spread(z.rim(), limbs, reach, left)
	for _, d := range walkTo {
		if !b.reached[b.place[d.v]] {
			out = append(out, d)
		}
	}
	for _, d := range walkTo {
		b.wanted[b.place[d.v]] = false
	}
	for _, p := range walked {
		b.reached[p], b.best[p] = false, math.Inf(1)
	}
	return out
}

// faces tells that of the wall opposite a place, straight through the inside and no farther than
// reach, a corner is one of those asked for.
func (z *zone) faces(place uint32, reach float64, is func(place uint32) bool) bool {
	b := z.b
	if b.walls == nil {
		points := make([]float32, len(b.rest))
		for i, x := range b.rest {
			points[i] = float32(x)
		}
		b.walls = geom.NewTriangles(points, b.tri)
	}
	at, way := b.at(b.of[place]), mgl64.Vec3{}
	for _, t := range b.around[b.aroundStart[place]:b.aroundStart[place+1]] {
		way = way.Sub(b.walls.Normal(int(t)))
	}
	if way = space.Direction(way); way.Len() == 0 {
		return false
	}
	nearest, wall := math.Inf(1), -1
	b.walls.Pass(at, at.Add(way.Mul(reach)), func(t int, share float64) bool {
		z.sweep.work++
		for k := range 3 {
			if b.place[b.tri[3*t+k]] == place {
				return true
			}
		}
		if share < nearest {
			nearest, wall = share, t
		}
		return true
	})
	if wall < 0 || b.walls.Normal(wall).Dot(way) < 0 { // it is no inside that lies between
		return false
	}
	for k := range 3 {
		if is(b.place[b.tri[3*wall+k]]) {
			return true
		}
	}
	return false
}

const (
	fringe = 1 // of a place: hangs on the joint or below, by less than half
	core   = 2 // by half or more
)

// markKinds tells of the places that do not follow as one piece how they hang on.
func (z *zone) markKinds() {
	b := z.b
	for _, p := range z.outline.places {
		b.kind[p] = fringe
		for _, v := range b.vertices[b.verticesStart[p]:b.verticesStart[p+1]] {
			if z.moved(v) && z.shareOf(v) >= 0.5 {
				b.kind[p] = core
			}
		}
	}
}

// unmark leaves b.kind and b.rank as they were found.
func (z *zone) unmark(ids []uint32) {
	for _, p := range z.outline.places {
		z.b.kind[p] = 0
	}
	for _, p := range ids {
		z.b.rank[p] = 0
	}
}

// patch is a connected part of the core: places that hang on by half or more, and pieces
// that follow as one.
type patch struct {
	mixed, pieces []uint32
	shell         uint32
	places        int32
	weight        float64
	first         uint64
	limb          bool
}

// patches parts the core, but for whole shells. b.rank says which one a place, or the
// root of a piece, is in, from 1; ids are those it is written for.
func (z *zone) patches() (list []patch, ids []uint32) {
	b, s := z.b, z.sweep
	pieces := len(z.outline.pieces)
	for _, p := range z.outline.pieces {
		ids = append(ids, s.find(p))
	}
	for _, p := range z.outline.places {
		if b.kind[p] == core {
			ids = append(ids, p)
		}
	}
	for i, p := range ids {
		b.rank[p] = int32(i) + 1
	}
	joined := geom.NewUnion(len(ids))
	for i := pieces; i < len(ids); i++ {
		b.beside(ids[i], func(n uint32) {
			if z.firm(n) {
				n = s.find(n)
			} else if b.kind[n] != core {
				return
			}
			joined.Join(uint32(i), uint32(b.rank[n]-1))
		})
	}
	of := make([]int32, len(ids)) // by root: the patch, from 1
	for i, p := range ids {
		r := joined.Find(uint32(i))
		if of[r] == 0 {
			list = append(list, patch{shell: b.shell[p], first: ^uint64(0)})
			of[r] = int32(len(list))
		}
		q := &list[of[r]-1]
		if i < pieces {
			q.pieces, q.places, q.weight = append(q.pieces, p), q.places+s.size[p], q.weight+float64(s.size[p])
			q.first = min(q.first, s.first[p])
		} else {
			q.mixed, q.places, q.weight = append(q.mixed, p), q.places+1, q.weight+z.shareOf(b.of[p])
			for _, v := range b.vertices[b.verticesStart[p]:b.verticesStart[p+1]] {
				if z.moved(v) {
					q.first = min(q.first, b.order(v, z.outline.lo, z.outline.hi))
				}
			}
		}
		b.rank[p] = of[r]
	}
	return list, ids
}

// findLimb settles which patches are the limb: the heaviest, those that are nearly whole
// shells, those near a bone in other shells or with a tenth of its weight, and those that
// face what is limb by then (else less in one shell with the limb is a stray patch). It answers
// the shells that hold some of it.
func (z *zone) findLimb(patches []patch, near, faces func(place uint32) bool) (shells map[uint32]bool) {
	shells = map[uint32]bool{}
	main := shellOf{}
	weight := float64(z.outline.full.size)
	if weight > 0 {
		main = z.outline.full
		shells[main.shell] = true
	}
	heaviest := -1
	for i := range patches {
		if p := &patches[i]; p.weight > weight || p.weight == weight && (p.first < main.first || main.size == 0) {
			heaviest, weight = i, p.weight
			main = shellOf{p.places, p.first, p.shell}
		}
	}
	some := func(p *patch, is func(place uint32) bool) (yes bool) {
		if slices.ContainsFunc(p.mixed, is) {
			return true
		}
		z.firmOf(p, func(q uint32) { yes = yes || is(q) })
		return yes
	}
	for i := range patches {
		p := &patches[i]
		p.limb = i == heaviest || 10*int(p.places) >= 9*z.b.shellSize[p.shell] ||
			(p.shell != main.shell || 10*p.weight >= weight) && some(p, near)
	}
	for i := range patches {
		p := &patches[i]
		if p.limb = p.limb || some(p, faces); p.limb {
			shells[p.shell] = true
		}
	}
	return shells
}

// firmOf visits the places of a patch that follow as one piece.
func (z *zone) firmOf(p *patch, visit func(place uint32)) {
	for _, q := range p.pieces {
		z.sweep.work += int(z.sweep.size[q])
		for at := q; ; {
			visit(at)
			if at = z.sweep.next[at]; at == q {
				break
			}
		}
	}
}

// rim lists the places at which a limb may end, some twice: a triangle with a corner in
// the limb and one beyond lies between, or, where it does not move at all, that corner is
// a place whose other vertices do. So what follows as one piece need not be walked over,
// which along a chain would cost its length for every joint.
func (z *zone) rim() (list []uint32) {
	b := z.b
	for _, t := range z.tri {
		list = append(list, b.place[b.tri[3*t]], b.place[b.tri[3*t+1]], b.place[b.tri[3*t+2]])
	}
	return append(list, z.outline.places...)
}

// spread walks outwards from the limb along edges, and across slits, and marks what lies within reach
// (Dijkstra 1959) or within two edges, in b.reached. It answers the places it wrote to,
// there and in b.best. It ends once so many of b.wanted are reached; 0: it goes on.
func (z *zone) spread(rim []uint32, limbs func(uint32) bool, reach float64, left int) (walked []uint32) {
	b := z.b
	reached, best := b.reached, b.best
	var h walkers
	var edge []uint32 // what lies beside the limb
	visit := func(p uint32, d float64) {
		x := b.at(b.of[p])
		step := func(n uint32) {
			if limbs(n) {
				return
			}
			far := d + away(b.rest, b.of[n], &x)
			if !(far <= reach) {
				return
			}
			if far < best[n] { // a way of length 0 as well: two places may lie in one spot
				walked = append(walked, n)
				best[n] = far
				h.push(walker{far, n})
			}
		}
		b.beside(p, step)
		for _, n := range b.across[p] {
			step(n)
		}
	}
	end := left == 0
	arrive := func(n uint32) {
		reached[n] = true
		if b.wanted[n] {
			left--
		}
	}
	for _, p := range rim {
		if limbs(p) {
			visit(p, 0)
			b.beside(p, func(n uint32) {
				if !limbs(n) && !reached[n] {
					walked = append(walked, n)
					edge = append(edge, n)
					arrive(n)
				}
			})
		}
	}
	for _, p := range b.slits { // a limb may end at one, too
		if limbs(p) {
			visit(p, 0)
		}
	}
	for _, p := range edge { // each once: many may lie around one
		b.beside(p, func(n uint32) {
			if !reached[n] {
				walked = append(walked, n)
				arrive(n)
			}
		})
	}
	for len(h) > 0 && (end || left > 0) {
		w := h.pop()
		if w.far > best[w.place] {
			continue // a shorter way came by
		}
		if !reached[w.place] {
			arrive(w.place)
		}
		visit(w.place, w.far)
	}
	z.sweep.work += len(walked) + len(b.slits)
	return walked
}

// away is how far vertex v of a list stands from x.
func away(list []float64, v uint32, x *mgl64.Vec3) float64 {
	p := list[3*v : 3*v+3 : 3*v+3]
	dx, dy, dz := p[0]-x[0], p[1]-x[1], p[2]-x[2]
	return math.Sqrt(dx*dx + dy*dy + dz*dz)
}

// beside visits the places that share an edge with one, some of them twice.
func (b *body) beside(p uint32, visit func(uint32)) {
	for _, t := range b.around[b.aroundStart[p]:b.aroundStart[p+1]] {
		for k := range uint32(3) {
			if n := b.place[b.tri[3*t+k]]; n != p {
				visit(n)
			}
		}
	}
}

type walker struct {
	far   float64
	place uint32
}

// before is the order of the walk.
func (w walker) before(v walker) bool { return w.far < v.far || w.far == v.far && w.place < v.place }

// walkers are a heap, the nearest first. container/heap would box each one.
type walkers []walker

func (h *walkers) push(w walker) {
	list := append(*h, w)
	i := len(list) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !w.before(list[up]) {
			break
		}
		list[i] = list[up]
		i = up
	}
	list[i] = w
	*h = list
}

func (h *walkers) pop() walker {
	list := *h
	first, n := list[0], len(list)-1
	w, i := list[n], 0
	for {
		down := 2*i + 1
		if down >= n {
			break
		}
		if down+1 < n && list[down+1].before(list[down]) {
			down++
		}
		if !list[down].before(w) {
			break
		}
		list[i] = list[down]
		i = down
	}
	list[i] = w
	*h = list[:n]
	return first
}

// skeleton is the joints of all skins and where their bones end.
type skeleton struct {
	b       *body
	joints  []rig.Node // in node order
	byEnter []rig.Node
	dir     []mgl64.Vec3 // by node: the way to it from the nearest joint above that stands elsewhere, zero
	end     []rig.Node   // by node: where its bone ends, None
	above   []rig.Node   // by node: the joint above, None
}

func newSkeleton(b *body) *skeleton {
	n := len(b.r.Nodes)
	s := &skeleton{b: b, end: make([]rig.Node, n), above: make([]rig.Node, n), dir: make([]mgl64.Vec3, n)}
	is := make([]bool, n)
	for k := range b.r.Skins {
		for _, j := range b.r.Skins[k].Joints {
			is[j] = true
		}
	}
	for j, yes := range is {
		if yes {
			s.joints = append(s.joints, rig.Node(j))
		}
	}
	s.byEnter = slices.SortedFunc(slices.Values(s.joints), func(p, q rig.Node) int { return cmp.Compare(b.enter[p], b.enter[q]) })
	roles := b.e.Roles()
	main := mainChildren(b, s.joints)
	for _, j := range b.r.Order {
		s.end[j], s.above[j] = rig.None, rig.None
		if p := b.r.Nodes[j].Parent; p >= 0 {
			if s.above[j] = s.above[p]; is[p] {
				s.above[j] = p
			}
		}
		if p := s.above[j]; p >= 0 {
			if s.dir[j] = b.world[j].Origin().Sub(b.world[p].Origin()); !(s.dir[j].Len() > 1e-9) {
				s.dir[j] = s.dir[p]
			}
		}
		if !is[j] {
			continue
		}
		end := main[j]
		if role := roles.Of[j].Role; role != "" {
			if next := roles.Next(role); next >= 0 && is[next] {
				end = next
			}
		}
		if end >= 0 && end != j && b.world[end].Origin().Sub(b.world[j].Origin()).Len() > 1e-9 {
			s.end[j] = end
		}
	}
	return s
}

// bone is the direction and length of a joint's bone, as a vector; at an end that of
// the bone above goes on. false: there is none.
func (s *skeleton) bone(j rig.Node) (mgl64.Vec3, bool) {
	if e := s.end[j]; e >= 0 {
		return s.b.world[e].Origin().Sub(s.b.world[j].Origin()), true
	}
	d := s.dir[j]
	return d, d != mgl64.Vec3{}
}

// below lists the bones of a joint and of all that hang on it; an end is a point.
func (s *skeleton) below(j rig.Node) (out [][2]mgl64.Vec3) {
	b := s.b
	from, _ := slices.BinarySearchFunc(s.byEnter, b.enter[j], func(n rig.Node, e int32) int { return cmp.Compare(b.enter[n], e) })
	for _, n := range s.byEnter[from:] {
		if b.enter[n] >= b.leave[j] {
			break
		}
		from := b.world[n].Origin()
		to := from
		if e := s.end[n]; e >= 0 {
			to = b.world[e].Origin()
		}
		out = append(out, [2]mgl64.Vec3{from, to})
	}
	return out
}

// zigzag is how much longer a way along edges may be than the way along the surface.
const zigzag = 1.5

// reach is how far around its limb a joint may draw the surface along, measured along
// edges: the longer of its bone and the one it hangs on. 0: it has neither.
func (s *skeleton) reach(j rig.Node) (far float64) {
	at := s.b.world[j].Origin()
	if e := s.end[j]; e >= 0 {
		far = s.b.world[e].Origin().Sub(at).Len()
	}
	if p := s.above[j]; p >= 0 {
		far = max(far, at.Sub(s.b.world[p].Origin()).Len())
	}
	return zigzag * far
}
