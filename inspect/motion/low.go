package motion

import (
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// sole finds the lowest point of the shown surfaces in a pose, exactly but quickly.
// A vertex whose weights are positive and sum to one lies between the places that
// its joints alone would put it. So only joints whose box of vertices reaches lower
// than the lowest point so far can hold a lower one; in a walk that is the feet.
type sole struct {
	r        *rig.Rig
	surfaces []soleSurface
	morphs   []morphed
	world    []rig.Affine // of the pose at hand
	pose     uint32       // its number
	best     float64
	before   float64 // best when the box at hand was begun: of its lowest vertices the first stands
	surface  int
	vertex   rig.Vertex
}

type soleSurface struct {
	surface int
	mesh    *rig.MeshData
	skin    *rig.SkinData // nil: follows its node
	node    rig.Node
	boxes   []soleBox
	odd     []uint32 // vertices that the bound does not hold for
	ownNode int      // place of the node's own matrix behind the skin's
	own     [4]float64
	rows    *heights // of the skin; nil: follows its node
}

// heights are the rows of a skin's matrices that give the height of a point. Few joints
// hold what may lie lowest, so each is worked out when it is first asked for in a pose.
type heights struct {
	rows [][4]float64
	pose []uint32 // that each was worked out in
}

// soleBox holds the vertices that one matrix has a share in.
type soleBox struct {
	matrix       int
	centre, half [3]float64
	low          float64 // of the box in the pose at hand
	vertices     []uint32
	parts        []soleBox // boxes of few vertices each, together these; nil: they are few, or not yet parted
	asked        int       // how often its vertices were tested
}

// fewVertices are tested faster than their boxes are (set by the time that Motion takes
// on three real characters).
const fewVertices = 24

// partAfter tests of all its vertices a box is parted: that takes about as long as so many
// of them, and most boxes never lie low (set by the time that Motion takes on the sample of
// a hundred thousand vertices with two clips, and on a real character with 76).
const partAfter = 8

// boxOf encloses vertices of one matrix.
func boxOf(m *rig.MeshData, matrix int, vertices []uint32) soleBox {
	b := soleBox{matrix: matrix, vertices: vertices}
	lo, hi := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}, [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, v := range vertices {
		for x := range 3 {
			p := float64(m.Positions[3*int(v)+x])
			lo[x], hi[x] = min(lo[x], p), max(hi[x], p)
		}
	}
	for x := range 3 {
		b.centre[x], b.half[x] = (lo[x]+hi[x])/2, (hi[x]-lo[x])/2
	}
	return b
}

// split halves a box across its longest side, at the middle vertex, until few are left.
func (b *soleBox) split(m *rig.MeshData, into []soleBox) []soleBox {
	if len(b.vertices) <= fewVertices {
		return append(into, *b)
	}
	x := 0
	for y := range 3 {
		if b.half[y] > b.half[x] {
			x = y
		}
	}
	h := len(b.vertices) / 2
	space.Halve(b.vertices, h, func(u, v uint32) bool {
		p, q := m.Positions[3*int(u)+x], m.Positions[3*int(v)+x]
		return p < q || p == q && u < v
	})
	l, r := boxOf(m, b.matrix, b.vertices[:h]), boxOf(m, b.matrix, b.vertices[h:])
	return r.split(m, l.split(m, into))
}

// morphed is a surface with morph targets: carried whole.
type morphed struct {
	surface int
	d       *deform.Deformer
	pos     []float32
}

// newSole takes the skinned surfaces, or the others; of a figure of rigid parts its
// body, or the others.
func newSole(f *figure, skinned bool) *sole {
	s := &sole{r: f.r}
	rows := map[rig.Skin]*heights{} // surfaces of one skin share theirs
	for _, i := range f.e.Shown() {
		surface := f.r.Surfaces[i]
		m := &f.r.Meshes[surface.Mesh]
		own := surface.Skin >= 0 && m.K > 0
		if f.rigid {
			own = f.e.IsBody(i)
		}
		if m.Vertices() == 0 || own != skinned {
			continue
		}
		if len(m.Targets) > 0 {
			s.morphs = append(s.morphs, morphed{i, deform.NewDeformer(f.r, i), make([]float32, len(m.Positions))})
			continue
		}
		u := newSoleSurface(f.r, i, f.e.Used(surface.Mesh))
		if u.skin != nil {
			if u.rows = rows[surface.Skin]; u.rows == nil {
				u.rows = &heights{make([][4]float64, u.ownNode), make([]uint32, u.ownNode)}
				rows[surface.Skin] = u.rows
			}
		}
		s.surfaces = append(s.surfaces, u)
	}
	return s
}

func newSoleSurface(r *rig.Rig, i int, used []bool) soleSurface {
	surface := r.Surfaces[i]
	out := soleSurface{surface: i, mesh: &r.Meshes[surface.Mesh], node: surface.Node}
	m := out.mesh
	if surface.Skin >= 0 && m.K > 0 {
		out.skin = &r.Skins[surface.Skin]
		out.ownNode = len(out.skin.Joints)
	}
	lists := make([][]uint32, out.ownNode+1)
	follows := make([]bool, m.Vertices())
	for p := range m.Primitives {
		if q := &m.Primitives[p]; q.Sets == 0 || out.skin == nil {
			for v := q.First; v < q.First+q.Count && v < len(follows); v++ {
				follows[v] = true
			}
		}
	}
	for v := range m.Vertices() {
		if !used[v] {
			continue
		}
		if out.skin == nil || follows[v] {
			lists[out.ownNode] = append(lists[out.ownNode], uint32(v))
			continue
		}
		sum, odd := 0.0, false
		for c := v * m.K; c < (v+1)*m.K; c++ {
			w, j := m.Weights[c], int(m.Joints[c])
			if w == 0 || j >= out.ownNode {
				continue
			}
			odd = odd || !(w > 0)
			sum += float64(w)
			if list := lists[j]; len(list) == 0 || list[len(list)-1] != uint32(v) {
				lists[j] = append(list, uint32(v))
			}
		}
		if odd || math.Abs(sum-1) > 1e-4 {
			out.odd = append(out.odd, uint32(v))
		}
	}
	for j, list := range lists {
		if len(list) == 0 {
			continue
		}
		out.boxes = append(out.boxes, boxOf(m, j, list))
	}
	return out
}

// reset forgets the lowest point.
func (s *sole) reset() { s.best, s.surface, s.vertex = math.Inf(1), -1, -1 }

// look takes one pose in; it answers whether something lies lower than before.
func (s *sole) look(world []rig.Affine) bool {
	before := s.best
	s.world = world
	s.pose++
	for i := range s.surfaces {
		s.lookAt(&s.surfaces[i])
	}
	return s.best < before
}

// lookMorphed is for surfaces with morph targets.
func (s *sole) lookMorphed(p *deform.Pose) bool {
	before := s.best
	for i := range s.morphs {
		m := &s.morphs[i]
		m.d.Apply(p, deform.Linear, m.pos, nil, nil, nil)
		for v := 1; v < len(m.pos); v += 3 {
			if y := float64(m.pos[v]); y < s.best {
				s.best, s.surface, s.vertex = y, m.surface, rig.Vertex(v/3)
			}
		}
	}
	return s.best < before
}

// row is the row of a surface's matrix that gives the height of a point.
func (s *sole) row(u *soleSurface, matrix int) *[4]float64 {
	if matrix == u.ownNode {
		return &u.own
	}
	r := &u.rows.rows[matrix]
	if u.rows.pose[matrix] == s.pose {
		return r
	}
	u.rows.pose[matrix] = s.pose
	m := &rig.Identity
	if n := u.skin.Joints[matrix]; n >= 0 && int(n) < len(s.world) {
		m = &s.world[n]
		if matrix < len(u.skin.Bind) {
			b := &u.skin.Bind[matrix]
			x, y, z := m[4], m[5], m[6]
			*r = [4]float64{
				x*b[0] + y*b[4] + z*b[8], x*b[1] + y*b[5] + z*b[9], x*b[2] + y*b[6] + z*b[10], x*b[3] + y*b[7] + z*b[11] + m[7],
			}
			return r
		}
	}
	*r = [4]float64{m[4], m[5], m[6], m[7]}
	return r
}

func (s *sole) lookAt(u *soleSurface) {
	w := &s.world[u.node]
	u.own = [4]float64{w[4], w[5], w[6], w[7]}
	lowest, at := math.Inf(1), -1
	for i := range u.boxes {
		b := &u.boxes[i]
		if b.low = b.bound(s.row(u, b.matrix)); b.low < lowest {
			lowest, at = b.low, i
		}
	}
	if at >= 0 && lowest < s.best {
		s.testBox(u, &u.boxes[at])
	}
	for i := range u.boxes {
		if i != at && u.boxes[i].low < s.best {
			s.testBox(u, &u.boxes[i])
		}
	}
	if len(u.odd) > 0 {
		s.before = s.best
		s.test(u, -1, u.odd)
	}
}

// bound is how low the box reaches by the row of its matrix.
func (b *soleBox) bound(r *[4]float64) float64 {
	c, h := &b.centre, &b.half
	return r[0]*c[0] + r[1]*c[1] + r[2]*c[2] + r[3] - math.Abs(r[0])*h[0] - math.Abs(r[1])*h[1] - math.Abs(r[2])*h[2]
}

// testBox works out how low the vertices of a box lie, of its parts only those that
// reach lower than what is known; the lowest first, so that fewer do.
func (s *sole) testBox(u *soleSurface, b *soleBox) {
	s.before = s.best
	if b.parts == nil {
		s.test(u, b.matrix, b.vertices)
		if b.asked++; b.asked == partAfter && len(b.vertices) > 2*fewVertices {
			b.parts = b.split(u.mesh, nil)
		}
		return
	}
	lowest, at, row := math.Inf(1), -1, s.row(u, b.matrix)
	for i := range b.parts {
		if y := b.parts[i].bound(row); y < lowest {
			lowest, at = y, i
		}
	}
	if at < 0 || lowest >= s.best {
		return
	}
	s.test(u, b.matrix, b.parts[at].vertices)
	for i := range b.parts {
		if i != at && b.parts[i].bound(row) <= s.best {
			s.test(u, b.matrix, b.parts[i].vertices)
		}
	}
}

// test works out how low the vertices lie.
func (s *sole) test(u *soleSurface, matrix int, vertices []uint32) {
	m := u.mesh
	if matrix == u.ownNode {
		r := &u.own
		for _, v := range vertices {
			p := m.Positions[3*v : 3*v+3]
			s.take(u, v, r[0]*float64(p[0])+r[1]*float64(p[1])+r[2]*float64(p[2])+r[3])
		}
		return
	}
	k := uint32(m.K)
	for _, v := range vertices {
		p := m.Positions[3*v : 3*v+3]
		x, y, z := float64(p[0]), float64(p[1]), float64(p[2])
		sum := 0.0
		for c := v * k; c < v*k+k; c++ {
			if w := m.Weights[c]; w != 0 && int(m.Joints[c]) < u.ownNode {
				r := s.row(u, int(m.Joints[c]))
				sum += float64(w) * (r[0]*x + r[1]*y + r[2]*z + r[3])
			}
		}
		s.take(u, v, sum)
	}
}

func (s *sole) take(u *soleSurface, v uint32, y float64) {
	if y < s.best || y == s.best && y < s.before && rig.Vertex(v) < s.vertex {
		s.best, s.surface, s.vertex = y, u.surface, rig.Vertex(v)
	}
}
