package bends

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// body is every shown surface with a skin in one numbering: vertices of the first
// surface, then of the second, and so on. It never changes; zones are cut out of it.
type body struct {
	e     *exam.Exam
	r     *rig.Rig
	world []rig.Affine

	surfaces []int    // places in Rig.Surfaces
	first    []uint32 // by surface, and one more: its first vertex

	rest  []float64 // 3·V, metres, world, linear blend as stored
	dual  []float64 // the same by dual quaternions: elsewhere where a file opens posed or weights are not whole
	place []uint32  // vertex → welded place
	of    []uint32  // place → its first vertex

	tri    []uint32           // 3·T vertices; only triangles with three finite corners
	index  []uint32           // triangle → place in its mesh's list
	strain [2][]deform.Strain // by method and triangle, against the rest positions of that method
	shaped [2][]bool          // by method and triangle: it has an area to measure stretch on
	edges  *geom.Edges        // of the places
	shell  []uint32           // place → representative of its connected piece

	// Nodes in an order in which all that hangs on one stands behind it in one stretch.
	enter, leave []int32 // by node: enter[n] ≤ enter[m] < leave[n] when m hangs on n, itself too
	depth        []int32 // by node: how many stand above it; nil until asked

	// Influences that can be used, vertex by vertex.
	start  []uint32            // V+1
	holder []int32             // enter of the joint's node
	part   []uint32            // place in parts
	ofSkin map[rig.Skin]uint32 // skin → its first place in parts
	weight []float64           // as stored

	parts []part
	src   []float32 // 3·V, mesh space, morph targets at their rest weights added

	holds     []uint32 // vertices by the joint that holds them, in the order of enter
	holdStart []uint32 // by enter, and one more

	vertices      []uint32 // by place, those that a triangle uses
	verticesStart []uint32 // P+1

	// The tree of nodes that hold something or are joints, all by enter.
	stop    []int32 // their enters, rising
	leaveAt []int32
	upTo    []int32 // the nearest such node above, never: none

	// The node, by enter, from which on upwards a vertex, a place or a triangle follows as
	// one piece; never: none.
	top, placeTop, triTop []int32

	around      []uint32 // triangles at each place
	aroundStart []uint32 // P+1

	shellSize map[uint32]int // by representative: places

	seen []uint32 // by triangle: mark of the last walk that came by
	mark uint32
	kind []uint8 // by place: scratch of findBleed, zeros
	rank []int32

	reached []bool    // by place: scratch of spread, false
	wanted  []bool    // by place: the same
	best    []float64 // the shortest way met so far; +Inf: none yet

	inside  []bool  // by triangle: scratch of findPieces, false
	numbers []int32 // by place: the same, zeros

	across map[uint32][]uint32 // by place on the rim of a slit: those across
	slits  []uint32            // the places that have one across

	walls *geom.Triangles // what a straight line meets; nil until asked

	seams  [][]uint32 // places with vertices bound differently: those vertices
	seamOf []int32    // vertex → place in seams + 1; 0: none
}

// part is one joint matrix at rest, whole and taken apart.
type part struct {
	matrix     rig.Affine
	real, dual [4]float64
	stretch    [9]float64
	rigid      bool // stretch is none
}

// newBody takes linear time but for the sorting of edges.
func newBody(e *exam.Exam) *body {
	b := &body{e: e, r: e.Rig, world: e.RestWorld()}
	b.number()
	v := uint32(0)
	for _, s := range e.Shown() {
		u := b.r.Surfaces[s]
		if u.Skin < 0 || b.r.Meshes[u.Mesh].K == 0 {
			continue
		}
		b.surfaces, b.first = append(b.surfaces, s), append(b.first, v)
		v += uint32(b.r.Meshes[u.Mesh].Vertices())
	}
	b.first = append(b.first, v)
	b.place, b.start = make([]uint32, v), make([]uint32, 1, v+1)
	b.src, b.rest = make([]float32, 0, 3*v), make([]float64, 3*v)
	for i := range b.surfaces {
		b.bind(i)
	}
	b.stand()
	b.standDual()
	b.join()
	b.sort()
	b.findSeams()
	b.findSlits()
	return b
}

// number walks the tree of nodes, children in their order, without recursion: a file
// may hang a thousand nodes in a row.
func (b *body) number() {
	n := len(b.r.Nodes)
	size := make([]int32, n)
	for i := n - 1; i >= 0; i-- {
		j := b.r.Order[i]
		size[j]++
		if p := b.r.Nodes[j].Parent; p >= 0 {
			size[p] += size[j]
		}
	}
	b.enter, b.leave = make([]int32, n), make([]int32, n)
	next := make([]int32, n) // where the next child begins
	root := int32(0)
	for _, j := range b.r.Order {
		at := &root
		if p := b.r.Nodes[j].Parent; p >= 0 {
			at = &next[p]
		}
		b.enter[j], b.leave[j] = *at, *at+size[j]
		next[j] = *at + 1
		*at += size[j]
	}
}

// bind takes over the influences of one surface. What cannot be used is left out, as
// deform.Deformer does: zero or non-finite weights, joints that the skin does not
// have; vertices of a primitive without joints follow their node.
func (b *body) bind(i int) {
	s := b.r.Surfaces[b.surfaces[i]]
	m, skin := &b.r.Meshes[s.Mesh], &b.r.Skins[s.Skin]
	base := b.partsOf(s.Skin)
	own := uint32(len(b.parts)) // of vertices without joints
	b.parts = append(b.parts, newPart(b.world[s.Node]))
	follows := make([]bool, m.Vertices())
	for p := range m.Primitives {
		if q := &m.Primitives[p]; q.Sets == 0 {
			for v := q.First; v < q.First+q.Count; v++ {
				follows[v] = true
			}
		}
	}
	held := m.Vertices()
	for _, w := range m.Weights {
		if w != 0 {
			held++
		}
	}
	b.holder, b.part, b.weight = slices.Grow(b.holder, held), slices.Grow(b.part, held), slices.Grow(b.weight, held)
	b.start, b.src = slices.Grow(b.start, m.Vertices()), slices.Grow(b.src, len(m.Positions))
	for v := range m.Vertices() {
		if follows[v] {
			b.hold(b.enter[s.Node], own, 1)
		} else {
			for k := v * m.K; k < v*m.K+m.K; k++ {
				w, j := m.Weights[k], int(m.Joints[k])
				if w != 0 && w-w == 0 && j < len(skin.Joints) {
					b.hold(b.enter[skin.Joints[j]], base+uint32(j), float64(w))
				}
			}
		}
		b.start = append(b.start, uint32(len(b.holder)))
	}
	from := len(b.src)
	b.src = append(b.src, m.Positions...)
	for t, w := range b.e.RestPose().MorphWeights(s.Node) {
		if w == 0 || t >= len(m.Targets) || len(m.Targets[t].Positions) < len(m.Positions) {
			continue
		}
		for k, d := range m.Targets[t].Positions[:len(m.Positions)] {
			b.src[from+k] += w * d
		}
	}
}

// partsOf is where the parts of a skin begin, one a joint: of hundreds of surfaces with one
// skin they are worked out once.
func (b *body) partsOf(k rig.Skin) uint32 {
	if base, done := b.ofSkin[k]; done {
		return base
	}
	if b.ofSkin == nil {
		b.ofSkin = map[rig.Skin]uint32{}
	}
	base, skin := uint32(len(b.parts)), &b.r.Skins[k]
	b.ofSkin[k] = base
	for j, n := range skin.Joints {
		a := b.world[n]
		if j < len(skin.Bind) {
			a = a.Mul(&skin.Bind[j])
		}
		b.parts = append(b.parts, newPart(a))
	}
	return base
}

func (b *body) hold(holder int32, part uint32, w float64) {
	b.holder, b.part, b.weight = append(b.holder, holder), append(b.part, part), append(b.weight, w)
}

func newPart(a rig.Affine) part {
	p := part{matrix: a, rigid: true}
	p.real, p.dual, p.stretch = deform.Apart(&a)
	for i, h := range p.stretch {
		if i%4 == 0 {
			h--
		}
		if !(math.Abs(h) < 1e-5) {
			p.rigid = false
		}
	}
	return p
}

// stand works out the rest positions.
func (b *body) stand() {
	for v := range len(b.place) {
		x := mgl64.Vec3{float64(b.src[3*v]), float64(b.src[3*v+1]), float64(b.src[3*v+2])}
		var sum mgl64.Vec3
		for k := b.start[v]; k < b.start[v+1]; k++ {
			sum = sum.Add(b.parts[b.part[k]].matrix.Point(x).Mul(b.weight[k]))
		}
		b.rest[3*v], b.rest[3*v+1], b.rest[3*v+2] = sum[0], sum[1], sum[2]
	}
}

// standDual works out the rest positions by dual quaternions; they are those of stand
// where all joints of a vertex have it in one place and its weights are whole.
func (b *body) standDual() {
	b.dual = b.rest
	for v := range uint32(len(b.place)) {
		from, to := b.start[v], b.start[v+1]
		sum, alike := 0.0, true
		for k := from; k < to; k++ {
			sum += b.weight[k]
			alike = alike && (b.part[k] == b.part[from] || near12(&b.parts[b.part[k]].matrix, &b.parts[b.part[from]].matrix))
		}
		if from == to || alike && sum > 1-1e-6 && sum < 1+1e-6 {
			continue
		}
		if &b.dual[0] == &b.rest[0] {
			b.dual = slices.Clone(b.rest)
		}
		d := b.blendOf(v, func(int32) bool { return false })
		still := turning{m: [9]float64{0: 1, 4: 1, 8: 1}, quat: [8]float64{3: 1}}
		carryDual([]blend{d}, &still, b.dual[3*v:3*v+3])
	}
}

// near12 tells that two matrices are one, but for the rounding of stored numbers.
func near12(a, b *rig.Affine) bool {
	for i, v := range a {
		if !(math.Abs(v-b[i]) <= 1e-6*(1+math.Abs(v))) {
			return false
		}
	}
	return true
}

func (b *body) at(v uint32) mgl64.Vec3 {
	return mgl64.Vec3{b.rest[3*v], b.rest[3*v+1], b.rest[3*v+2]}
}

// join welds vertices, takes the triangles over, and finds edges and shells.
func (b *body) join() {
	for i, s := range b.surfaces {
		mesh := b.r.Surfaces[s].Mesh
		weld, base, from := b.e.Weld(mesh), uint32(len(b.of)), b.first[i]
		for v, g := range weld.Of {
			b.place[from+uint32(v)] = base + g
		}
		for _, v := range weld.First {
			b.of = append(b.of, from+v)
		}
		tri := b.r.Meshes[mesh].Triangles
		for t := 0; t+2 < len(tri); t += 3 {
			x, y, z := from+tri[t], from+tri[t+1], from+tri[t+2]
			if !b.finite(x) || !b.finite(y) || !b.finite(z) {
				continue
			}
			b.tri, b.index = append(b.tri, x, y, z), append(b.index, uint32(t/3))
		}
	}
	count := len(b.index)
	places := make([]uint32, len(b.tri))
	for k, v := range b.tri {
		places[k] = b.place[v]
	}
	b.edges = geom.FindEdges(places, len(b.of), nil)
	u := geom.NewUnion(len(b.of))
	b.strain[deform.Linear], b.shaped[deform.Linear] = b.strains(b.rest)
	b.strain[deform.Dual], b.shaped[deform.Dual] = b.strain[deform.Linear], b.shaped[deform.Linear]
	if b.apart() {
		b.strain[deform.Dual], b.shaped[deform.Dual] = b.strains(b.dual)
	}
	for t := range count {
		u.Join(places[3*t], places[3*t+1])
		u.Join(places[3*t], places[3*t+2])
	}
	b.shell, b.shellSize = u.Flatten(), map[uint32]int{}
	for _, s := range b.shell {
		b.shellSize[s]++
	}
	b.kind, b.rank = make([]uint8, len(b.of)), make([]int32, len(b.of))
	b.reached, b.wanted, b.best = make([]bool, len(b.of)), make([]bool, len(b.of)), make([]float64, len(b.of))
	for i := range b.best {
		b.best[i] = math.Inf(1)
	}
	b.inside, b.numbers = make([]bool, count), make([]int32, len(b.of))
	b.aroundStart, b.around = lists(len(b.of), places)
	for k, i := range b.around {
		b.around[k] = i / 3
	}
}

// apart tells that the two methods have the rest pose in different places.
func (b *body) apart() bool { return len(b.rest) > 0 && &b.dual[0] != &b.rest[0] }

// strains makes the triangles ready to be measured against rest positions.
func (b *body) strains(rest []float64) (strain []deform.Strain, shaped []bool) {
	strain, shaped = make([]deform.Strain, len(b.index)), make([]bool, len(b.index))
	for t := range strain {
		strain[t], shaped[t] = deform.NewStrain([3]mgl64.Vec3{space.At(rest, b.tri[3*t]), space.At(rest, b.tri[3*t+1]), space.At(rest, b.tri[3*t+2])})
	}
	return strain, shaped
}

func (b *body) finite(v uint32) bool {
	d := b.rest[3*v]*0 + b.rest[3*v+1]*0 + b.rest[3*v+2]*0
	return d == 0
}

// sort lists the vertices that each node holds; only those that a triangle uses.
func (b *body) sort() {
	used := make([]bool, len(b.place))
	for _, v := range b.tri {
		used[v] = true
	}
	var keys, vertices []uint32
	for v := range len(b.place) {
		if !used[v] {
			continue
		}
		for k := b.start[v]; k < b.start[v+1]; k++ {
			keys, vertices = append(keys, uint32(b.holder[k])), append(vertices, uint32(v))
		}
	}
	b.holdStart, b.holds = lists(len(b.r.Nodes), keys)
	for k, i := range b.holds {
		b.holds[k] = vertices[i]
	}
	keys, vertices = keys[:0], vertices[:0]
	for v, p := range b.place {
		if used[v] {
			keys, vertices = append(keys, p), append(vertices, uint32(v))
		}
	}
	b.verticesStart, b.vertices = lists(len(b.of), keys)
	for k, i := range b.vertices {
		b.vertices[k] = vertices[i]
	}
	joints := make([]bool, len(b.r.Nodes))
	for i := range b.r.Skins {
		for _, j := range b.r.Skins[i].Joints {
			joints[j] = true
		}
	}
	b.stops(joints)
}

// lists sorts the places of a list by the keys that stand there (counting sort,
// stable): those of key k are order[start[k]:start[k+1]].
func lists(n int, keys []uint32) (start, order []uint32) {
	start, order = make([]uint32, n+1), make([]uint32, len(keys))
	for _, k := range keys {
		start[k+1]++
	}
	for k := range n {
		start[k+1] += start[k]
	}
	fill := append([]uint32(nil), start[:n]...)
	for i, k := range keys {
		order[fill[k]] = uint32(i)
		fill[k]++
	}
	return start, order
}

// marks starts a walk over triangles: those with seen[t] == b.mark were met.
func (b *body) marks() []uint32 {
	if b.seen == nil {
		b.seen = make([]uint32, len(b.index))
	}
	b.mark++
	return b.seen
}

// surface answers where a vertex is stored.
func (b *body) surface(v uint32) (surface int, vertex rig.Vertex) {
	i, _ := slices.BinarySearch(b.first[1:], v+1)
	return b.surfaces[i], rig.Vertex(v - b.first[i])
}

// depths are those of the rig's nodes, worked out once.
func (b *body) depths() []int32 {
	if b.depth == nil {
		b.depth = b.r.Depths()
	}
	return b.depth
}
