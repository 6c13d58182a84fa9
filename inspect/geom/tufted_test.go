package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

func laplacian(points []float32, triangles []uint32) *Laplacian {
	return NewLaplacian(points, triangles, FindEdges(triangles, len(points)/3, nil), nil)
}

// between adds up the weights of a pair of places.
func (l *Laplacian) between(a, b uint32) (w float64) {
	for e, v := range l.Weight {
		if i, j := l.Ends[2*e], l.Ends[2*e+1]; i == a && j == b || i == b && j == a {
			w += v
		}
	}
	return w
}

// of answers L·f: the sum of weights times differences.
func (l *Laplacian) of(f []float64) []float64 {
	out := make([]float64, len(f))
	for e, v := range l.Weight {
		i, j := l.Ends[2*e], l.Ends[2*e+1]
		out[i] += v * (f[j] - f[i])
		out[j] += v * (f[i] - f[j])
	}
	return out
}

// The hexagon of equilateral triangles about one place: cot 60° = 0.577350 an edge, their
// sum 3.464102, a third of the six areas 0.866025, and L(x²+y²)/area = 4 exactly (the
// cotangent formula of Pinkall, Polthier 1993 on a flat fan; worked by hand).
func TestHexagon(t *testing.T) {
	points := []float32{0, 0, 0}
	var triangles []uint32
	f := []float64{0}
	for k := range 6 {
		s, c := math.Sincos(float64(k) * math.Pi / 3)
		points = append(points, float32(c), float32(s), 0)
		f = append(f, 1)
		triangles = append(triangles, 0, uint32(1+k), uint32(1+(k+1)%6))
	}
	l := laplacian(points, triangles)
	if w := l.between(0, 1); math.Abs(w-0.577350269) > 1e-6 {
		t.Errorf("weight %v", w)
	}
	if got := l.of(f)[0]; math.Abs(got-3.464102) > 1e-5 || math.Abs(l.Area[0]-0.866025) > 1e-6 || math.Abs(got/l.Area[0]-4) > 1e-5 {
		t.Errorf("L %v, area %v", got, l.Area[0])
	}
	if l.Flips != 0 {
		t.Errorf("%d flips where all is Delaunay", l.Flips)
	}
}

// A linear function on a flat patch cut badly has no Laplacian inside, and its Dirichlet
// energy is its slope squared times the area. (Along the border the triangles are right
// ones: blunt ones there would be flipped over to the back, which no longer is flat.)
func TestLinearStaysLinear(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const n = 12
	points := make([]float32, 0, 3*n*n)
	for y := range n {
		for x := range n {
			dx, dy := 0.0, 0.0
			if x > 1 && x < n-2 && y > 1 && y < n-2 {
				dx, dy = .4*(2*r.Float64()-1), .4*(2*r.Float64()-1)
			}
			points = append(points, float32(float64(x)+dx), float32(float64(y)+dy), 0)
		}
	}
	var triangles []uint32
	for y := range uint32(n - 1) {
		for x := range uint32(n - 1) {
			a, b, c, d := y*n+x, y*n+x+1, (y+1)*n+x, (y+1)*n+x+1
			across := func(i uint32) space.Vec { return space.At(points, i) }
			keep := func(p, q, r uint32) bool { return across(q).Sub(across(p)).Cross(across(r).Sub(across(p)))[2] > .02 }
			if keep(a, b, d) && keep(a, d, c) && (r.IntN(2) == 0 || !keep(b, c, a) || !keep(b, d, c)) {
				triangles = append(triangles, a, b, d, a, d, c)
			} else {
				triangles = append(triangles, b, a, c, b, c, d) // and the other way round
			}
		}
	}
	l := laplacian(points, triangles)
	f := make([]float64, n*n)
	for i := range f {
		f[i] = 3*float64(points[3*i]) - 2*float64(points[3*i+1])
	}
	g := l.of(f)
	energy := 0.0
	for i := range g {
		energy -= f[i] * g[i]
		x, y := i%n, i/n
		if x > 0 && x < n-1 && y > 0 && y < n-1 && math.Abs(g[i]) > 2e-4 {
			t.Errorf("place %d: %v", i, g[i])
		}
	}
	if want := 13 * float64((n-1)*(n-1)); math.Abs(energy-want) > 1e-4*want {
		t.Errorf("energy %v, want %v", energy, want)
	}
	if l.Flips == 0 {
		t.Error("nothing was flipped on a patch of thin triangles")
	}
	area := 0.0
	for _, a := range l.Area {
		area += a
	}
	if want := float64((n - 1) * (n - 1)); math.Abs(area-want) > 1e-4*want {
		t.Errorf("area %v, want %v", area, want)
	}
}

// Three square sheets on one edge: each gives the shared edge what it gives alone, and the
// sum stands; soup, doubled triangles and single ones leave no negative weight.
func TestBranching(t *testing.T) {
	points := []float32{0, 0, 0, 0, 1, 0}
	var triangles []uint32
	for k := range 3 {
		s, c := math.Sincos(float64(k) * 2)
		i := uint32(len(points) / 3)
		points = append(points, float32(c), 0, float32(s), float32(c), 1, float32(s))
		if k == 1 {
			triangles = append(triangles, i, 0, 1, i, 1, i+1)
		} else {
			triangles = append(triangles, 0, i, i+1, 0, i+1, 1)
		}
	}
	l := laplacian(points, triangles)
	// A square of two right triangles: ½·cot 45° on each outer edge, 0 on the diagonal.
	if w := l.between(0, 1); math.Abs(w-1.5) > 1e-5 {
		t.Errorf("the shared edge weighs %v, want three halves", w)
	}
	for i := uint32(2); i < 8; i += 2 {
		if a, b, d := l.between(0, i), l.between(i, i+1), l.between(0, i+1)+l.between(1, i); math.Abs(a-.5) > 1e-5 || math.Abs(b-.5) > 1e-5 || math.Abs(d) > 1e-5 {
			t.Errorf("sheet %d: %v, %v, across %v", i/2, a, b, d)
		}
	}
}

// The maximum principle: on soup that no sheet is, every weight is ≥ 0, and none is lost:
// the energy of x is that of the triangles, each by itself.
func TestSoup(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	for round := range 60 {
		n := 4 + r.IntN(40)
		points := make([]float32, 3*n)
		for i := range points {
			points[i] = float32(r.NormFloat64())
		}
		if round%3 == 0 { // all on one plane, many on one line
			for i := range n {
				points[3*i+2] = 0
				if i%2 == 0 {
					points[3*i+1] = 0
				}
			}
		}
		if round%5 == 0 {
			points[4] = float32(math.NaN())
		}
		var triangles []uint32
		for range 3 * n {
			triangles = append(triangles, uint32(r.IntN(n)), uint32(r.IntN(n)), uint32(r.IntN(n)))
		}
		l := laplacian(points, triangles)
		for e, w := range l.Weight {
			if !(w >= 0) || math.IsInf(w, 0) {
				t.Fatalf("round %d: weight %v at %v", round, w, l.Ends[2*e:2*e+2])
			}
		}
		for _, a := range l.Area {
			if !(a >= 0) {
				t.Fatalf("round %d: area %v", round, a)
			}
		}
	}
	one := laplacian([]float32{0, 0, 0, 1, 0, 0, .3, .01, 0}, []uint32{0, 1, 2})
	if len(one.Weight) == 0 || one.of([]float64{1, 1, 1})[0] != 0 {
		t.Errorf("one sliver: %v", one)
	}
	if w := laplacian(nil, nil); len(w.Weight) != 0 {
		t.Error("nothing has weights")
	}
}

// The whole of the sum must be the surface's where triangles only were flipped: a tent of
// obtuse triangles has the energy of x that its four triangles have one by one.
func TestFlippingLosesNothing(t *testing.T) {
	points := []float32{0, 0, 0, 4, 0, 0, 2, .5, .3, 2, -.5, .3}
	triangles := []uint32{0, 1, 2, 1, 0, 3}
	l := laplacian(points, triangles)
	if l.Flips != 2 { // in front and on the back
		t.Errorf("%d flips, want 2", l.Flips)
	}
	area := l.Area[0] + l.Area[1] + l.Area[2] + l.Area[3]
	n := space.Vec{4, 0, 0}.Cross(space.Vec{2, .5, .3}).Len()
	if math.Abs(area-n) > 1e-4 {
		t.Errorf("area %v, want %v", area, n)
	}
	if w := l.between(0, 1); w != 0 {
		t.Errorf("the flipped edge still weighs %v", w)
	}
	if w := l.between(2, 3); !(w > 0) {
		t.Errorf("its other diagonal weighs %v", w)
	}
}
