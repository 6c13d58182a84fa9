package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

// One triangle, every region of its plane: distances by hand.
func TestClosestOnTriangle(t *testing.T) {
	points := []float32{0, 0, 0, 4, 0, 0, 0, 3, 0}
	s := NewTriangles(points, []uint32{0, 1, 2})
	for _, row := range []struct {
		name     string
		p        [3]float64
		at       [3]float64
		distance float64
	}{
		{"above the inside", [3]float64{1, 1, 2}, [3]float64{5. / 12, 1. / 4, 1. / 3}, 2},
		{"corner a", [3]float64{-3, -4, 0}, [3]float64{1, 0, 0}, 5},
		{"corner b", [3]float64{7, 0, 4}, [3]float64{0, 1, 0}, 5},
		{"corner c", [3]float64{0, 8, 12}, [3]float64{0, 0, 1}, 13},
		{"edge ab", [3]float64{1, -3, 4}, [3]float64{.75, .25, 0}, 5},
		{"edge ac", [3]float64{-2, 1, 0}, [3]float64{2. / 3, 0, 1. / 3}, 2},
		{"edge bc", [3]float64{2 + 3, 1.5 + 4, 0}, [3]float64{0, .5, .5}, 5}, // 5 along the normal (3,4)/5
	} {
		hit, ok := s.Closest(row.p, 100)
		if !ok {
			t.Fatalf("%s: nothing found", row.name)
		}
		near(t, row.name+": at", hit.At[:], row.at[:], 1e-12)
		near(t, row.name+": distance", []float64{hit.Distance}, []float64{row.distance}, 1e-12)
		if _, ok := s.Closest(row.p, row.distance*0.999); ok {
			t.Errorf("%s: found beyond the limit", row.name)
		}
		if _, ok := s.Closest(row.p, row.distance*1.001); !ok {
			t.Errorf("%s: not found within the limit", row.name)
		}
	}
}

// Against looking at every triangle.
func TestClosest(t *testing.T) {
	points, triangles := lump(3)
	// Some without area: all corners equal, and all on a line.
	triangles = append(triangles, 0, 0, 0, 5, 5, 9)
	s := NewTriangles(points, triangles)
	r := rand.New(rand.NewPCG(11, 12))
	for range 300 {
		p := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		want := math.Inf(1)
		for i := 0; i < len(triangles); i += 3 {
			a, b, c := at(points, triangles[i]), at(points, triangles[i+1]), at(points, triangles[i+2])
			u := closestOnTriangle(p, a, b, c)
			q := add(add(scaled(a, u[0]), scaled(b, u[1])), scaled(c, u[2]))
			want = min(want, norm(sub(p, q)))
		}
		hit, ok := s.Closest(p, math.Inf(1))
		if !ok || math.Abs(hit.Distance-want) > 1e-12 {
			t.Fatalf("closest to %v: %v, want %v", p, hit.Distance, want)
		}
	}
	if _, ok := NewTriangles(nil, nil).Closest([3]float64{}, math.Inf(1)); ok {
		t.Error("found a point of nothing")
	}
	nan := float32(math.NaN())
	if _, ok := NewTriangles([]float32{nan, 0, 0, 1, 0, 0, 0, 1, 0}, []uint32{0, 1, 2}).Closest([3]float64{}, math.Inf(1)); ok {
		t.Error("found a triangle that is nowhere")
	}
}
