package geom

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rigloupe/inspect/space"
)

// Reflective symmetry, worked numbers (closed form): Householder I − 2nnᵀ with
// n = (1,2,2)/3, d = ½.
func TestReflect(t *testing.T) {
	p := Plane{space.Vec{1. / 3, 2. / 3, 2. / 3}, .5}
	got := p.Reflect(space.Vec{1, 1, 1})
	near(t, "image of 1 1 1", got[:], []float64{0.222222, -0.555556, -0.555556}, 1e-6)
	m := p.Matrix()
	near(t, "rows", m[:], []float64{.777778, -.444444, -.444444, 1. / 3, -.444444, .111111, -.888889, 2. / 3, -.444444, -.888889, .111111, 2. / 3}, 1e-6)
	twice := p.Reflect(got)
	near(t, "twice", twice[:], []float64{1, 1, 1}, 1e-12)
}

// The plane of a lump and its mirror image is known in closed form under every
// motion: x = 0 carried along.
func TestFindMirror(t *testing.T) {
	const half = 3000
	base := blob(half)
	for _, row := range []struct {
		name    string
		axis    space.Vec
		degrees float64
		scale   float64
		shift   space.Vec
	}{
		{"as it is", space.Vec{0, 1, 0}, 0, 1, space.Vec{}},
		{"shifted", space.Vec{0, 1, 0}, 0, 1, space.Vec{3, -2, 7}},
		{"leaning 12°", space.Vec{0, 0, 1}, 12, 1, space.Vec{}},
		{"turned 35° about the vertical", space.Vec{0, 1, 0}, 35, 1, space.Vec{0.3, 0, -0.1}},
		{"turned askew, 100×", space.Vec{1, 2, 3}, 77, 100, space.Vec{-50, 20, 10}},
		{"tiny", space.Vec{3, 1, 2}, 20, 1e-4, space.Vec{}},
		{"far off", space.Vec{0, 1, 0}, 20, 1, space.Vec{1000, 0, 500}},
	} {
		points := turned(base, row.axis, row.degrees, row.scale, row.shift)
		m := FindMirror(Shape{Points: points})
		n32 := turned([]float32{1, 0, 0}, row.axis, row.degrees, 1, space.Vec{})
		n := space.Vec{float64(n32[0]), float64(n32[1]), float64(n32[2])}
		d := n.Dot(row.shift)
		if n.Dot(m.Normal) < 0 {
			n, d = n.Mul(-1), -d
		}
		if !m.Found {
			t.Errorf("%s: no plane", row.name)
			continue
		}
		// Far off, float32 has steps of 6e-5 m: 4e-5 of this shape.
		loose := 2e-6
		if row.name == "far off" {
			loose = 6e-5
		}
		near(t, row.name+": normal", m.Normal[:], n[:], loose)
		near(t, row.name+": offset", []float64{m.Offset}, []float64{d}, loose*(1+row.shift.Len()+row.scale))
		if m.Unmatched != 0 || m.Pairs != half || m.OnPlane != 0 {
			t.Errorf("%s: %d pairs, %d on the plane, %d without a partner", row.name, m.Pairs, m.OnPlane, m.Unmatched)
		}
		for i, j := range m.Partner {
			if int(j) != (i+half)%(2*half) {
				t.Errorf("%s: partner of %d is %d", row.name, i, j)
				break
			}
		}
		if m.Largest > 1e-5*row.scale+1.5e-4*loose/6e-5 || m.Alike != 1 {
			t.Errorf("%s: largest %g, alike %g", row.name, m.Largest, m.Alike)
		}
	}
}

// Points moved by known amounts: those beyond the reach lose their partner, and so
// do the partners; those within keep it, with the distance moved.
func TestFindMirrorFaults(t *testing.T) {
	const half = 1000
	base := blob(half)
	d := BoxOf(base).Diagonal()
	moved := slices.Clone(base)
	for i := range 10 {
		moved[3*i+1] += float32(0.2 * d) // ten far out, in a bunch nobody is near
	}
	for i := 20; i < 25; i++ {
		moved[3*i+1] += float32(0.0004 * d)
	}
	m := FindMirror(Shape{Points: moved, Diagonal: d})
	near(t, "normal", m.Normal[:], []float64{1, 0, 0}, 1e-6)
	if m.Unmatched != 20 {
		t.Errorf("%d without a partner, want 20", m.Unmatched)
	}
	for i := range 10 {
		if m.Partner[i] != -1 || m.Partner[i+half] != -1 {
			t.Errorf("%d has the partner %d, its image %d", i, m.Partner[i], m.Partner[i+half])
		}
	}
	for i := 20; i < 25; i++ {
		near(t, "moved a little", []float64{float64(m.Distance[i])}, []float64{0.0004 * d}, 1e-6)
	}
}

// A sword, shield and plume on one side of a leaning figure without joints: the
// body's plane stands.
func TestFindMirrorGear(t *testing.T) {
	points, triangles := lump(4)
	points = turned(points, space.Vec{0, 0, 1}, 12, 1, space.Vec{.2, 0, 0})
	body := len(points) / 3
	r := rand.New(rand.NewPCG(5, 6))
	for i := range 300 { // loose triangles
		x, y, z := 1.5+.2*r.Float64(), r.Float64()*2, .3*r.Float64()
		for range 3 {
			points = append(points, float32(x+.1*r.Float64()), float32(y+.1*r.Float64()), float32(z+.1*r.Float64()))
			triangles = append(triangles, uint32(body+i*3+len(triangles)%3))
		}
	}
	m := FindMirror(Shape{Points: points, Triangles: triangles})
	s, c := math.Sincos(12 * math.Pi / 180)
	near(t, "normal", m.Normal[:], []float64{c, s, 0}, 1e-5)
	near(t, "offset", []float64{m.Offset}, []float64{.2 * c}, 1e-5)
	near(t, "share", []float64{m.UnmatchedShare}, []float64{900 / float64(body+900)}, 0.002)
}

// A joint pair alone tells the plane of a shape that could go either way.
func TestFindMirrorPairs(t *testing.T) {
	p, tri := icosphere(3)
	m := FindMirror(Shape{Points: p, Triangles: tri, Pairs: [][2]space.Vec{{{0, .1, .5}, {0, .1, -.5}}}})
	near(t, "normal", m.Normal[:], []float64{0, 0, 1}, 1e-9)
	if m.Unmatched != 0 {
		t.Errorf("%d without a partner", m.Unmatched)
	}
	// W38: 642 vertices; those with z = 0 are their own partners.
	on := 0
	for i := 2; i < len(p); i += 3 {
		if p[i] == 0 {
			on++
		}
	}
	if m.OnPlane != on || m.OnPlane+2*m.Pairs != 642 {
		t.Errorf("%d on the plane (want %d), %d pairs", m.OnPlane, on, m.Pairs)
	}
}

// Solids: the plane is some plane of theirs, and every corner has a partner.
func TestFindMirrorSolids(t *testing.T) {
	c, ct := cube()
	w := Weld(c, nil)
	corners := make([]float32, 0, 24)
	for _, v := range w.First {
		corners = append(corners, c[3*v:3*v+3]...)
	}
	for i, v := range ct {
		ct[i] = w.Of[v]
	}
	m := FindMirror(Shape{Points: corners, Triangles: ct})
	near(t, "cube", append(m.Normal[:], m.Offset), []float64{1, 0, 0, .5}, 1e-9)
	if m.Pairs != 4 || m.Unmatched != 0 {
		t.Errorf("cube: %d pairs, %d without a partner", m.Pairs, m.Unmatched)
	}
}

// One to one: two points cannot share a partner.
func TestFindMirrorOneToOne(t *testing.T) {
	p := slices.Clone(blob(500))
	p = append(p, p[0]+1e-4, p[1], p[2]) // a second point beside point 0
	m := FindMirror(Shape{Points: p})
	if m.Unmatched != 1 || m.Partner[1000] != -1 || m.Partner[0] != 500 {
		t.Errorf("%d without a partner, partners of 0 and its double: %d %d", m.Unmatched, m.Partner[0], m.Partner[1000])
	}
	for i, j := range m.Partner {
		if j >= 0 && int(m.Partner[j]) != i {
			t.Fatalf("%d → %d → %d", i, j, m.Partner[j])
		}
	}
}

func TestFindMirrorDegenerate(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	line := make([]float32, 0, 300)
	for i := range 100 {
		line = append(line, float32(i), 0, 0)
	}
	for _, row := range []struct {
		name  string
		shape Shape
		found bool
	}{
		{"none", Shape{}, false},
		{"one", Shape{Points: []float32{1, 2, 3}}, false},
		{"all in one place", Shape{Points: make([]float32, 3000)}, false},
		{"a triangle", Shape{Points: []float32{0, 0, 0, 2, 0, 0, 1, 1, 0}, Triangles: []uint32{0, 1, 2}}, true},
		{"a line", Shape{Points: line}, true},
		{"a flat sheet", Shape{Points: []float32{-1, 0, 0, 1, 0, 0, -1, 1, 0, 1, 1, 0, -2, 3, 0, 2, 3, 0}}, true},
		{"not finite", Shape{Points: []float32{nan, 0, 0, 1, 0, 0, -1, 0, inf, -1, 0, 0}}, true},
		{"pairs in one place", Shape{Points: line, Pairs: [][2]space.Vec{{}}}, true},
	} {
		m := FindMirror(row.shape)
		if m.Found != row.found {
			t.Errorf("%s: found %v", row.name, m.Found)
		}
		if m.Found {
			near(t, row.name+": normal", m.Normal[:], []float64{1, 0, 0}, 1e-6)
		}
		for _, v := range []float64{m.Largest, m.Mean, m.UnmatchedShare, m.Offset, m.Alike} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("%s: %+v", row.name, v)
			}
		}
	}
}

// A hundred thousand near duplicates in a corner of the box: still n·log n. In a grid
// one cell would hold them all, and this would run for minutes.
func TestFindMirrorCrowd(t *testing.T) {
	p := crowd(100_000)
	m := FindMirror(Shape{Points: p})
	for i, j := range m.Partner {
		if j >= 0 && int(m.Partner[j]) != i {
			t.Fatalf("%d → %d → %d", i, j, m.Partner[j])
		}
	}
}

func TestFindMirrorAnswersTheSame(t *testing.T) {
	p := turned(blob(2000), space.Vec{1, 1, 0}, 50, 1, space.Vec{})
	a, b := FindMirror(Shape{Points: p}), FindMirror(Shape{Points: p})
	if a.Plane != b.Plane || !slices.Equal(a.Partner, b.Partner) || !slices.Equal(a.Distance, b.Distance) {
		t.Error("two answers for one shape")
	}
}
