package even

import (
	"maps"
	"math"
	"slices"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Made is where a vertex of a halved primitive comes from: Share of the way from stored
// vertex A to B, places in their mesh; B is A for a copy.
type Made struct {
	A, B     int32
	Share    float64
	Mirrored bool // it is the mirror image of that
}

// HalvedPrimitive is the triangles of one primitive made anew. Positions, normals, morph
// targets and influences are worked out; whatever else a vertex has goes by From.
type HalvedPrimitive struct {
	Mesh      rig.Mesh
	Primitive int
	From      []Made
	Triangles []uint32 // places in From
	Positions []float32
	Normals   []float32 // nil: the primitive has none
	Targets   []rig.Target
	Joints    []uint16 // K a vertex, as of the mesh
	Weights   []float32
	Maps      []float32 // 3×4 a vertex, row by row: how directions that are not worked out here turn
}

// Halves is what making one half anew takes.
type Halves struct {
	Primitives []HalvedPrimitive
	Pairs      *Pairs
	Shape      *Shape
	LeftWhole  []string // surfaces left alone, each with the reason
	Cut        int      // edges cut at the plane
	Gone       int      // stored vertices of the half that went
	NoRoom     int      // vertices on the plane whose mirrored weights did not fit
	Laid       float64  // the farthest that a vertex was laid onto the plane, metres
}

// What a place is to the half that stays.
const (
	goes   int8 = -1
	middle int8 = 0
	stays  int8 = 1
	aside  int8 = 2 // no part of it: kept as it is
)

// nearCut is the share of an edge within which a cut is laid onto the edge's end: a cut
// nearer to it would leave a sliver.
const nearCut = 0.1

// Halve cuts the body at its mirror plane, drops one half and puts the mirror image of the
// other in its place: the pictures' coordinates are the same on both sides, influences go
// to the partners' joints, morph targets to the targets of the other side. Parts that have
// no other half (see Pair) are kept as they are. Nothing of the half that stays moves, but
// for vertices that belong on the plane.
func Halve(e *exam.Exam, w Wants) (*Halves, error) {
	if w.From == Mean {
		return nil, refuse("One half must stay: choose which.")
	}
	shape, left, err := ShapeOf(e, w.Apart)
	if err != nil {
		return nil, err
	}
	h := &halver{
		e: e, w: w, out: &Halves{Pairs: Pair(shape, w.Limits), Shape: shape, LeftWhole: left},
		f: &Figure{Shape: shape, Mirror: e.Mirror(), Rig: e.Rig},
	}
	h.f.Pairs = h.out.Pairs
	h.a = &applier{e: e, w: w, f: h.f, old: e.Rig, opposite: e.Opposite(), world: e.RestWorld(), sets: setsOf(e.Rig)}
	h.placed = map[placeKey][3]float32{}
	h.sides()
	if err := h.primitives(); err != nil {
		return nil, err
	}
	if len(h.out.Primitives) == 0 {
		return nil, refuse("No part has two halves over the mirror plane: over %s of each has no partner. Raise how uneven a part may be, or mark what differs on purpose.", say.Quantity(w.Limits.Uneven, say.Share))
	}
	return h.out, nil
}

type halver struct {
	e    *exam.Exam
	w    Wants
	out  *Halves
	f    *Figure
	a    *applier
	side []int8 // by place

	placed map[placeKey][3]float32 // where new vertices are stored
}

// placeKey is a new place: between two places, or one twice, perhaps mirrored.
type placeKey struct {
	a, b     int32
	mirrored bool
}

func (h *halver) at(i int32) space.Vec { return space.At(h.out.Shape.Points, int(i)) }

// high is how far a place lies on the side that stays, metres.
func (h *halver) high(i int32) float64 {
	d := h.out.Shape.Plane.Side(h.at(i))
	if h.w.From == Behind {
		d = -d
	}
	return d
}

// sides says of every place what becomes of it.
func (h *halver) sides() {
	s, p := h.out.Shape, h.out.Pairs
	h.side = make([]int8, len(p.Of))
	flat := 1e-4 * s.Height
	for i := range h.side {
		d := h.high(int32(i))
		switch {
		case p.Parts[p.Part[i]].Left || !space.Finite(h.at(int32(i))):
			h.side[i] = aside
		case p.Of[i] == int32(i) || math.Abs(d) <= flat:
			h.side[i] = middle
		case d > 0:
			h.side[i] = stays
		default:
			h.side[i] = goes
		}
	}
	// A part that lies on one side and whose like is another surface's keeps its own file
	// place: its mesh would be left empty, and its skin may not know the joints.
	both, own := make([]int, len(p.Parts)), make([]int, len(p.Parts))
	for i, j := range p.Of {
		switch {
		case j < 0:
		case h.f.Mirror.Surface[i] != h.f.Mirror.Surface[j]:
			both[p.Part[i]]++
		default:
			own[p.Part[i]]++
		}
	}
	named := map[int32]bool{}
	for i := range h.side {
		if k := p.Part[i]; both[k] > own[k] && h.side[i] != aside {
			h.side[i] = aside
			named[h.f.Mirror.Surface[i]] = true
		}
	}
	for _, k := range slices.Sorted(maps.Keys(named)) {
		h.out.LeftWhole = append(h.out.LeftWhole, h.e.SurfaceName(int(k))+" has its like in another surface; drawing even does for it")
	}
	// Ends of edges next to which the plane would cut.
	snap := make([]bool, len(h.side))
	for t := 0; t+2 < len(s.Triangles); t += 3 {
		for k := range 3 {
			a, b := int32(s.Triangles[t+k]), int32(s.Triangles[t+(k+1)%3])
			if h.side[a] != stays || h.side[b] != goes {
				if h.side[a] != goes || h.side[b] != stays {
					continue
				}
				a, b = b, a
			}
			switch x := h.high(a) / (h.high(a) - h.high(b)); {
			case x < nearCut:
				snap[a] = true
			case x > 1-nearCut:
				snap[b] = true
			}
		}
	}
	for i := range snap {
		if snap[i] {
			h.side[i] = middle
		}
		if h.side[i] == middle {
			h.out.Laid = math.Max(h.out.Laid, math.Abs(h.high(int32(i))))
		}
	}
}

func (h *halver) primitives() error {
	r, m := h.e.Rig, h.f.Mirror
	h.a.members = make([][]int32, len(m.Vertex))
	for s := range r.Surfaces {
		for v, i := range m.Point[s] {
			if i >= 0 {
				h.a.members[i] = append(h.a.members[i], int32(v))
			}
		}
	}
	h.a.matchMorphs()
	for s := range r.Surfaces {
		point := m.Point[s]
		if point == nil {
			continue
		}
		mesh := r.Surfaces[s].Mesh
		for p := range r.Meshes[mesh].Primitives {
			if err := h.primitive(s, p, point); err != nil {
				return err
			}
		}
	}
	return nil
}

// cutKey is an edge between two stored vertices, the one that stays first.
type cutKey struct{ a, b int32 }

// primitive makes one anew, where some place of it is not kept as it is.
func (h *halver) primitive(surface, p int, point []int32) error {
	r := h.e.Rig
	mesh := r.Surfaces[surface].Mesh
	data := &r.Meshes[mesh]
	d := &data.Primitives[p]
	any := false
	for t := d.FirstTri; t < d.FirstTri+d.TriCount; t++ {
		for _, v := range data.Triangles[3*t : 3*t+3] {
			any = any || point[v] >= 0 && h.side[point[v]] != aside
		}
	}
	if !any {
		return nil
	}
	x := &building{h: h, surface: surface, data: data, point: point, out: HalvedPrimitive{Mesh: mesh, Primitive: p}, kept: map[int32]uint32{}, cuts: map[cutKey]uint32{}, image: map[uint32]uint32{}}
	// Vertices in stored order first, so that what stays keeps its order.
	used := make([]bool, d.Count)
	for t := d.FirstTri; t < d.FirstTri+d.TriCount; t++ {
		if c := data.Triangles[3*t : 3*t+3]; x.keeps(c) {
			for _, v := range c {
				if s := h.side[point[v]]; s != goes {
					used[int(v)-d.First] = true
				}
			}
		}
	}
	for k, is := range used {
		if is {
			x.copy(int32(d.First + k))
		} else {
			h.out.Gone++
		}
	}
	var own, both []uint32 // triangles kept as they are; those of the half that stays
	for t := d.FirstTri; t < d.FirstTri+d.TriCount; t++ {
		c := data.Triangles[3*t : 3*t+3]
		switch {
		case !x.keeps(c):
		case h.side[point[c[0]]] == aside:
			for _, v := range c {
				own = append(own, x.copy(int32(v)))
			}
		default:
			both = append(both, x.clip(c)...)
		}
	}
	if len(own)+len(both) == 0 {
		return refuse("The half that would stay has no triangle of primitive %d of the mesh %q. Keep the other half, or draw even instead.", p, data.Name)
	}
	x.out.Triangles = append(own, both...)
	for t := 0; t+2 < len(both); t += 3 {
		x.out.Triangles = append(x.out.Triangles, x.mirror(both[t]), x.mirror(both[t+2]), x.mirror(both[t+1]))
	}
	if err := x.vertices(); err != nil {
		return err
	}
	h.out.Primitives = append(h.out.Primitives, x.out)
	return nil
}

// building is one primitive being made anew.
type building struct {
	h       *halver
	surface int
	data    *rig.MeshData
	point   []int32
	out     HalvedPrimitive
	kept    map[int32]uint32  // stored vertex → new one
	cuts    map[cutKey]uint32 // cut edge → new vertex
	image   map[uint32]uint32 // new vertex → its mirror image
}

func (x *building) sideOf(v uint32) int8 { return x.h.side[x.point[v]] }

// keeps tells that something of a triangle stays: one corner on that side, or no part in it.
func (x *building) keeps(c []uint32) bool {
	for _, v := range c {
		if s := x.sideOf(v); s == stays || s == aside {
			return true
		}
	}
	return false
}

func (x *building) copy(v int32) uint32 {
	if n, ok := x.kept[v]; ok {
		return n
	}
	n := uint32(len(x.out.From))
	x.kept[v] = n
	x.out.From = append(x.out.From, Made{A: v, B: v})
	return n
}

// clip answers the part of a triangle that stays, one or two triangles.
func (x *building) clip(c []uint32) []uint32 {
	var ring []uint32
	for k := range 3 {
		a, b := c[k], c[(k+1)%3]
		sa, sb := x.sideOf(a), x.sideOf(b)
		if sa != goes {
			ring = append(ring, x.copy(int32(a)))
		}
		switch {
		case sa == stays && sb == goes:
			ring = append(ring, x.cut(int32(a), int32(b)))
		case sa == goes && sb == stays:
			ring = append(ring, x.cut(int32(b), int32(a)))
		}
	}
	out := ring[:3:3]
	for k := 3; k < len(ring); k++ {
		out = append(out, ring[0], ring[k-1], ring[k])
	}
	return out
}

func (x *building) cut(a, b int32) uint32 {
	if n, ok := x.cuts[cutKey{a, b}]; ok {
		return n
	}
	n := uint32(len(x.out.From))
	x.cuts[cutKey{a, b}] = n
	da, db := x.h.high(x.point[a]), x.h.high(x.point[b])
	x.out.From = append(x.out.From, Made{A: a, B: b, Share: da / (da - db)})
	x.h.out.Cut++
	return n
}

// onPlane tells that a new vertex lies on the mirror plane.
func (x *building) onPlane(n uint32) bool {
	m := x.out.From[n]
	return m.A != m.B || x.sideOf(uint32(m.A)) == middle
}

// mirror answers the mirror image of a new vertex: itself on the plane, unless an edge is
// meant there.
func (x *building) mirror(n uint32) uint32 {
	if i, ok := x.image[n]; ok {
		return i
	}
	i := n
	if !x.onPlane(n) || x.edged(n) {
		i = uint32(len(x.out.From))
		m := x.out.From[n]
		m.Mirrored = true
		x.out.From = append(x.out.From, m)
	}
	x.image[n] = i
	return i
}

// mostTilt is the cosine between the normal of a vertex on the plane and the plane's own
// from which on an edge is meant there, 45° (common practice, no source).
const mostTilt = 0.7

func (x *building) edged(n uint32) bool {
	w, ok := x.normal(x.out.From[n])
	return ok && math.Abs(w.Dot(space.Vec(x.h.out.Shape.Plane.Normal))) > mostTilt
}

// normal is that of a new vertex before it is mirrored or laid, world.
func (x *building) normal(m Made) (space.Vec, bool) {
	a, ok := x.h.a.normal(x.h.e.Rig, x.point[m.A], m.A)
	if m.A == m.B || !ok {
		return a, ok
	}
	b, ok := x.h.a.normal(x.h.e.Rig, x.point[m.B], m.B)
	if !ok {
		return a, false
	}
	return space.Unit(a.Mul(1 - m.Share).Add(b.Mul(m.Share)))
}

// mate is the morph target that does the same on the other side, itself where none is
// known.
func (x *building) mate(t int) int {
	if u := x.h.a.mate[x.out.Mesh][t]; u >= 0 {
		return u
	}
	return t
}

// matrix carries a new vertex to the world at rest, by the weights it got.
func (x *building) matrix(i int) rig.Affine {
	r, k := x.h.e.Rig, i*x.data.K
	return mixed(x.h.a.world, &r.Skins[r.Surfaces[x.surface].Skin], x.out.Joints[k:k+x.data.K], x.out.Weights[k:k+x.data.K])
}

// influences works out joints and weights of a new vertex: as stored, blended on a cut,
// exchanged for a mirror image, the mean of both on the plane.
func (x *building) influences(i int, m Made, plain bool) error {
	r, data, a := x.h.e.Rig, x.data, x.h.a
	skin := &r.Skins[r.Surfaces[x.surface].Skin]
	k := data.K
	if plain {
		copy(x.out.Joints[k*i:k*i+k], data.Joints[k*int(m.A):])
		copy(x.out.Weights[k*i:k*i+k], data.Weights[k*int(m.A):])
		return nil
	}
	var list []share
	for _, y := range held(r, x.surface, m.A) {
		list = append(list, share{y.node, y.weight * (1 - m.Share)})
	}
	if m.A != m.B {
		for _, y := range held(r, x.surface, m.B) {
			list = append(list, share{y.node, y.weight * m.Share})
		}
	}
	switch {
	case x.onPlane(uint32(i)):
		for _, y := range slices.Clone(list) {
			list = append(list, share{a.opposite[y.node], y.weight})
		}
		for q := range list {
			list[q].weight /= 2
		}
	case m.Mirrored:
		for q := range list {
			list[q].node = a.opposite[list[q].node]
		}
	}
	list = gathered(list)
	if room := 4 * int(a.sets[x.out.Mesh][m.A]); len(list) > room {
		fit := a.fewer(list, room)
		if fit == nil {
			x.h.out.NoRoom++
			fit = list[:room]
			kept, sum := 0.0, 0.0
			for q, y := range list {
				sum += y.weight
				if q < room {
					kept += y.weight
				}
			}
			for q := range fit {
				fit[q].weight *= sum / kept
			}
		}
		list = fit
	}
	for q, y := range list {
		j := slices.Index(skin.Joints, y.node)
		if j < 0 {
			return refuse("The mirror image of the mesh %q needs the joint %s, which its skin does not have.", data.Name, a.e.NodeName(y.node))
		}
		x.out.Joints[k*i+q], x.out.Weights[k*i+q] = uint16(j), float32(y.weight)
	}
	return nil
}
