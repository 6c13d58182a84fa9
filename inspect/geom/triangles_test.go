package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

// One triangle, every region of its plane: distances by hand.
func TestClosestOnTriangle(t *testing.T) {
	points := []float32{0, 0, 0, 4, 0, 0, 0, 3, 0}
	s := NewTriangles(points, []uint32{0, 1, 2})
	for _, row := range []struct {
		name     string
		p        space.Vec
		at       space.Vec
		distance float64
	}{
		{"above the inside", space.Vec{1, 1, 2}, space.Vec{5. / 12, 1. / 4, 1. / 3}, 2},
		{"corner a", space.Vec{-3, -4, 0}, space.Vec{1, 0, 0}, 5},
		{"corner b", space.Vec{7, 0, 4}, space.Vec{0, 1, 0}, 5},
		{"corner c", space.Vec{0, 8, 12}, space.Vec{0, 0, 1}, 13},
		{"edge ab", space.Vec{1, -3, 4}, space.Vec{.75, .25, 0}, 5},
		{"edge ac", space.Vec{-2, 1, 0}, space.Vec{2. / 3, 0, 1. / 3}, 2},
		{"edge bc", space.Vec{2 + 3, 1.5 + 4, 0}, space.Vec{0, .5, .5}, 5}, // 5 along the normal (3,4)/5
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
		p := space.Vec{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		want := math.Inf(1)
		for i := 0; i < len(triangles); i += 3 {
			a, b, c := space.At(points, triangles[i]), space.At(points, triangles[i+1]), space.At(points, triangles[i+2])
			u := closestOnTriangle(p, a, b, c)
			q := a.Mul(u[0]).Add(b.Mul(u[1])).Add(c.Mul(u[2]))
			want = min(want, p.Sub(q).Len())
		}
		hit, ok := s.Closest(p, math.Inf(1))
		if !ok || math.Abs(hit.Distance-want) > 1e-12 {
			t.Fatalf("closest to %v: %v, want %v", p, hit.Distance, want)
		}
	}
	if _, ok := NewTriangles(nil, nil).Closest(space.Vec{}, math.Inf(1)); ok {
		t.Error("found a point of nothing")
	}
	nan := float32(math.NaN())
	if _, ok := NewTriangles([]float32{nan, 0, 0, 1, 0, 0, 0, 1, 0}, []uint32{0, 1, 2}).Closest(space.Vec{}, math.Inf(1)); ok {
		t.Error("found a triangle that is nowhere")
	}
}
