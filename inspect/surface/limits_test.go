package surface

import (
	"context"
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
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

// Both sides of each limit of the station, on solids of known size: found at the
// right place, as large as planted, and silent just before.
func TestNearCoincidentLimits(t *testing.T) {
	n := rig.Vertex(len(sphere) / 3)
	// The triangle that is taken off has two edges at vertex 0, and so has the rest: four
	// open edges, which all meet. The edges of this ball are 0.14 to 0.2 long.
	split := []checktest.Want{{Grade: check.Flaw, Name: "share of the open edges", Value: 1, More: map[string]float64{"open edges that meet another": 4}}}
	pair := func(pairs float64) []checktest.Want {
		w := slices.Clone(split)
		w[0].More = map[string]float64{"pairs almost in one place": pairs}
		return w
	}
	held := one(check.Note, "held apart", 1, 0, n)
	checktest.Run(t, nearCoincident, Measure, []checktest.Row{
		{Name: "whole", Rig: shape(sphere, sphereTri)},
		{Name: "0.98e-5 of the diagonal apart", Rig: shape(sphere, sphereTri), Plant: apart(0.98e-5 * sphereD), Want: pair(1)},
		{Name: "1.02e-5 apart: a seam, no pair", Rig: shape(sphere, sphereTri), Plant: apart(1.02e-5 * sphereD), Want: pair(0)},
		{Name: "1.98e-3 apart", Rig: shape(sphere, sphereTri), Plant: apart(1.98e-3 * sphereD), Want: split},
		{Name: "2.02e-3 apart: open on purpose", Rig: shape(sphere, sphereTri), Plant: apart(2.02e-3 * sphereD)},
		{Name: "equal places are one", Rig: shape(sphere, sphereTri), Plant: apart(0)},
		{Name: "weights 0.0098 apart", Rig: shape(sphere, sphereTri), Plant: both(apart(5e-6), weighted(0.0049)), Want: split},
		{Name: "weights 0.0102 apart: held", Rig: shape(sphere, sphereTri), Plant: both(apart(5e-6), weighted(0.0051)), Want: held},
		{Name: "held ones allowed", Rig: shape(sphere, sphereTri), Plant: both(apart(5e-6), weighted(1)), Limits: map[string]float64{"held-apart": 1}},
		{Name: "the share allowed: the pair is told", Rig: shape(sphere, sphereTri), Plant: apart(5e-6), Limits: map[string]float64{"seam": 1}, Want: one(check.Flaw, "pairs", 1, 0, n)},
		{Name: "share and pair allowed: a note", Rig: shape(sphere, sphereTri), Plant: apart(5e-6), Limits: map[string]float64{"seam": 1, "pairs": 1},
			Want: []checktest.Want{{Grade: check.Note, Name: "open edges that meet another", Value: 4}}},
	})
}

func TestDoubledLimits(t *testing.T) {
	uv := func(bits uint32) func(*rig.Rig) {
		return func(r *rig.Rig) {
			m := &r.Meshes[0]
			m.UV = make([]float32, 2*m.Vertices())
			m.UV[len(m.UV)-1] = math.Float32frombits(bits)
		}
	}
	n := rig.Vertex(len(sphere) / 3)
	checktest.Run(t, doubledVertices, Measure, []checktest.Row{
		{Name: "whole", Rig: shape(sphere, sphereTri)},
		{Name: "one stored twice", Rig: shape(sphere, sphereTri), Plant: both(apart(0), uv(0)), Want: one(check.Note, "copies", 1, n)},
		{Name: "a UV differs by one bit", Rig: shape(sphere, sphereTri), Plant: both(apart(0), uv(1))},
		{Name: "a weight differs", Rig: shape(sphere, sphereTri), Plant: both(apart(0), weighted(0.001))},
	})
}

func TestSliverLimits(t *testing.T) {
	flat := func(h float32) func() *rig.Rig {
		return shape([]float32{0, 0, 0, 1, 0, 0, 0.5, h, 0}, []uint32{0, 1, 2})
	}
	checktest.Run(t, slivers, Measure, []checktest.Row{
		{Name: "1.01e-4 high", Rig: flat(1.01e-4)},
		{Name: "0.99e-4 high", Rig: flat(0.99e-4), Want: one(check.Note, "slivers", 1, 0, 1, 2)},
		{Name: "a line", Rig: flat(0), Want: one(check.Flaw, "zero-area", 1, 0, 1, 2)},
		{Name: "two corners in one place", Rig: shape([]float32{0, 0, 0, 1, 0, 0, 1, 0, 0}, []uint32{0, 1, 2}), Want: one(check.Flaw, "zero-area", 1, 0, 1)},
	})
}

func TestEdgeLimits(t *testing.T) {
	a, b, c := rig.Vertex(sphereTri[0]), rig.Vertex(sphereTri[1]), rig.Vertex(sphereTri[2])
	length := 0.0
	for i := range uint32(3) {
		length += space.At(sphere, sphereTri[i]).Sub(space.At(sphere, sphereTri[(i+1)%3])).Len()
	}
	hole := one(check.Note, "loops", 1, a, b, c)
	hole[0].More, hole[0].Tolerance = map[string]float64{"edges": 3, "longest": length}, 1e-6
	checktest.Run(t, boundaryEdges, Measure, []checktest.Row{
		{Name: "closed", Rig: shape(sphere, sphereTri)},
		{Name: "a triangle missing", Rig: shape(sphere, sphereTri[3:]), Want: hole},
		{Name: "loop allowed", Rig: shape(sphere, sphereTri[3:]), Limits: map[string]float64{"loops": 1}},
	})
	// A fin on the first edge, and one that stands a hair off it.
	n := uint32(len(sphere) / 3)
	x, y := space.At(sphere, sphereTri[0]), space.At(sphere, sphereTri[1])
	fin := append(slices.Clone(sphere), float32(x[0]+y[0]), float32(x[1]+y[1]), float32(x[2]+y[2]))
	off := slices.Clone(fin)
	for _, p := range [][3]float64{x, y} {
		off = append(off, float32(1.001*p[0]), float32(1.001*p[1]), float32(1.001*p[2]))
	}
	checktest.Run(t, branchingEdges, Measure, []checktest.Row{
		{Name: "closed", Rig: shape(sphere, sphereTri)},
		{Name: "a fin", Rig: shape(fin, append(slices.Clone(sphereTri), sphereTri[0], sphereTri[1], n)), Want: one(check.Flaw, "edges", 1, a, b)},
		{Name: "a fin a hair off", Rig: shape(off, append(slices.Clone(sphereTri), n+1, n+2, n))},
	})
	turned := slices.Clone(sphereTri)
	turned[0], turned[1] = turned[1], turned[0]
	over := one(check.Flaw, "edges", 3, a, b, c)
	over[0].More = map[string]float64{"turned over": 1}
	checktest.Run(t, mixedWinding, Measure, []checktest.Row{
		{Name: "one way round", Rig: shape(sphere, sphereTri)},
		{Name: "all the other way round", Rig: shape(sphere, inverted(sphereTri))},
		{Name: "one triangle turned over", Rig: shape(sphere, turned), Want: over},
	})
}

// A shell is inside out by its volume, its node's determinant and what it lies in.
func TestInsideOutLimits(t *testing.T) {
	small, smallTri := ball(2, 0.5, 0)
	beside, besideTri := ball(2, 0.5, 3)
	tiny, tinyTri := ball(2, 0.25, 0)
	pair := func(q []float32, more []uint32, turned bool) func() *rig.Rig {
		return shape(with(sphere, sphereTri, q, more, turned))
	}
	nest := func(second, third bool) func() *rig.Rig {
		p, tri := with(sphere, sphereTri, small, smallTri, second)
		return shape(with(p, tri, tiny, tinyTri, third))
	}
	all := func(from, count int) (v []rig.Vertex) {
		for i := range count {
			v = append(v, rig.Vertex(from+i))
		}
		return v
	}
	whole, n := len(sphere)/3, len(small)/3
	mirrored := place(rig.Affine{0: -1, 5: 1, 10: 1})
	checktest.Run(t, insideOut, Measure, []checktest.Row{
		{Name: "outwards", Rig: shape(sphere, sphereTri)},
		{Name: "inwards", Rig: shape(sphere, inverted(sphereTri)), Want: one(check.Flaw, "shells", 1, all(0, whole)...)},
		{Name: "outwards, under a mirror", Rig: shape(sphere, sphereTri), Plant: mirrored},
		{Name: "inwards, under a mirror", Rig: shape(sphere, inverted(sphereTri)), Plant: mirrored, Want: one(check.Flaw, "shells", 1, all(0, whole)...)},
		{Name: "open and inwards: has no inside", Rig: shape(sphere, inverted(sphereTri)[3:])},
		{Name: "a hollow", Rig: pair(small, smallTri, true)},
		{Name: "a hollow under a mirror", Rig: pair(small, smallTri, true), Plant: mirrored},
		{Name: "a ball within", Rig: pair(small, smallTri, false)},
		{Name: "inwards beside", Rig: pair(beside, besideTri, true), Want: one(check.Flaw, "shells", 1, all(whole, n)...)},
		{Name: "a ball in a hollow", Rig: nest(true, false)},
		{Name: "inwards in a hollow", Rig: nest(true, true), Want: one(check.Flaw, "shells", 1, all(whole+n, len(tiny)/3)...)},
		{Name: "a hollow in a ball in a ball", Rig: nest(false, true)},
	})
}

func TestShellLimits(t *testing.T) {
	// A ball of radius r beside one of 1 has r² ÷ (1 + r²) of the area.
	two := func(r float32) func() *rig.Rig {
		q, more := ball(3, r, 2)
		return shape(with(sphere, sphereTri, q, more, false))
	}
	n := rig.Vertex(len(sphere) / 3)
	crumb := []rig.Vertex{}
	for v := range n {
		crumb = append(crumb, n+v)
	}
	several := checktest.Want{Grade: check.Note, Name: "shells", Value: 2}
	checktest.Run(t, shells, Measure, []checktest.Row{
		{Name: "one", Rig: shape(sphere, sphereTri)},
		{Name: "two, the small one 0.1005 % of the area", Rig: two(0.03172), Want: []checktest.Want{several}},
		{Name: "0.0995 %: a crumb", Rig: two(0.03156), Want: []checktest.Want{several, {Grade: check.Note, Name: "crumbs", Value: 1, Vertices: crumb}}},
		{Name: "two allowed", Rig: two(0.5), Limits: map[string]float64{"shells": 2}},
	})
}

func TestUnusedLimits(t *testing.T) {
	n := len(sphere) / 3
	checktest.Run(t, unusedVertices, Measure, []checktest.Row{
		{Name: "all used", Rig: shape(sphere, sphereTri)},
		{Name: "one loose", Rig: shape(append(slices.Clone(sphere), 0, 0, 0), sphereTri), Want: one(check.Note, "vertices", 1, rig.Vertex(n))},
	})
}

func TestNormalLimits(t *testing.T) {
	// 128 triangles with vertices of their own and normals straight out.
	p, tri := ball(2, 1, 0)
	lit := func(change func(normals []float32)) func() *rig.Rig {
		return func() *rig.Rig {
			var apart []float32
			var each []uint32
			for i, v := range tri {
				apart = append(apart, p[3*v:3*v+3]...)
				each = append(each, uint32(i))
			}
			r := bare(apart, each)
			m := &r.Meshes[0]
			m.Normals, m.Primitives[0].HasNormals = slices.Clone(apart), true
			if change != nil {
				change(m.Normals)
			}
			return r
		}
	}
	opposed := func(triangles int) func([]float32) {
		return func(n []float32) {
			for i := range 9 * triangles {
				n[i] = -n[i]
			}
		}
	}
	long := func(k float32) func([]float32) {
		return func(n []float32) { n[0], n[1], n[2] = k*n[0], k*n[1], k*n[2] }
	}
	n := float64(len(p) / 3)
	checktest.Run(t, badNormals, Measure, []checktest.Row{
		{Name: "outwards", Rig: lit(nil)},
		{Name: "6 of 128 inwards", Rig: lit(opposed(6)), Want: []checktest.Want{{Grade: check.Note, Name: "opposed", Value: 6}}},
		{Name: "7 of 128 inwards", Rig: lit(opposed(7)), Want: []checktest.Want{{Grade: check.Flaw, Name: "opposed share", Value: 7. / 128}}},
		{Name: "length 1.0009", Rig: lit(long(1.0009))},
		{Name: "length 1.0011", Rig: lit(long(1.0011)), Want: one(check.Note, "off unit", 1, 0)},
		{Name: "length 0.9991", Rig: lit(long(0.9991))},
		{Name: "length 0.9989", Rig: lit(long(0.9989)), Want: one(check.Note, "off unit", 1, 0)},
		{Name: "none stored", Rig: shape(p, tri), Want: []checktest.Want{{Grade: check.Note, Name: "missing", Value: n}}},
	})
}

// The verdict goes with what stands, and says first what is to be done first.
func TestReadyLimits(t *testing.T) {
	tiny, tinyTri := ball(2, 0.25, 3)
	first := func(grade check.Grade, value float64, subject string) []checktest.Want {
		return []checktest.Want{{Grade: grade, Name: "faults", Value: value, Subject: subject}}
	}
	thinTri := append(slices.Clone(sphereTri), 0, sphereTri[0], 0)
	checktest.Run(t, readyToBind, Measure, []checktest.Row{
		{Name: "sound", Rig: shape(sphere, sphereTri)},
		{Name: "open is no fault", Rig: shape(sphere, sphereTri[3:])},
		{Name: "a near pair", Rig: shape(sphere, sphereTri), Plant: apart(5e-6), Want: first(check.Stop, 1, "first: 4 open edges beside those they should be joined to")},
		{Name: "a pair that is held apart", Rig: shape(sphere, sphereTri), Plant: both(apart(5e-6), weighted(1))},
		{Name: "main shell inside out", Rig: shape(sphere, inverted(sphereTri)), Want: first(check.Stop, 1, "first: 1 main shell, inside out")},
		{Name: "a small shell inside out", Rig: shape(with(sphere, sphereTri, tiny, tinyTri, true)), Want: first(check.Note, 1, "first: 1 shell inside out")},
		{Name: "no area", Rig: shape(sphere, thinTri), Want: first(check.Note, 1, "first: 1 triangle without area")},
		{Name: "a near pair and no area", Rig: shape(sphere, thinTri), Plant: apart(5e-6), Want: []checktest.Want{{
			Grade: check.Stop, Name: "faults", Value: 1, Subject: "first: 1 pair of vertices almost in one place", More: map[string]float64{"steps in all": 2}}}},
		{Name: "no triangle", Rig: shape(sphere, nil), Skip: "no triangles in this file"},
	})
}

// What is at risk at a weld distance: the ends of the edges that are lost there, no
// others, from the step of the curve on.
func TestAtRisk(t *testing.T) {
	d := sphereD
	p := slices.Clone(sphere)
	n := uint32(len(p) / 3)
	p = append(p, p[0]-float32(0.0015*d), 0, 0, 0, 0, 0) // a short edge inwards from vertex 0; the last is loose
	far := sphereTri[slices.IndexFunc(sphereTri, func(v uint32) bool { return p[3*v] < -0.9 })]
	f, err := Measure(context.Background(), exam.New(bare(p, append(slices.Clone(sphereTri), 0, n, far))))
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		share float64
		want  []int
	}{{0, nil}, {0.001, nil}, {0.0014, nil}, {0.0021, []int{0, int(n)}}, {0.009, []int{0, int(n)}}} {
		var got []int
		for v, x := range f.AtRisk(0, row.share*d) {
			switch {
			case x == 1:
				got = append(got, v)
			case x != 0 && uint32(v) != n+1 || uint32(v) == n+1 && x == x:
				t.Fatalf("at %g: vertex %d has %g", row.share, v, x)
			}
		}
		if !slices.Equal(got, row.want) {
			t.Errorf("at %g of the diagonal %v at risk, want %v", row.share, got, row.want)
		}
	}
	// The curve says the same: one edge and one triangle from the step on.
	for _, s := range f.Steps {
		want := 0
		if s.Share >= 0.0015 {
			want = 1
		}
		if s.Edges != want || s.Triangles != want || s.Distinct != int(n)+2-want {
			t.Errorf("step %g: %+v", s.Share, s)
		}
		if math.Abs(s.Shift-float64(want)*0.00075*d) > 1e-6 {
			t.Errorf("step %g: shift %g m, want %g", s.Share, s.Shift, float64(want)*0.00075*d)
		}
	}
}
