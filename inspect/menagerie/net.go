package menagerie

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// solid is a ball drawn along a line, its radius from r to s.
type solid struct {
	a, b space.Vec
	r, s float64
}

// distance to its skin, metres; below 0 inside.
func (s *solid) distance(p space.Vec) float64 {
	d := s.b.Sub(s.a)
	t := 0.0
	if l := d.Dot(d); l > 0 {
		t = min(max(p.Sub(s.a).Dot(d)/l, 0), 1)
	}
	return p.Sub(s.a.Add(d.Mul(t))).Len() - (s.r + t*(s.s-s.r))
}

// net is the union of solids sampled on an even grid: one vertex in each cell that
// the surface crosses, one quad over each grid edge that it crosses (surface nets).
// The columns stand at odd halves of a cell from x = 0, so the cells in the middle
// straddle it.
type net struct {
	cell  float64
	low   space.Vec // of the first grid node
	n     [3]int
	value []float64
}

func newNet(solids []solid, blend, cell float64) *net {
	lo, hi := space.Vec{1e9, 1e9, 1e9}, space.Vec{-1e9, -1e9, -1e9}
	for i := range solids {
		s := &solids[i]
		for k := range 3 {
			lo[k] = min(lo[k], s.a[k]-s.r, s.b[k]-s.s)
			hi[k] = max(hi[k], s.a[k]+s.r, s.b[k]+s.s)
		}
	}
	n := &net{cell: cell}
	for k := range 3 {
		n.low[k] = (math.Floor((lo[k]-blend)/cell) - 1.5) * cell
		n.n[k] = int(math.Ceil((hi[k]+blend-n.low[k])/cell)) + 3
	}
	n.value = make([]float64, n.n[0]*n.n[1]*n.n[2])
	for i := range n.value {
		n.value[i] = 1e9
	}
	for i := range solids {
		n.join(&solids[i], blend)
	}
	for n.mend() {
	}
	return n
}

func (n *net) index(x, y, z int) int { return (z*n.n[1]+y)*n.n[0] + x }

func (n *net) at(x, y, z int) space.Vec {
	return n.low.Add(space.Vec{float64(x), float64(y), float64(z)}.Mul(n.cell))
}

// join adds one solid where it can matter.
func (n *net) join(s *solid, blend float64) {
	var from, to [3]int
	for k := range 3 {
		lo, hi := min(s.a[k]-s.r, s.b[k]-s.s), max(s.a[k]+s.r, s.b[k]+s.s)
		from[k] = max(int((lo-blend-n.low[k])/n.cell)-2, 0)
		to[k] = min(int((hi+blend-n.low[k])/n.cell)+3, n.n[k]-1)
	}
	for z := from[2]; z <= to[2]; z++ {
		for y := from[1]; y <= to[1]; y++ {
			for x := from[0]; x <= to[0]; x++ {
				i, d := n.index(x, y, z), s.distance(n.at(x, y, z))
				h := blend - math.Abs(n.value[i]-d)
				n.value[i] = min(n.value[i], d)
				if h > 0 {
					n.value[i] -= h * h / (4 * blend)
				}
			}
		}
	}
}

// corners of a cell: corner c at x+(c&1), y+(c>>1&1), z+(c>>2).
func (n *net) corners(x, y, z int) (at [8]int, inside int) {
	for c := range 8 {
		at[c] = n.index(x+c&1, y+c>>1&1, z+c>>2)
		if n.value[at[c]] < 0 {
			inside |= 1 << c
		}
	}
	return at, inside
}

// mend fills a corner of cells that hold two pieces of surface, until none does.
func (n *net) mend() (filled bool) {
	for z := range n.n[2] - 1 {
		for y := range n.n[1] - 1 {
			for x := range n.n[0] - 1 {
				at, in := n.corners(x, y, z)
				if in == 0 || in == 255 || !twoPieces(in) {
					continue
				}
				best := -1
				for _, i := range at {
					if n.value[i] >= 0 && (best < 0 || n.value[i] < n.value[best]) {
						best = i
					}
				}
				n.value[best], filled = -.1*n.cell, true
				column := best % n.n[0]
				if image := int(math.Round(-2*n.low[0]/n.cell)) - column; image >= 0 && image < n.n[0] {
					n.value[best-column+image] = -.1 * n.cell
				}
			}
		}
	}
	return filled
}

// twoPieces tells a cell with inside and outside across the diagonals of a face, or
// with two opposite corners alone.
func twoPieces(in int) bool {
	has := func(c int) bool { return in>>c&1 == 1 }
	for _, f := range [6][4]int{{0, 1, 3, 2}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 3, 7, 6}, {0, 2, 6, 4}, {1, 3, 7, 5}} {
		if has(f[0]) == has(f[2]) && has(f[1]) == has(f[3]) && has(f[0]) != has(f[1]) {
			return true
		}
	}
	for c := range 4 {
		if pair := 1<<c | 1<<(7-c); in == pair || in == 255-pair {
			return true
		}
	}
	return false
}

var cellEdges = [12][2]int{{0, 1}, {2, 3}, {4, 5}, {6, 7}, {0, 2}, {1, 3}, {4, 6}, {5, 7}, {0, 4}, {1, 5}, {2, 6}, {3, 7}}

// mesh answers the closed surface, unbound.
func (n *net) mesh(name string) rig.MeshData {
	m := rig.MeshData{Name: name}
	vertex := make(map[int]uint32)
	middle := int(math.Round(-n.low[0]/n.cell - .5)) // the column of cells over x = 0
	for z := range n.n[2] - 1 {
		for y := range n.n[1] - 1 {
			for x := range n.n[0] - 1 {
				at, in := n.corners(x, y, z)
				if in == 0 || in == 255 {
					continue
				}
				var sum space.Vec
				count := 0.0
				for _, e := range cellEdges {
					a, b := n.value[at[e[0]]], n.value[at[e[1]]]
					if a < 0 == (b < 0) {
						continue
					}
					t := a / (a - b)
					for k := range 3 {
						p, q := float64(e[0]>>k&1), float64(e[1]>>k&1)
						sum[k] += p + t*(q-p)
					}
					count++
				}
				p := n.at(x, y, z).Add(sum.Mul(n.cell / count))
				if x == middle {
					p[0] = 0
				}
				vertex[n.index(x, y, z)] = uint32(len(m.Positions) / 3)
				m.Positions = append(m.Positions, float32(p[0]), float32(p[1]), float32(p[2]))
			}
		}
	}
	quad := func(out bool, a, b, c, d uint32) {
		if !out {
			b, d = d, b
		}
		if length(m.Positions, a, c) <= length(m.Positions, b, d) {
			m.Triangles = append(m.Triangles, a, b, c, a, c, d)
		} else {
			m.Triangles = append(m.Triangles, b, c, d, b, d, a)
		}
	}
	v := func(x, y, z int) uint32 { return vertex[n.index(x, y, z)] }
	for z := 1; z < n.n[2]-1; z++ {
		for y := 1; y < n.n[1]-1; y++ {
			for x := 1; x < n.n[0]-1; x++ {
				o := n.value[n.index(x, y, z)] < 0
				if n.value[n.index(x+1, y, z)] < 0 != o {
					quad(o, v(x, y-1, z-1), v(x, y, z-1), v(x, y, z), v(x, y-1, z))
				}
				if n.value[n.index(x, y+1, z)] < 0 != o {
					quad(o, v(x-1, y, z-1), v(x-1, y, z), v(x, y, z), v(x, y, z-1))
				}
				if n.value[n.index(x, y, z+1)] < 0 != o {
					quad(o, v(x-1, y-1, z), v(x, y-1, z), v(x, y, z), v(x-1, y, z))
				}
			}
		}
	}
	complete(&m)
	return m
}

// move carries a mesh to another place.
func move(m *rig.MeshData, by space.Vec) {
	if by == (space.Vec{}) {
		return
	}
	for i := range m.Positions {
		m.Positions[i] += float32(by[i%3])
	}
	p := &m.Primitives[0]
	for k := range 3 {
		p.Min[k], p.Max[k] = math.Inf(1), math.Inf(-1)
		for i := k; i < len(m.Positions); i += 3 {
			p.Min[k], p.Max[k] = min(p.Min[k], float64(m.Positions[i])), max(p.Max[k], float64(m.Positions[i]))
		}
	}
	p.TrueMin, p.TrueMax = p.Min, p.Max
}

func length(p []float32, a, b uint32) float64 {
	return math.Hypot(math.Hypot(float64(p[3*a]-p[3*b]), float64(p[3*a+1]-p[3*b+1])), float64(p[3*a+2]-p[3*b+2]))
}

// complete adds normals and the one primitive.
func complete(m *rig.MeshData) {
	sum := make([]space.Vec, m.Vertices())
	at := func(v uint32) space.Vec {
		return space.Vec{float64(m.Positions[3*v]), float64(m.Positions[3*v+1]), float64(m.Positions[3*v+2])}
	}
	for t := 0; t < len(m.Triangles); t += 3 {
		a, b, c := m.Triangles[t], m.Triangles[t+1], m.Triangles[t+2]
		n := at(b).Sub(at(a)).Cross(at(c).Sub(at(a)))
		for _, v := range []uint32{a, b, c} {
			sum[v] = sum[v].Add(n)
		}
	}
	m.Normals = make([]float32, 0, 3*len(sum))
	for _, n := range sum {
		n = n.Mul(1 / n.Len())
		m.Normals = append(m.Normals, float32(n[0]), float32(n[1]), float32(n[2]))
	}
	p := rig.PrimitiveData{
		Count: m.Vertices(), TriCount: len(m.Triangles) / 3, Mode: 4, Material: rig.None,
		PositionType: 5126, HasNormals: true, HasBounds: true,
	}
	for k := range 3 {
		p.Min[k], p.Max[k] = math.Inf(1), math.Inf(-1)
		for i := k; i < len(m.Positions); i += 3 {
			p.Min[k], p.Max[k] = min(p.Min[k], float64(m.Positions[i])), max(p.Max[k], float64(m.Positions[i]))
		}
	}
	p.TrueMin, p.TrueMax = p.Min, p.Max
	m.Primitives = []rig.PrimitiveData{p}
}

// box is a closed box, unbound.
func box(name string, middle, half space.Vec) rig.MeshData {
	m := rig.MeshData{Name: name, Triangles: []uint32{0, 2, 1, 1, 2, 3, 4, 5, 6, 5, 7, 6, 0, 1, 4, 1, 5, 4, 2, 6, 3, 3, 6, 7, 0, 4, 2, 2, 4, 6, 1, 3, 5, 3, 7, 5}}
	for c := range 8 {
		for k := range 3 {
			m.Positions = append(m.Positions, float32(middle[k]+half[k]*float64(2*(c>>k&1)-1)))
		}
	}
	complete(&m)
	return m
}
