package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

// The fast sum agrees with the exact one within 0.02: on a closed sphere, on its half, and
// on two spheres that cross, near the surface and far off. Inside and outside of the
// closed one are 1 and 0 by themselves (Jacobson, Kavan, Sorkine-Hornung 2013), and the
// centre of a half sphere sees half of all directions.
func TestWindings(t *testing.T) {
	points, triangles := icosphere(3)
	half := []uint32{}
	for i := 0; i < len(triangles); i += 3 {
		if space.At(points, triangles[i])[1]+space.At(points, triangles[i+1])[1]+space.At(points, triangles[i+2])[1] > 0 {
			half = append(half, triangles[i:i+3]...)
		}
	}
	two, both := append([]float32{}, points...), append([]uint32{}, triangles...)
	for i := 0; i < len(points); i += 3 {
		two = append(two, points[i]+1, points[i+1], points[i+2])
	}
	for _, v := range triangles {
		both = append(both, v+uint32(len(points)/3))
	}
	r := rand.New(rand.NewPCG(8, 8))
	for _, row := range []struct {
		name      string
		points    []float32
		triangles []uint32
	}{{"sphere", points, triangles}, {"half a sphere", points, half}, {"two that cross", two, both}} {
		w := NewWindings(row.points, row.triangles, nil)
		worst := 0.0
		for range 1000 {
			p := space.Vec{r.Float64()*5 - 2.5, r.Float64()*3 - 1.5, r.Float64()*3 - 1.5}
			worst = max(worst, math.Abs(w.At(p)-Winding(row.points, row.triangles, p)))
		}
		if worst > 0.02 {
			t.Errorf("%s: off by %.3g", row.name, worst)
		}
		t.Logf("%s: off by %.2g at most", row.name, worst)
	}
	w := NewWindings(points, triangles, nil)
	for _, row := range []struct {
		p    space.Vec
		want float64
	}{{space.Vec{}, 1}, {space.Vec{.5, .5, .5}, 1}, {space.Vec{0, 1.2, 0}, 0}, {space.Vec{30, 0, 0}, 0}} {
		if got := w.At(row.p); math.Abs(got-row.want) > 0.01 {
			t.Errorf("at %v %.3f, want %v", row.p, got, row.want)
		}
	}
	if got := NewWindings(points, half, nil).At(space.Vec{}); math.Abs(got-.5) > 0.02 {
		t.Errorf("half a sphere from its centre: %.3f", got)
	}
	if got := NewWindings(nil, nil, nil).At(space.Vec{}); got != 0 {
		t.Error("nothing goes round", got)
	}
}

// A sphere of radius 1 holds 4π/3, whichever way its faces look, with its top cut off, and
// crossed by another; two rods 0.06 apart on a grid of 0.05 stay two, where cubes that a triangle
// passes through make them one.
func TestInner(t *testing.T) {
	points, triangles := icosphere(3)
	volume := func(s *Solid) float64 {
		n := 0
		for _, in := range s.In {
			if in {
				n++
			}
		}
		return float64(n) * s.Cell * s.Cell * s.Cell
	}
	want := 4 * math.Pi / 3
	if got := volume(NewInner(points, triangles, 60, nil)); math.Abs(got/want-1) > .02 {
		t.Errorf("a sphere holds %.3f, want %.3f", got, want)
	}
	var turned, open []uint32
	for i := 0; i < len(triangles); i += 3 {
		turned = append(turned, triangles[i], triangles[i+2], triangles[i+1])
		if space.At(points, triangles[i])[1] < .9 {
			open = append(open, triangles[i:i+3]...)
		}
	}
	if got := volume(NewInner(points, turned, 60, nil)); math.Abs(got/want-1) > .02 {
		t.Errorf("turned over it holds %.3f", got)
	}
	// A cap of height 0.1 is 0.031 m³ (π h² (3 − h) / 3).
	if got := volume(NewInner(points, open, 60, nil)); math.Abs(got-(want-.03)) > .05 {
		t.Errorf("open on top it holds %.3f", got)
	}

	p, tri := block(space.Vec{-1, 0, 0}, space.Vec{1, .2, .2})
	q, more := block(space.Vec{-1, .26, 0}, space.Vec{1, .46, .2})
	for _, v := range more {
		tri = append(tri, v+uint32(len(p)/3))
	}
	p = append(p, q...)
	apart := func(s *Solid) bool {
		far, _ := s.Distances([]int32{int32(s.Index(space.Vec{0, .1, .1}))})
		return math.IsInf(float64(far[s.Index(space.Vec{0, .36, .1})]), 1)
	}
	s := NewInner(p, tri, 40, nil)
	if !apart(s) || apart(NewSolid(p, tri, 40, nil)) {
		t.Error("two rods side by side are one")
	}
	if n := s.Bridge(.03); n != 0 || !apart(s) {
		t.Error("joined over more air than was allowed")
	}
	if n := s.Bridge(.2); n != 1 || apart(s) {
		t.Errorf("%d rows join two rods", n)
	}
	if NewInner(nil, nil, 40, nil) != nil {
		t.Error("nothing has an inside")
	}
}

func BenchmarkWindings(b *testing.B) {
	points, triangles := icosphere(6) // 82k triangles
	w := NewWindings(points, triangles, nil)
	b.ResetTimer()
	for range b.N {
		w.At(space.Vec{1, 0, 0})
	}
}

// The angle of a product of complex numbers is the sum of their angles (de Moivre), whole
// turns counted: against the angles added up one by one, also along the axes, where a sum
// is half a turn exactly and rounding might make a turn of its own.
func TestTurning(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	for round := range 2000 {
		sum, all := 0.0, turning{re: 1}
		for i := range 1 + r.IntN(40) {
			re, im := r.NormFloat64(), r.NormFloat64()
			switch r.IntN(6) {
			case 0:
				re = 0
			case 1:
				im = 0
			case 2:
				re, im = float64(r.IntN(3)-1), float64(r.IntN(3)-1)
			case 3:
				im *= 1e-18
			}
			size := math.Pow(10, float64(r.IntN(24)-12))
			if all.turn(re*size, im*size); im != 0 || re < 0 {
				sum += math.Atan2(im, re)
			}
			if i%6 == 5 {
				all.shorten()
			}
		}
		if off := math.Abs(all.angle() - sum); off > 1e-9 {
			t.Fatalf("round %d: %.12g, added up %.12g", round, all.angle(), sum)
		}
	}
}

// Near a surface of few triangles nothing is taken from afar: the quick sum is the exact one
// to rounding. In a triangle itself either side is right: there they may be 1 apart.
func TestWindingsExactNearby(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 200 {
		var points []float32
		var triangles []uint32
		for v := range 9 + 3*r.IntN(60) {
			points = append(points, float32(r.IntN(9)-4), float32(r.IntN(9)-4), float32(r.IntN(9)-4))
			triangles = append(triangles, uint32(v))
		}
		w := NewWindings(points, triangles[:len(triangles)/3*3], nil)
		for i := range w.sheet {
			w.sheet[i].far = math.Inf(1)
		}
		onOne := func(p space.Vec) bool {
			_, on := NewTriangles(points, triangles).Closest(p, 1e-12)
			return on
		}
		for range 50 {
			p := space.Vec{float64(r.IntN(9) - 4), float64(r.IntN(9)-4) / 2, r.NormFloat64()}
			if got, want := w.At(p), Winding(points, triangles, p); math.Abs(got-want) > 1e-12 && !(math.Abs(math.Abs(got-want)-1) < 1e-12 && onOne(p)) {
				t.Fatalf("at %v %.15g, want %.15g", p, got, want)
			}
		}
	}
}
