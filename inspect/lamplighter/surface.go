package lamplighter

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// surface samples the body at about the given count of vertices.
func (b *body) surface(vertices int) rig.MeshData {
	h := newHalf(newNet(b, b.lattice(scaleFor(vertices))))
	h.place()
	h.quads()
	h.settle(3, 0.5)
	h.shade()
	h.weigh(b)
	return h.whole()
}

// scaleFor answers the lattice scale for a count of vertices. 15,900 of them stand
// at scale 1, as many per square of the scale when finer (measured down to 0.1);
// when coarser the links keep their cells, so it takes a little more.
func scaleFor(vertices int) float64 {
	s := math.Sqrt(15_900 / float64(vertices))
	if s > 1 {
		s *= 1.02
	}
	return s
}

// half is the surface for x ≥ 0, its middle vertices at exactly 0.
type half struct {
	n      *net
	pos    []float64 // 3 a vertex
	normal []float64 // 3 a vertex
	tri    []uint32
	joints []uint8  // 4 a vertex
	weight []uint16 // 4 a vertex, 1/whole
}

func newHalf(n *net) *half {
	v := len(n.cells)
	return &half{n: n, pos: make([]float64, 3*v), normal: make([]float64, 3*v), joints: make([]uint8, 4*v), weight: make([]uint16, 4*v)}
}

// edges of a cell: the two corners.
var edges = [12][2]uint8{{0, 1}, {2, 3}, {4, 5}, {6, 7}, {0, 2}, {1, 3}, {4, 6}, {5, 7}, {0, 4}, {1, 5}, {2, 6}, {3, 7}}

// place puts each vertex at the mean of the crossings of its cell's edges.
func (h *half) place() {
	n, g := h.n, h.n.g
	for i, c := range n.cells {
		x, y, z := int(c[0]), int(c[1]), int(c[2])
		var d [8]float32
		n.corners(x, y, z, &d)
		var sum space.Vec
		count := 0.0
		for _, e := range edges {
			a, b := d[e[0]], d[e[1]]
			if a < 0 == (b < 0) {
				continue
			}
			t := float64(a) / (float64(a) - float64(b))
			for k := range 3 {
				p, q := float64(e[0]>>k&1), float64(e[1]>>k&1)
				sum[k] += p + (q-p)*t
			}
			count++
		}
		sum = sum.Mul(1 / count)
		p := h.pos[3*i : 3*i+3]
		wide := mix(g.wide[y], g.wide[y+1], sum[1])
		p[0] = mix(g.x[x], g.x[x+1], sum[0]) * wide
		p[1] = mix(g.y[y], g.y[y+1], sum[1])
		p[2] = mix(g.z[z], g.z[z+1], sum[2]) * wide
		if x == 0 {
			p[0] = 0
		}
	}
}

// settle evens the net out: each vertex goes towards the middle of its neighbours,
// then back onto the surface, but not in the last round: on rims narrower than the
// cells, vertices that all lie on the surface make a wavy edge.
func (h *half) settle(rounds int, pull float64) {
	count := len(h.pos) / 3
	sum, many := make([]float64, len(h.pos)), make([]float64, count)
	for round := range rounds {
		clear(sum)
		clear(many)
		for t := 0; t < len(h.tri); t += 3 {
			for k := range 3 {
				// Each edge comes twice, but for those in the mirror plane: they come once,
				// and count half beside the others, which the mirror image doubles.
				a, b := 3*h.tri[t+k], 3*h.tri[t+(k+1)%3]
				for q := range uint32(3) {
					sum[a+q] += h.pos[b+q]
					sum[b+q] += h.pos[a+q]
				}
				many[a/3]++
				many[b/3]++
			}
		}
		for i := range count {
			m := 1 / many[i]
			for k := 3 * i; k < 3*i+3; k++ {
				h.pos[k] += pull * (sum[k]*m - h.pos[k])
			}
			if h.n.cells[i][0] == 0 {
				h.pos[3*i] = 0
			}
			if round < rounds-1 {
				h.onto(i)
			}
		}
	}
}

// onto steps a vertex onto the surface along the slope of the distance.
func (h *half) onto(i int) {
	n, g, c := h.n, h.n.g, h.n.cells[i]
	x, y, z := int(c[0]), int(c[1]), int(c[2])
	least := g.step(x, y, z)
	f := field{solids: n.solids, near: n.blockOf(x, y, z).near}
	p := h.pos[3*i : 3*i+3]
	e := 0.04 * least
	d := f.distance(math.Abs(p[0]), p[1], p[2])
	gx := (f.distance(math.Abs(p[0]+e), p[1], p[2]) - d) / e
	gy := (f.distance(math.Abs(p[0]), p[1]+e, p[2]) - d) / e
	gz := (f.distance(math.Abs(p[0]), p[1], p[2]+e) - d) / e
	if x == 0 {
		gx = 0
	}
	if l := gx*gx + gy*gy + gz*gz; l > 0.1 {
		step := min(max(d/l, -0.5*least), 0.5*least)
		p[0], p[1], p[2] = p[0]-gx*step, p[1]-gy*step, p[2]-gz*step
	}
	if x == 0 {
		p[0] = 0
	}
}

func (n *net) vertex(x, y, z int) uint32 {
	b := n.blockOf(x, y, z)
	return uint32(b.cell[((z&mask)<<bits|y&mask)<<bits|x&mask])
}

// quads joins the four cells around each crossed edge, counter-clockwise seen from
// outside, cut along the shorter diagonal.
func (h *half) quads() {
	n := h.n
	h.tri = make([]uint32, 0, 7*len(n.cells))
	for _, c := range n.cells {
		x, y, z := int(c[0]), int(c[1]), int(c[2])
		o := n.value(x, y, z) < 0
		if v := n.value(x+1, y, z) < 0; v != o {
			h.quad(o, n.vertex(x, y-1, z-1), n.vertex(x, y, z-1), n.vertex(x, y, z), n.vertex(x, y-1, z))
		}
		if x == 0 {
			continue // edges in the mirror image of column 1
		}
		if v := n.value(x, y+1, z) < 0; v != o {
			h.quad(o, n.vertex(x-1, y, z-1), n.vertex(x-1, y, z), n.vertex(x, y, z), n.vertex(x, y, z-1))
		}
		if v := n.value(x, y, z+1) < 0; v != o {
			h.quad(o, n.vertex(x-1, y-1, z), n.vertex(x, y-1, z), n.vertex(x, y, z), n.vertex(x-1, y, z))
		}
	}
}

func (h *half) quad(out bool, a, b, c, d uint32) {
	if !out {
		b, d = d, b
	}
	if h.apart(a, c) <= h.apart(b, d) {
		h.tri = append(h.tri, a, b, c, a, c, d)
	} else {
		h.tri = append(h.tri, b, c, d, b, d, a)
	}
}

func (h *half) apart(a, b uint32) float64 {
	p, q := h.pos[3*a:3*a+3], h.pos[3*b:3*b+3]
	x, y, z := p[0]-q[0], p[1]-q[1], p[2]-q[2]
	return x*x + y*y + z*z
}

// shade gives each vertex the unit mean of its triangles' normals, weighted by
// area; middle vertices count the mirrored triangles too.
func (h *half) shade() {
	for t := 0; t < len(h.tri); t += 3 {
		a, b, c := h.tri[t]*3, h.tri[t+1]*3, h.tri[t+2]*3
		ux, uy, uz := h.pos[b]-h.pos[a], h.pos[b+1]-h.pos[a+1], h.pos[b+2]-h.pos[a+2]
		vx, vy, vz := h.pos[c]-h.pos[a], h.pos[c+1]-h.pos[a+1], h.pos[c+2]-h.pos[a+2]
		x, y, z := uy*vz-uz*vy, uz*vx-ux*vz, ux*vy-uy*vx
		for _, v := range [3]uint32{a, b, c} {
			h.normal[v] += x
			h.normal[v+1] += y
			h.normal[v+2] += z
		}
	}
	for i := 0; i < len(h.normal); i += 3 {
		n := h.normal[i : i+3]
		if h.pos[i] == 0 {
			n[0] = 0
		}
		l := 1 / math.Sqrt(n[0]*n[0]+n[1]*n[1]+n[2]*n[2])
		n[0], n[1], n[2] = n[0]*l, n[1]*l, n[2]*l
	}
}

// whole adds the mirror image and rounds to what a file stores.
func (h *half) whole() rig.MeshData {
	count := len(h.pos) / 3
	twin := make([]uint32, count) // vertex of the mirror image
	total := count
	for i := range twin {
		twin[i] = uint32(i)
		if h.pos[3*i] != 0 {
			twin[i] = uint32(total)
			total++
		}
	}
	m := rig.MeshData{
		Name: "Lamplighter", K: 4,
		Positions: make([]float32, 3*total), Normals: make([]float32, 3*total),
		Joints: make([]uint16, 4*total), Weights: make([]float32, 4*total),
		Triangles: make([]uint32, 2*len(h.tri)),
	}
	for i := range count {
		for _, v := range [2]uint32{uint32(i), twin[i]} {
			sign := 1.0
			if v != uint32(i) {
				sign = -1
			}
			p, q := m.Positions[3*v:3*v+3], m.Normals[3*v:3*v+3]
			p[0], p[1], p[2] = float32(sign*h.pos[3*i]), float32(h.pos[3*i+1]), float32(h.pos[3*i+2])
			q[0], q[1], q[2] = float32(sign*h.normal[3*i]), float32(h.normal[3*i+1]), float32(h.normal[3*i+2])
			for k := range 4 {
				w := h.weight[4*i+k]
				if w == 0 {
					continue
				}
				j := int(h.joints[4*i+k])
				if sign < 0 {
					j = mirror(j)
				}
				m.Joints[4*int(v)+k] = uint16(j)
				m.Weights[4*int(v)+k] = float32(w) / whole
			}
		}
	}
	copy(m.Triangles, h.tri)
	for t := 0; t < len(h.tri); t += 3 {
		o := m.Triangles[len(h.tri)+t:]
		o[0], o[1], o[2] = twin[h.tri[t]], twin[h.tri[t+2]], twin[h.tri[t+1]]
	}
	p := rig.PrimitiveData{
		Count: total, TriCount: len(m.Triangles) / 3, Mode: 4, Sets: 1, JointSets: 1, WeightSets: 1,
		JointType: 5121, WeightType: 5126, PositionType: 5126, HasNormals: true, HasBounds: true,
	}
	for k := range 3 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := k; i < len(m.Positions); i += 3 {
			lo, hi = min(lo, float64(m.Positions[i])), max(hi, float64(m.Positions[i]))
		}
		p.Min[k], p.Max[k] = lo, hi
	}
	p.TrueMin, p.TrueMax = p.Min, p.Max
	m.Primitives = []rig.PrimitiveData{p}
	return m
}
