package surface

import (
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// ball is an octahedron, halved k times and blown up to radius r about a place:
// 8·4^k triangles that face outwards. Vertex 0 is the one farthest along +X.
func ball(k int, r float32, x float32) (p []float32, tri []uint32) {
	p = []float32{1, 0, 0, 0, 1, 0, 0, 0, 1, -1, 0, 0, 0, -1, 0, 0, 0, -1}
	for i := range uint32(8) { // one triangle an octant
		c := [3]uint32{3 * (i & 1), 1 + 3*(i>>1&1), 2 + 3*(i>>2)}
		if (i&1+i>>1&1+i>>2)%2 == 1 {
			c[1], c[2] = c[2], c[1]
		}
		tri = append(tri, c[:]...)
	}
	for range k {
		middle := map[[2]uint32]uint32{}
		half := func(a, b uint32) uint32 {
			key := [2]uint32{min(a, b), max(a, b)}
			if m, ok := middle[key]; ok {
				return m
			}
			var q [3]float64
			for c := range uint32(3) {
				q[c] = float64(p[3*a+c]) + float64(p[3*b+c])
			}
			l := math.Sqrt(q[0]*q[0] + q[1]*q[1] + q[2]*q[2])
			middle[key] = uint32(len(p) / 3)
			p = append(p, float32(q[0]/l), float32(q[1]/l), float32(q[2]/l))
			return middle[key]
		}
		var finer []uint32
		for t := 0; t < len(tri); t += 3 {
			a, b, c := tri[t], tri[t+1], tri[t+2]
			ab, bc, ca := half(a, b), half(b, c), half(c, a)
			finer = append(finer, a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca)
		}
		tri = finer
	}
	for v := range p {
		p[v] *= r
		if v%3 == 0 {
			p[v] += x
		}
	}
	return p, tri
}

// shape is a rig without a skin that rows change.
func shape(p []float32, tri []uint32) func() *rig.Rig {
	return func() *rig.Rig { return bare(slices.Clone(p), slices.Clone(tri)) }
}

// with is two shapes in one mesh; turned turns the second inside out.
func with(p []float32, tri []uint32, q []float32, more []uint32, turned bool) ([]float32, []uint32) {
	base := uint32(len(p) / 3)
	tri = slices.Clone(tri)
	for t := 0; t < len(more); t += 3 {
		a, b, c := more[t]+base, more[t+1]+base, more[t+2]+base
		if turned {
			b, c = c, b
		}
		tri = append(tri, a, b, c)
	}
	return append(slices.Clone(p), q...), tri
}

func inverted(tri []uint32) []uint32 {
	_, out := with(nil, nil, nil, tri, true)
	return out
}

// apart takes the last triangle at vertex 0 off it, to a vertex of its own so many
// metres along +Y.
func apart(metres float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		n := uint32(m.Vertices())
		m.Positions = append(m.Positions, m.Positions[0], m.Positions[1]+float32(metres), m.Positions[2])
		for i, v := range slices.Backward(m.Triangles) {
			if v == 0 {
				m.Triangles[i] = n
				break
			}
		}
		m.Primitives[0].Count++
	}
}

// weighted binds all to joint 0 but the last vertex, whose weight goes over to joint
// 1 by so much.
func weighted(over float32) func(*rig.Rig) {
	return func(r *rig.Rig) {
		m := &r.Meshes[0]
		m.K = 4
		m.Joints, m.Weights = make([]uint16, 4*m.Vertices()), make([]float32, 4*m.Vertices())
		for v := range m.Vertices() {
			m.Joints[4*v+1], m.Weights[4*v] = 1, 1
		}
		last := 4 * (m.Vertices() - 1)
		m.Weights[last], m.Weights[last+1] = 1-over, over
	}
}

var (
	sphere, sphereTri = ball(3, 1, 0)
	sphereD           = 2 * math.Sqrt(3)
)

func one(grade check.Grade, name string, value float64, vertices ...rig.Vertex) []checktest.Want {
	return []checktest.Want{{Grade: grade, Name: name, Value: value, Vertices: vertices}}
}
