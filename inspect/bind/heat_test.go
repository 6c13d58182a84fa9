package bind

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// path is five places in a row, joined by 1.
func path(t *testing.T, sources []Source) [][]float64 {
	t.Helper()
	out := make([][]float64, 3)
	ones := []float64{1, 1, 1, 1, 1}
	err := Equilibrium(5, []uint32{0, 1, 1, 2, 2, 3, 3, 4}, ones[:4], ones, sources, nil, func(j int32, w []float64) {
		out[j] = append([]float64(nil), w...)
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Five places in a row and who is nearest to each, worked by hand as fractions (a system of
// five equations each): AA·BB with a tie in the middle, with the middle unseen, at twice the
// distance; AAABB; AABCC.
func TestPath(t *testing.T) {
	one := func(j int32, heat float64) Source { return Source{heat, []int32{j}, []float64{1}} }
	tie := func(heat float64) Source { return Source{heat, []int32{0, 1}, []float64{.5, .5}} }
	for _, row := range []struct {
		name    string
		sources []Source
		joint   int
		want    [5]float64
	}{
		{"tie", []Source{one(0, 1), one(0, 1), tie(2), one(1, 1), one(1, 1)}, 0, [5]float64{.9, .8, .5, .2, .1}},
		{"middle unseen", []Source{one(0, 1), one(0, 1), {}, one(1, 1), one(1, 1)}, 0, [5]float64{.9, .8, .5, .2, .1}},
		{"twice as far", []Source{one(0, .25), one(0, .25), tie(.5), one(1, .25), one(1, .25)}, 0, [5]float64{21. / 29, 19. / 29, .5, 10. / 29, 8. / 29}},
		{"three and two", []Source{one(0, 1), one(0, 1), one(0, 1), one(1, 1), one(1, 1)}, 0, [5]float64{52. / 55, 49. / 55, 40. / 55, 16. / 55, 8. / 55}},
		{"three joints, the middle one", []Source{one(0, 1), one(0, 1), one(1, 1), one(2, 1), one(2, 1)}, 1, [5]float64{1. / 11, 2. / 11, 5. / 11, 2. / 11, 1. / 11}},
		{"three joints, the first", []Source{one(0, 1), one(0, 1), one(1, 1), one(2, 1), one(2, 1)}, 0, [5]float64{47. / 55, 39. / 55, 15. / 55, 6. / 55, 3. / 55}},
	} {
		w := path(t, row.sources)[row.joint]
		for i := range w {
			if math.Abs(w[i]-row.want[i]) > 1e-12 {
				t.Errorf("%s: %v, want %v", row.name, w, row.want)
				break
			}
		}
	}
}

// On any graph: sums are 1 without any dividing, no weight is negative.
func TestWhole(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		n := 30 + r.IntN(200)
		var ends []uint32
		var weight []float64
		for i := 1; i < n; i++ {
			ends, weight = append(ends, uint32(i), uint32(r.IntN(i)), uint32(r.IntN(n)), uint32(r.IntN(n))), append(weight, r.Float64(), 3*r.Float64())
		}
		area, sources := make([]float64, n), make([]Source, n)
		for i := range area {
			area[i] = 1e-3 + r.Float64()
			if i == 0 || r.IntN(3) == 0 {
				sources[i] = Source{r.ExpFloat64() * 10, []int32{int32(r.IntN(19)), 20}, []float64{.25, .75}}
			}
		}
		sum := make([]float64, n)
		if err := Equilibrium(n, ends, weight, area, sources, nil, func(_ int32, w []float64) {
			for i, x := range w {
				sum[i] += x
				if x < -1e-9 {
					t.Fatalf("weight %v", x)
				}
			}
		}); err != nil {
			t.Fatal(err)
		}
		for i, s := range sum {
			if math.Abs(s-1) > 1e-9 {
				t.Fatalf("place %d sums to %v", i, s)
			}
		}
	}
	if err := Equilibrium(2, []uint32{0, 1}, []float64{1}, []float64{1, 1}, make([]Source, 2), nil, nil); err == nil {
		t.Error("nothing is warm, and yet there was an answer")
	}
}

// tube is open, along x, with places on rings.
func tube(from, to, radius float64, rings, sides int) (points []float32, triangles []uint32) {
	for i := range rings {
		x := from + (to-from)*float64(i)/float64(rings-1)
		for k := range sides {
			s, c := math.Sincos(2 * math.Pi * float64(k) / float64(sides))
			points = append(points, float32(x), float32(radius*c), float32(radius*s))
		}
	}
	for i := range rings - 1 {
		for k := range sides {
			a, b := uint32(i*sides+k), uint32(i*sides+(k+1)%sides)
			c, d := a+uint32(sides), b+uint32(sides)
			triangles = append(triangles, a, b, c, b, d, c)
		}
	}
	return points, triangles
}

// capped closes both ends with fans.
func capped(points []float32, triangles []uint32, sides int) ([]float32, []uint32) {
	for end := range 2 {
		first := end * (len(points)/3 - end - sides)
		var x, y, z float32
		for k := range sides {
			x, y, z = x+points[3*(first+k)]/float32(sides), y+points[3*(first+k)+1]/float32(sides), z+points[3*(first+k)+2]/float32(sides)
		}
		middle := uint32(len(points) / 3)
		points = append(points, x, y, z)
		for k := range sides {
			a, b := uint32(first+k), uint32(first+(k+1)%sides)
			if end == 0 {
				triangles = append(triangles, middle, b, a)
			} else {
				triangles = append(triangles, middle, a, b)
			}
		}
	}
	return points, triangles
}

// A long tube of radius 1 with two bones on its axis that meet in the middle, c = 1. Between
// rings a quarter of the radius apart the weight falls by 0.779304445 a ring (the three-point
// difference of w” = w, worked by hand); with rings closer and closer it is ½e^(−x/r) (Baran,
// Popović 2007, §4 in one dimension): 0.389400 at .25, 0.303265 at .5, 0.183940 at 1,
// 0.067668 at 2, 0.024894 at 3.
func TestTube(t *testing.T) {
	const sides = 24
	at := func(step float64, c float64) map[float64]float64 {
		rings := int(math.Round(16/step)) + 1
		points, triangles := tube(-8, 8, 1, rings, sides)
		f := New(points, triangles, Joints{At: vecs(-8, 0, 0, 0, 0, 0, 8, 0, 0), Parent: []int{-1, 0, 1}}, nil)
		b, err := f.Bind(Options{Narrow: c})
		if err != nil {
			t.Fatal(err)
		}
		out := map[float64]float64{}
		for i := range rings {
			x := math.Round((-8+16*float64(i)/float64(rings-1))*1e6) / 1e6
			if x < 4 { // the last joint stands at the far end
				out[x] = b.Rows.of(i*sides, 0)
			}
		}
		return out
	}
	w := at(.25, 1)
	for x := .25; x < 3; x += .25 {
		if r := w[x+.25] / w[x]; math.Abs(r-0.779304445) > 2e-5 {
			t.Errorf("from %.2f a ring further: %.6f, want 0.779304", x, r)
		}
	}
	fine := at(1./32, 1)
	for x, want := range map[float64]float64{.25: .389400, .5: .303265, 1: .183940, 2: .067668, 3: .024894, -1: .816060} {
		if got := fine[x]; math.Abs(got-want) > 5e-4 {
			t.Errorf("at %.2f: %.6f, want %.6f", x, got, want)
		}
	}
	// c = 4 is a tube of half the radius: ½e^(−2x).
	if got := at(1./32, 4)[.5]; math.Abs(got-.183940) > 1e-3 {
		t.Errorf("c = 4 at .5: %.6f, want 0.183940", got)
	}
}

// An answer by the tries of the one who looks: done rises to 1, and an error ends the work.
func TestLookEnds(t *testing.T) {
	points, triangles := tube(-8, 8, 1, 400, 40)
	f := New(points, triangles, Joints{At: vecs(-8, 0, 0, 0, 0, 0, 8, 0, 0), Parent: []int{-1, 0, 1}}, nil)
	last := -1.0
	if _, err := f.Bind(Options{Narrow: 4, Look: func(d float64) error {
		if d < last-1 || d > 1 {
			t.Fatalf("%v after %v", d, last)
		}
		last = d
		return nil
	}}); err != nil || last != 1 {
		t.Errorf("%v, told %v at the end", err, last)
	}
	enough := errors.New("enough")
	if _, err := f.Bind(Options{Narrow: 4, Look: func(float64) error { return enough }}); !errors.Is(err, enough) {
		t.Errorf("ended with %v", err)
	}
}
