package bends

import (
	"container/heap"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
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
// bone on either side reaches as far as its limb goes from it; without a limb as well
// there is nothing to say.
func (z *zone) findBleed(bones *skeleton, reach, most, limit float64) (out []drawn) {
	b := z.b
	// A chord: nothing moves farther.
	chord := 2 * math.Sin(min(most, 180)*math.Pi/360)
	turnOf := func(v uint32) mgl64.Vec3 {
		if s := z.state[v]; s >= 0 {
			return z.blend[s].turn
		}
		return b.at(v).Sub(z.at)
	}
	kind, rank := b.kind, b.rank
	var touched []uint32
	defer func() {
		for _, p := range touched {
			kind[p], rank[p] = 0, 0
		}
	}()
	for _, v := range z.moved {
		p := b.place[v]
		if kind[p] == 0 {
			kind[p] = fringe
			touched = append(touched, p)
		}
		if z.shareOf(v) >= 0.5 {
			kind[p] = core
		}
	}
	patches, queue := z.patches(kind, rank, touched)
	if reach == 0 {
		for _, p := range queue {
			reach = max(reach, b.at(b.of[p]).Sub(z.at).Len())
		}
		if reach == 0 {
			return nil
		}
	}
	var segments [][2]mgl64.Vec3
	toBones := func(x mgl64.Vec3) float64 {
		if segments == nil {
			segments = bones.below(z.joint)
		}
		d := math.Inf(1)
		for i := range segments {
			d = min(d, fromSegment(x, &segments[i]))
		}
		return d
	}
	main := 0
	for i := range patches {
		if patches[i].weight > patches[main].weight {
			main = i
		}
	}
	shells := map[uint32]bool{} // that hold a part of the limb
	for i := range patches {
		p := &patches[i]
		p.limb = i == main || 10*p.places >= 9*b.shellSize[p.shell]
		// A tenth of the weight: less in one shell with the limb is a stray patch.
		if !p.limb && (p.shell != patches[main].shell || 10*p.weight >= patches[main].weight) {
			for _, q := range queue[p.from:p.to] {
				if toBones(b.at(b.of[q])) <= reach {
					p.limb = true
					break
				}
			}
		}
		if p.limb {
			shells[p.shell] = true
		}
	}
	limbs := func(p uint32) bool { return kind[p] == core && patches[rank[p]-1].limb }
	reached := b.reached
	var walked []uint32
	defer func() {
		for _, p := range walked {
			b.reached[p], b.best[p] = false, math.Inf(1)
		}
	}()
	spread := false
	for _, v := range z.moved {
		p := b.place[v]
		if limbs(p) {
			continue
		}
		t := turnOf(v)
		if !(t.Len()*chord > limit) {
			continue
		}
		if shells[b.shell[p]] {
			if !spread { // only now: most joints of sound figures need no walk
				spread = true
				walked = z.spread(z.rim(), limbs, reach)
			}
			if reached[p] {
				continue
			}
		} else if toBones(b.at(v)) <= reach {
			continue
		}
		out = append(out, drawn{v, t})
	}
	return out
}

const (
	fringe = 1 // of a place: hangs on the joint or below, by less than half
	core   = 2 // by half or more
)

// patch is a connected part of the core: a stretch of a list of places.
type patch struct {
	from, to int
	shell    uint32
	places   int
	weight   float64
	limb     bool
}

// patches parts the core; rank says which one a place is in, from 1.
func (z *zone) patches(kind []uint8, rank []int32, touched []uint32) (list []patch, queue []uint32) {
	b := z.b
	for _, p := range touched {
		if kind[p] != core || rank[p] != 0 {
			continue
		}
		q := patch{from: len(queue), shell: b.shell[p]}
		rank[p] = int32(len(list)) + 1
		queue = append(queue, p)
		for i := q.from; i < len(queue); i++ {
			c := queue[i]
			q.weight += z.shareOf(b.of[c])
			for _, t := range b.around[b.aroundStart[c]:b.aroundStart[c+1]] {
				for k := range uint32(3) {
					if n := b.place[b.tri[3*t+k]]; kind[n] == core && rank[n] == 0 {
						rank[n] = rank[p]
						queue = append(queue, n)
					}
				}
			}
		}
		q.to, q.places = len(queue), len(queue)-q.from
		list = append(list, q)
	}
	return list, queue
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
	for _, v := range z.moved {
		b.movedOf[b.place[v]]++
	}
	for _, v := range z.moved {
		p := b.place[v]
		if n := b.movedOf[p]; n > 0 && n < b.verticesOf[p] {
			list = append(list, p)
		}
		b.movedOf[p] = 0
	}
	return list
}

// spread walks outwards from the limb along edges and marks what lies within reach
// (Dijkstra 1959) or within two edges, in b.reached. It answers the places it wrote to,
// there and in b.best.
func (z *zone) spread(rim []uint32, limbs func(uint32) bool, reach float64) (walked []uint32) {
	b := z.b
	reached, best := b.reached, b.best
	var h walkers
	var edge []uint32 // what lies beside the limb
	visit := func(p uint32, d float64) {
		x := b.at(b.of[p])
		b.beside(p, func(n uint32) {
			if limbs(n) {
				return
			}
			far := d + b.at(b.of[n]).Sub(x).Len()
			if !(far <= reach) {
				return
			}
			if far < best[n] { // a way of length 0 as well: two places may lie in one spot
				walked = append(walked, n)
				best[n] = far
				heap.Push(&h, walker{far, n})
			}
		})
	}
	for _, p := range rim {
		if limbs(p) {
			visit(p, 0)
			b.beside(p, func(n uint32) {
				if !limbs(n) && !reached[n] {
					reached[n], walked = true, append(walked, n)
					edge = append(edge, n)
				}
			})
		}
	}
	for _, p := range edge { // each once: many may lie around one
		b.beside(p, func(n uint32) {
			if !reached[n] {
				reached[n], walked = true, append(walked, n)
			}
		})
	}
	for len(h) > 0 {
		w := heap.Pop(&h).(walker)
		if w.far > best[w.place] {
			continue // a shorter way came by
		}
		reached[w.place] = true
		visit(w.place, w.far)
	}
	return walked
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

type walkers []walker

func (h walkers) Len() int { return len(h) }
func (h walkers) Less(i, j int) bool {
	return h[i].far < h[j].far || h[i].far == h[j].far && h[i].place < h[j].place
}
func (h walkers) Swap(i, j int) { h[i], h[j] = h[j], h[i] }
func (h *walkers) Push(x any)   { *h = append(*h, x.(walker)) }
func (h *walkers) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}

// fromSegment is the distance of a point from a bone.
func fromSegment(x mgl64.Vec3, s *[2]mgl64.Vec3) float64 {
	d, p := s[1].Sub(s[0]), x.Sub(s[0])
	if l := d.Dot(d); l > 0 {
		p = p.Sub(d.Mul(max(0, min(1, p.Dot(d)/l))))
	}
	return p.Len()
}

// skeleton is the joints of all skins and where their bones end.
type skeleton struct {
	b      *body
	joints []rig.Node // in node order
	end    []rig.Node // by node: where its bone ends, None
	above  []rig.Node // by node: the joint above, None
}

func newSkeleton(b *body) *skeleton {
	n := len(b.r.Nodes)
	s := &skeleton{b: b, end: make([]rig.Node, n), above: make([]rig.Node, n)}
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
	roles := b.e.Roles()
	main := mainChildren(b, s.joints)
	for _, j := range b.r.Order {
		s.end[j], s.above[j] = rig.None, rig.None
		if p := b.r.Nodes[j].Parent; p >= 0 {
			if s.above[j] = s.above[p]; is[p] {
				s.above[j] = p
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
	for p := s.above[j]; p >= 0; p = s.above[p] {
		if d := s.b.world[j].Origin().Sub(s.b.world[p].Origin()); d.Len() > 1e-9 {
			return d, true
		}
	}
	return mgl64.Vec3{}, false
}

// below lists the bones of a joint and of all that hang on it; an end is a point.
func (s *skeleton) below(j rig.Node) (out [][2]mgl64.Vec3) {
	b := s.b
	for _, n := range s.joints {
		if b.enter[n] < b.enter[j] || b.enter[n] >= b.leave[j] {
			continue
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
