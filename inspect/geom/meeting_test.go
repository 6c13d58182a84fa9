package geom

import (
	"math"
	"testing"
)

// seam is two strips of squares with edges of 1, a gap between them: one of n squares,
// whose far border lies at y = −1, and one of k, turned about the seam so that it makes
// an angle with the first: 180° goes straight on, 0° lies on it as the hem of a cloth.
func seam(n, k int, gap, degrees float64) (points []float32, triangles []uint32) {
	strip := func(n int, near, far [3]float64, flip bool) {
		base := uint32(len(points) / 3)
		for i := range n + 1 {
			for _, at := range [2][3]float64{near, far} {
				points = append(points, float32(i), float32(at[1]), float32(at[2]))
			}
		}
		for i := range uint32(n) {
			a, b, c, d := base+2*i, base+2*i+1, base+2*i+2, base+2*i+3
			if flip {
				triangles = append(triangles, a, c, b, b, c, d)
			} else {
				triangles = append(triangles, a, b, c, b, d, c)
			}
		}
	}
	s, c := math.Sincos(degrees * math.Pi / 180)
	strip(n, [3]float64{0, 0, 0}, [3]float64{0, -1, 0}, false)
	strip(k, [3]float64{0, gap, 0}, [3]float64{0, gap - c, s}, true)
	return points, triangles
}

func meetings(points []float32, triangles []uint32, reach float64) int {
	edges := FindEdges(triangles, len(points)/3, nil)
	out, _ := MeetingEdges(points, triangles, edges, reach, 1e6, nil)
	return len(out)
}

// The three rules by which open edges meet, each on both sides of its number, which is
// derived where it stands: a third of the shorter edge, cos 30°, six edges or a quarter.
func TestMeetingEdges(t *testing.T) {
	for _, c := range []struct {
		name         string
		n, k         int
		gap, degrees float64
		reach        float64
		want         int
	}{
		{name: "a gap of 0.32 of an edge", n: 10, k: 10, gap: .32, degrees: 180, reach: 1, want: 20},
		{name: "a gap of 0.34 of an edge", n: 10, k: 10, gap: .34, degrees: 180, reach: 1},
		{name: "within the reach", n: 10, k: 10, gap: .1, degrees: 180, reach: .11, want: 20},
		{name: "beyond the reach", n: 10, k: 10, gap: .1, degrees: 180, reach: .09},
		{name: "folded to 45°", n: 10, k: 10, gap: .01, degrees: 45, reach: 1, want: 20},
		{name: "folded to 31°", n: 10, k: 10, gap: .01, degrees: 31, reach: 1, want: 20},
		{name: "folded to 29°: a hem", n: 10, k: 10, gap: .01, degrees: 29, reach: 1},
		// Of a border of 82 edges five are too few, of one of twelve they are enough.
		{name: "five of a long border", n: 40, k: 5, gap: .1, degrees: 180, reach: 1, want: 5},
		{name: "six of a long border", n: 40, k: 6, gap: .1, degrees: 180, reach: 1, want: 12},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, tri := seam(c.n, c.k, c.gap, c.degrees)
			if got := meetings(p, tri, c.reach); got != c.want {
				t.Errorf("%d edges meet, want %d", got, c.want)
			}
		})
	}
}
