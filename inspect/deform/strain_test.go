package deform

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
)

// W47–W49 (worked numbers, closed form): the golden ratio of simple shear, half of
// it, and twice a turn by 30°.
func TestPrincipal(t *testing.T) {
	s, c := math.Sincos(30 * degree)
	for _, w := range []struct {
		name        string
		f           [4]float64
		most, least float64
	}{
		{"W47", [4]float64{1, 1, 0, 1}, 1.618034, 0.618034},
		{"W48", [4]float64{1, .5, 0, 1}, 1.280776, 0.780776},
		{"W49", [4]float64{2 * c, -2 * s, 2 * s, 2 * c}, 2, 2},
		{"nothing", [4]float64{}, 0, 0},
		{"flattened", [4]float64{0, 3, 0, 4}, 5, 0},
		{"mirrored", [4]float64{-1, 0, 0, 1}, 1, 1},
		// The small one survives beside one 1e9 times larger.
		{"far apart", [4]float64{1e6, 0, 0, 1e-3}, 1e6, 1e-3},
	} {
		most, least := Principal(w.f)
		near(t, w.name, []float64{most, least}, []float64{w.most, w.least}, 5e-7*max(1, w.most))
	}
}

// W50 (worked number, closed form): gradient, stretches, area ratio, edge ratios and
// symmetric Dirichlet energy of one triangle.
func TestW50Gradient(t *testing.T) {
	rest := [3]mgl64.Vec3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}
	moved := [3]mgl64.Vec3{{0, 0, 0}, {1.2, 0, .5}, {-.1, .9, .3}}
	f, ok := Gradient(rest, moved)
	if !ok {
		t.Fatal("no gradient")
	}
	near(t, "F", f[:], []float64{1.3, .023077, 0, .953660}, 5e-7)
	most, least := Principal(f)
	near(t, "stretches", []float64{most, least}, []float64{1.300443, 0.953335}, 5e-7)
	near(t, "area", []float64{most * least}, []float64{1.239758}, 1e-6)
	edge := func(i, j int) float64 {
		return moved[j].Sub(moved[i]).Len() / rest[j].Sub(rest[i]).Len()
	}
	near(t, "edges", []float64{edge(0, 1), edge(1, 2), edge(0, 2)}, []float64{1.300000, 1.126943, 0.953939}, 5e-7)
	near(t, "Dirichlet", []float64{most*most + least*least + 1/(most*most) + 1/(least*least)}, []float64{4.291607}, 5e-6)
}

// The quick way answers what gradient and singular values answer, wherever the
// triangle lies and whatever carried it; edges are stretched by no more and no less.
func TestStrainIsTheGradients(t *testing.T) {
	draw := rand.New(rand.NewPCG(1, 2))
	corner := func(size float64) mgl64.Vec3 {
		return mgl64.Vec3{size * draw.NormFloat64(), size * draw.NormFloat64(), size * draw.NormFloat64()}
	}
	for range 2000 {
		size := math.Pow(10, 4*draw.Float64()-3)
		rest := [3]mgl64.Vec3{corner(size), corner(size), corner(size)}
		moved := [3]mgl64.Vec3{corner(size), corner(size), corner(size)}
		s, ok := NewStrain(rest)
		f, also := Gradient(rest, moved)
		if ok != also {
			t.Fatal("the two ways do not agree on what has an area")
		}
		if !ok {
			continue
		}
		most, least := Principal(f)
		u, v := moved[1].Sub(moved[0]), moved[2].Sub(moved[0])
		m2, l2 := s.Squares(u[0], u[1], u[2], v[0], v[1], v[2])
		near(t, "most", []float64{math.Sqrt(m2) / most}, []float64{1}, 1e-9)
		near(t, "least", []float64{math.Sqrt(l2) / most}, []float64{least / most}, 1e-6)
		for i, j := range [3]int{1, 2, 0} {
			e := moved[j].Sub(moved[i]).Len() / rest[j].Sub(rest[i]).Len()
			if e > most*(1+1e-9) || e < least*(1-1e-9) {
				t.Fatalf("an edge is stretched by %g, the triangle by %g to %g", e, least, most)
			}
		}
	}
}

func TestStrainOfNeedles(t *testing.T) {
	for name, rest := range map[string][3]mgl64.Vec3{
		"one place":    {{1, 2, 3}, {1, 2, 3}, {1, 2, 3}},
		"one line":     {{0, 0, 0}, {1, 1, 0}, {2, 2, 0}},
		"needle":       {{0, 0, 0}, {1, 0, 0}, {.5, 1e-5, 0}},
		"not a number": {{math.NaN(), 0, 0}, {1, 0, 0}, {0, 1, 0}},
	} {
		if _, ok := NewStrain(rest); ok {
			t.Errorf("%s: stretch was measured on it", name)
		}
	}
	if _, ok := NewStrain([3]mgl64.Vec3{{0, 0, 0}, {1, 0, 0}, {.5, 1e-3, 0}}); !ok {
		t.Error("a thin triangle has a stretch")
	}
}

func BenchmarkStrain(b *testing.B) {
	s, _ := NewStrain([3]mgl64.Vec3{{0, 0, 0}, {1, 0, 0}, {.3, 1, 0}})
	sum := 0.0
	for b.Loop() {
		most, least := s.Squares(1.2, 0, .5, -.1, .9, .3)
		sum += most + least
	}
	if sum == 0 {
		b.Fatal("nothing was measured")
	}
}

// A needle is a triangle lower than 1/10,000 of its longest edge.
func TestNeedle(t *testing.T) {
	for h, want := range map[float64]bool{1.01e-4: true, 5e-4: true, 0.99e-4: false, 2e-5: false} {
		if _, got := NewStrain([3]mgl64.Vec3{{0, 0, 0}, {1, 0, 0}, {.5, h, 0}}); got != want {
			t.Errorf("height %g: shaped %v, want %v", h, got, want)
		}
	}
}

// Simple shear by 1 stretches by the golden ratio, 1.618034 (closed form), its square is
// 2.618034; and of random triangles Within says what Squares does.
func TestWithin(t *testing.T) {
	s, ok := NewStrain([3]mgl64.Vec3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}})
	if !ok {
		t.Fatal("no area")
	}
	for limit, want := range map[float64]bool{2.61802: false, 2.61805: true, 1: false, 9: true, .3: false} {
		if got := s.Within(limit, 1, 0, 0, 1, 1, 0); got != want {
			t.Errorf("sheared, within %g: %v", limit, got)
		}
	}
	if nan := math.NaN(); s.Within(9, nan, 0, 0, 1, 1, 0) || s.Within(nan, 1, 0, 0, 1, 1, 0) || s.Within(9, math.Inf(1), 0, 0, 1, 1, 0) {
		t.Error("no number is within a limit")
	}
	random := rand.New(rand.NewPCG(1, 2))
	v := func() mgl64.Vec3 { return mgl64.Vec3{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()} }
	within := 0
	for range 20_000 {
		s, ok := NewStrain([3]mgl64.Vec3{v(), v(), v()})
		if !ok {
			continue
		}
		e, f, limit := v(), v(), 40*random.Float64()*random.Float64()
		most, _ := s.Squares(e[0], e[1], e[2], f[0], f[1], f[2])
		got := s.Within(limit, e[0], e[1], e[2], f[0], f[1], f[2])
		if got {
			within++
		}
		if got && most > limit || !got && most < limit*(1-2e-6) {
			t.Fatalf("most %.9g, limit %.9g: within %v", most, limit, got)
		}
	}
	if within < 2000 {
		t.Errorf("only %d within", within)
	}
}
