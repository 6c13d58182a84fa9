package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Against looking at every point.
func TestNearest(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	random := func(n int, spread float64) []float32 {
		p := make([]float32, 3*n)
		for i := range p {
			p[i] = float32(r.NormFloat64() * spread)
		}
		return p
	}
	crowd := append(random(500, 1e-6), random(20, 10)...)
	same := make([]float32, 3*400)
	for _, row := range []struct {
		name   string
		points []float32
	}{
		{"none", nil},
		{"one", []float32{1, 2, 3}},
		{"cloud", random(1000, 1)},
		{"crowd in a corner", crowd},
		{"all in one place", same},
		{"a line", []float32{0, 0, 0, 1, 0, 0, 2, 0, 0, 3, 0, 0, 4, 0, 0, 5, 0, 0, 6, 0, 0, 7, 0, 0}},
	} {
		tree := NewTree(row.points)
		for range 200 {
			x, y, z := float32(r.NormFloat64()), float32(r.NormFloat64()), float32(r.NormFloat64())
			want := float32(math.Inf(1))
			for i := 0; i < len(row.points); i += 3 {
				dx, dy, dz := row.points[i]-x, row.points[i+1]-y, row.points[i+2]-z
				want = min(want, dx*dx+dy*dy+dz*dz)
			}
			id, got := tree.Nearest(x, y, z, float32(math.Inf(1)))
			if got != want || (id < 0) != (len(row.points) == 0) {
				t.Fatalf("%s: nearest of %g %g %g: square %g (id %d), want %g", row.name, x, y, z, got, id, want)
			}
			if id, _ := tree.Nearest(x, y, z, want); id >= 0 {
				t.Fatalf("%s: found point %d not nearer than the limit", row.name, id)
			}
		}
	}
}

func TestNearestLeavesOutWhatIsNotFinite(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	tree := NewTree([]float32{nan, 0, 0, 0, inf, 0, 1, 1, 1, 0, 0, -inf})
	if id, _ := tree.Nearest(0, 0, 0, inf); id != 2 {
		t.Errorf("nearest is %d, want 2", id)
	}
}
