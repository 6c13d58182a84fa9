package geom

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// tube is a cylinder round the y axis without caps: around columns, rows bands,
// each vertex once. Its even coordinate is its height.
func tube(around, rows int, radius, height float32) (pos []float32, tri []uint32) {
	for r := range rows + 1 {
		for a := range around {
			s, c := math.Sincos(2 * math.Pi * float64(a) / float64(around))
			pos = append(pos, radius*float32(c), height*float32(r)/float32(rows), radius*float32(s))
		}
	}
	for r := range rows {
		for a := range around {
			i, j := uint32(r*around+a), uint32(r*around+(a+1)%around)
			k, l := i+uint32(around), j+uint32(around)
			tri = append(tri, i, k, j, j, k, l)
		}
	}
	return pos, tri
}

func each(n int) []uint32 {
	out := make([]uint32, n)
	for i := range out {
		out[i] = uint32(i)
	}
	return out
}

// Closed form: on a tube with the goal +Y the solution of ∇²s = 0 with unit flow
// at the ends is the height. Both sizes: solved alone, and by the clustered copy.
func TestEvenFieldOnATube(t *testing.T) {
	for _, row := range []struct {
		name         string
		around, rows int
		tolerance    float64
	}{
		{"900 vertices", 30, 29, .002},
		{"45,000 vertices, by clusters", 150, 299, .02},
	} {
		pos, tri := tube(row.around, row.rows, .2, 1)
		n := len(pos) / 3
		goal, s := make([]float32, 3*n), make([]float32, n)
		for v := range s {
			goal[3*v+1] = 1
			y := float64(pos[3*v+1])
			s[v] = float32(y + .15*math.Sin(9*y)) // bunched and parted
		}
		EvenField(pos, tri, each(n), n, goal, s, nil)
		// The constant is free: compare with the mean taken off.
		mean, want := 0., 0.
		for v := range s {
			mean += float64(s[v]) / float64(n)
			want += float64(pos[3*v+1]) / float64(n)
		}
		worst := 0.
		for v := range s {
			worst = max(worst, math.Abs(float64(s[v])-mean-float64(pos[3*v+1])+want))
		}
		if worst > row.tolerance {
			t.Errorf("%s: %g m from the height, allowed %g", row.name, worst, row.tolerance)
		}
	}
}

func TestEvenFieldJoinsSeams(t *testing.T) {
	// The tube cut open along one column: welded, both copies must agree.
	pos, tri := tube(12, 10, .3, 1)
	n := len(pos) / 3
	weld := each(n)
	for r := range 11 {
		pos = append(pos, pos[3*12*r:3*12*r+3]...)
		weld = append(weld, uint32(12*r))
	}
	for i := 0; i < len(tri); i += 3 {
		for c := range 3 {
			if v := tri[i+c]; v%12 == 0 && (tri[i]%12 == 11 || tri[i+1]%12 == 11 || tri[i+2]%12 == 11) {
				tri[i+c] = uint32(n) + v/12
			}
		}
	}
	m := len(pos) / 3
	goal, s := make([]float32, 3*m), make([]float32, m)
	for v := range s {
		goal[3*v+1] = 1
		s[v] = pos[3*v+1] + .05*float32(v%3)
	}
	EvenField(pos, tri, weld, n, goal, s, nil)
	for r := range 11 {
		if s[12*r] != s[n+r] {
			t.Errorf("row %d: %g on one side of the seam, %g on the other", r, s[12*r], s[n+r])
		}
	}
}

func TestEvenFieldSurvives(t *testing.T) {
	nan := float32(math.NaN())
	pos := []float32{0, 0, 0, 1, 0, 0, 0, 1, 0, nan, 0, 0, 0, 0, 0}
	tri := []uint32{0, 1, 2, 0, 3, 2, 0, 0, 1, 0, 4, 1}
	goal, s := make([]float32, 15), []float32{0, 0, 1, 0, 0}
	goal[1], goal[4], goal[7] = 1, 1, 1
	EvenField(pos, tri, each(5), 5, goal, s, nil)
	for v, x := range s {
		if x-x != 0 {
			t.Errorf("vertex %d became %g", v, x)
		}
	}
	EvenField(nil, nil, nil, 0, nil, nil, nil)
}

// Closed form: the gradient of a linear function along the surface is its own
// gradient less what points out of the surface.
func TestFieldSlopeOfALinearFunction(t *testing.T) {
	pos, tri := tube(64, 20, .2, 1)
	n := len(pos) / 3
	s, normals := make([]float32, n), make([]float32, 3*n)
	g := space.Vec32{.3, -.7, 1.1}
	for v := range s {
		p := space.At32(pos, v)
		s[v] = g.Dot(p)
		u := space.Direction32(space.Vec32{p[0], 0, p[2]})
		copy(normals[3*v:], u[:])
	}
	out := FieldSlope(pos, tri, normals, s)
	for v := 64; v < n-64; v++ { // on the rims half the triangles are missing
		u := space.At32(normals, v)
		want := g.Sub(u.Mul(g.Dot(u)))
		if d := space.At32(out, v).Sub(want).Len(); d > .01 {
			t.Fatalf("vertex %d: slope %v, want %v", v, space.At32(out, v), want)
		}
	}
}

// A figure of three slots: a trunk upward, an arm sideways, a leg downward. The
// arm's child starts with its parent's value, the leg turns over.
func TestFieldAxes(t *testing.T) {
	f := FieldSlots{
		Parent: []int32{-1, 0, 0, 1},
		Origin: []float32{0, 1, 0, 0, 1.5, 0, 0, .9, 0, .3, 1.5, 0},
		Own:    []float32{10, 4, 5, 3},
		Middle: []float32{0, 1.2, 0, .15, 1.5, 0, 0, .4, 0, .5, 1.5, 0},
	}
	a := FieldAxes(f, 2)
	for j, want := range []space.Vec32{{0, 1, 0}, {1, 0, 0}, {0, 1, 0}, {1, 0, 0}} {
		if d := a[j].Dir.Sub(want).Len(); d > 1e-5 {
			t.Errorf("slot %d runs along %v, want %v", j, a[j].Dir, want)
		}
	}
	// The trunk's own coordinate at 1.5 is 0.5; 0.3 m along the arm it is 0.8.
	if math.Abs(float64(a[1].Value)-.5) > 1e-6 || math.Abs(float64(a[3].Value)-.8) > 1e-6 {
		t.Errorf("arm starts at %g and %g, want 0.5 and 0.8", a[1].Value, a[3].Value)
	}
	// The leg hangs down, but its coordinate still grows upward: lines meet.
	if math.Abs(float64(a[2].Value)+.1) > 1e-6 {
		t.Errorf("leg starts at %g, want −0.1", a[2].Value)
	}
	s, goal := make([]float32, 1), make([]float32, 3)
	CarryField([]float32{.15, 1.5, 0}, 2, []uint32{0, 1}, []float32{.5, .5}, a, s, goal)
	if math.Abs(float64(s[0])-.575) > 1e-6 { // (0.5 + 0.65) / 2
		t.Errorf("between trunk and arm: %g, want 0.575", s[0])
	}
	ring := FieldAxes(FieldSlots{Parent: []int32{1, 0}, Origin: make([]float32, 6), Own: make([]float32, 2), Middle: make([]float32, 6)}, 1)
	if len(ring) != 2 {
		t.Error("slots in a ring were lost")
	}
}

// A joint whose branches part evenly runs where its own vertices lie: two arms along x
// take each other's part away, and the vertices of the chest lie above it.
func TestFieldAxisOfAJointBetweenItsBranches(t *testing.T) {
	f := FieldSlots{
		Parent: []int32{-1, 0, 0},
		Origin: []float32{0, 1, 0, -.3, 1, 0, .3, 1, 0},
		Own:    []float32{10, 4, 4},
		Middle: []float32{0, 1, .2, -.5, 1, 0, .5, 1, 0},
	}
	a := FieldAxes(f, 2)
	if d := a[0].Dir.Sub(space.Vec32{0, 0, 1}).Len(); d > 1e-5 {
		t.Errorf("between its branches it runs along %v, want where its vertices lie", a[0].Dir)
	}
}

func TestLongAxis(t *testing.T) {
	rod := []float32{-2, 1, .1, -1, 1, -.1, 1, 1, .1, 2, 1, -.1, float32(math.NaN()), 0, 0}
	_, axis, share := LongAxis(rod, nil)
	if math.Abs(float64(axis[0])) < .99 || share < .98 {
		t.Errorf("rod: axis %v, share %g", axis, share)
	}
	cube := []float32{0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 0, 0, 1, 1, 0, 1, 0, 1, 1, 1, 1, 1}
	if mean, _, share := LongAxis(cube, nil); math.Abs(float64(share)-1/3.) > 1e-6 || mean != [3]float32{.5, .5, .5} {
		t.Errorf("cube: share %g, want a third; middle %v", share, mean)
	}
	if _, axis, share := LongAxis(nil, nil); share != 0 || axis != [3]float32{0, 1, 0} {
		t.Errorf("nothing: axis %v, share %g", axis, share)
	}
}

func TestCluster(t *testing.T) {
	nan := float32(math.NaN())
	of, n := Cluster([]float32{0, 0, 0, 1, 0, 0, .01, .01, 0, nan, 0, 0, .99, 0, 0}, nil, 10)
	if n != 3 || of[0] != of[2] || of[1] != of[4] || of[0] == of[1] || of[3] != 2 {
		t.Errorf("clusters %v, %d of them", of, n)
	}
}

func TestSoften(t *testing.T) {
	pos, tri := tube(20, 20, 1, 1)
	v := make([]float32, len(pos)/3)
	v[210] = 1
	Soften(tri, v, 2)
	if v[210] >= .6 || v[211] <= 0 {
		t.Errorf("a peak of 1 became %g, its neighbour %g", v[210], v[211])
	}
	flat := []float32{2, 2, 2}
	Soften([]uint32{0, 1, 2}, flat, 5)
	for _, x := range flat {
		if math.Abs(float64(x)-2) > 1e-5 {
			t.Errorf("an even value became %g", x)
		}
	}
}

func BenchmarkEvenField(b *testing.B) {
	for _, row := range []struct {
		name         string
		around, rows int
	}{{"10k", 50, 100}, {"100k", 200, 250}, {"1M", 600, 833}} {
		b.Run(row.name, func(b *testing.B) {
			pos, tri := tube(row.around, row.rows, .2, 1)
			n := len(pos) / 3
			goal, s, from := make([]float32, 3*n), make([]float32, n), make([]float32, n)
			for v := range from {
				goal[3*v+1] = 1
				from[v] = float32(math.Sin(9 * float64(pos[3*v+1])))
			}
			weld := each(n)
			for b.Loop() {
				copy(s, from)
				EvenField(pos, tri, weld, n, goal, s, nil)
			}
			b.ReportMetric(float64(len(tri)/3), "triangles")
		})
	}
}
