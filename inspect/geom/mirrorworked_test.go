package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/space"
)

// How alike a set of points and its image over a plane are, by Podolak et al. 2006:
// PRST² = 1 − d²/‖f‖² = ½ + ½·⟨f, γf⟩/‖f‖², f being 1 at the points. ⟨f, γf⟩/‖f‖² is
// the share of the points whose image is a point again. Worked numbers, closed form.
func TestSymmetryOfPodolak(t *testing.T) {
	const n = 500
	plane := Plane{space.Vec{1. / 3, 2. / 3, 2. / 3}, .5}
	for _, row := range []struct {
		name    string
		overlap float64
		want    float64
	}{
		{"PRST exact symmetry", 1, 1},
		{"PRST overlap .8", .8, .948683},
		{"PRST disjoint images", 0, .707107},
	} {
		random := rand.New(rand.NewPCG(3, 4))
		var p []float32
		point := func(q space.Vec) { p = append(p, float32(q[0]), float32(q[1]), float32(q[2])) }
		place := func() (q space.Vec) { // in front of the plane
			for ok := false; !ok; ok = plane.Side(q) > .01 {
				for k := range q {
					q[k] = 2*random.Float64() - 1
				}
			}
			return q
		}
		for range int(row.overlap * n / 2) {
			q := place()
			point(q)
			point(plane.Reflect(q))
		}
		for len(p) < 3*n { // without an image
			point(place())
		}
		tree := NewTree(p)
		shared := 0
		for i := range n {
			q := plane.Reflect(space.Vec{float64(p[3*i]), float64(p[3*i+1]), float64(p[3*i+2])})
			if j, _ := tree.Nearest(float32(q[0]), float32(q[1]), float32(q[2]), 1e-10); j >= 0 {
				shared++
			}
		}
		near(t, row.name, []float64{math.Sqrt(.5 + .5*float64(shared)/n)}, []float64{row.want}, 1e-6)
		if row.overlap < .5 {
			continue // another plane may be as good
		}
		m := FindMirror(Shape{Points: p, Pairs: [][2]space.Vec{{{0, 0, 0}, plane.Reflect(space.Vec{})}}})
		near(t, row.name+": normal found", []float64{math.Abs(m.Normal.Dot(plane.Normal))}, []float64{1}, 1e-6)
		// Points without an image may have one by chance within the reach of partners.
		if share := 1 - m.UnmatchedShare; share < row.overlap-1e-9 || share > row.overlap+.1 {
			t.Errorf("%s: %.3f of the points matched, want %.1f", row.name, share, row.overlap)
		}
	}
}

// W72 (worked number, closed form): the plane is found from the mirrored set, it holds
// the centroid, its normal is an eigenvector of the covariance, and the odd third
// moments about it vanish; the converse is false, see below.
func TestMomentsOfSymmetry(t *testing.T) {
	var p []float32
	for _, q := range []space.Vec32{{.5, 1.2, .1}, {.3, .4, -.2}, {.1, 1.7, .05}} {
		p = append(p, q[0], q[1], q[2], -q[0], q[1], q[2])
	}
	for _, row := range []struct {
		name    string
		axis    space.Vec
		degrees float64
		shift   space.Vec
	}{
		{"W72", space.Vec{0, 1, 0}, 0, space.Vec{}},
		{"W72 turned", space.Vec{1, 2, 3}, 50, space.Vec{.25, -.5, .125}},
	} {
		points := turned(p, row.axis, row.degrees, 1, row.shift)
		m := PointMoments(points)
		axes, values := Axes(m.Cov)
		// The eigenvalue of the plane's own normal is .116667 (x decouples).
		near(t, row.name+": eigenvalue across", []float64{values[1]}, []float64{.116667}, 1e-6)
		n := axes[1]
		third := 0.
		for i := 0; i < len(points); i += 3 {
			u := n.Dot(space.Vec{float64(points[i]), float64(points[i+1]), float64(points[i+2])}.Sub(m.Centre))
			third += u * u * u
		}
		near(t, row.name+": third moment across", []float64{third}, []float64{0}, 1e-6)
		found := FindMirror(Shape{Points: points})
		near(t, row.name+": normal found", []float64{math.Abs(found.Normal.Dot(n))}, []float64{1}, 1e-5)
		near(t, row.name+": the centroid is on the plane", []float64{found.Side(m.Centre)}, []float64{0}, 1e-5)
		if found.Unmatched != 0 || found.Pairs != 3 {
			t.Errorf("%s: %d pairs, %d without a partner", row.name, found.Pairs, found.Unmatched)
		}
	}
}

// A solid box 1 × .5 × 1.8 has variances a²/12: .083333, .020833, .27, here of the
// middles of a grid's cells, which have (1 − 1/n²) of that.
func TestMomentsOfASolidBox(t *testing.T) {
	const n = 20
	var p []float32
	for i := range n * n * n {
		for k, side := range [3]float64{1, .5, 1.8} {
			x := i
			for range k {
				x /= n
			}
			p = append(p, float32(side*((float64(x%n)+.5)/n-.5)))
		}
	}
	share := 1 - 1./(n*n)
	m := PointMoments(p)
	near(t, "solid box", m.Cov[:], []float64{.083333 * share, 0, 0, .020833 * share, 0, .27 * share}, 1e-6)
	axes, values := Axes(m.Cov)
	near(t, "solid box, axes", []float64{math.Abs(axes[0][2]), math.Abs(axes[1][0]), math.Abs(axes[2][1])}, []float64{1, 1, 1}, 1e-9)
	near(t, "solid box, values", values[:], []float64{.27 * share, .083333 * share, .020833 * share}, 1e-6)
}

// The converse is false: an eigenvector of the covariance through the centroid need not
// be the normal of a mirror plane. Right-angled corners of unlike length have no
// plane across their principal axes; the third moment tells.
func TestEigenvectorWithoutMirror(t *testing.T) {
	p := []float32{0, 0, 0, 3, 0, 0, 0, 2, 0, 0, 0, 1, 1, 2, 3}
	m := PointMoments(p)
	axes, _ := Axes(m.Cov)
	for i, n := range axes {
		third := 0.
		for k := 0; k < len(p); k += 3 {
			u := n.Dot(space.Vec{float64(p[k]), float64(p[k+1]), float64(p[k+2])}.Sub(m.Centre))
			third += u * u * u
		}
		if math.Abs(third) < 1e-3 {
			t.Errorf("axis %d: third moment %g: the example is symmetric", i, third)
		}
	}
	if f := FindMirror(Shape{Points: p}); f.Found && f.Unmatched == 0 && f.Largest < 1e-6 {
		t.Errorf("a mirror plane of a shape without one: %+v", f)
	}
}

// TestNearAsTheTree: once over the triangles finds the places near a surface that the tree of
// triangles finds, with corners that are no number, needles and places at the limit between.
func TestNearAsTheTree(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 1))
	for round := range 30 {
		var points []float32
		var triangles []uint32
		for range 300 {
			at := [3]float32{rng.Float32() * 10, rng.Float32() * 10, rng.Float32() * 10}
			for range 3 {
				triangles = append(triangles, uint32(len(points)/3))
				for c := range 3 {
					points = append(points, at[c]+rng.Float32()*float32(1+round%4))
				}
			}
		}
		points[7], points[3*100+1] = float32(math.NaN()), float32(math.Inf(1))
		copy(points[90:93], points[93:96]) // two corners in one place
		var places []space.Vec
		for range 400 {
			places = append(places, space.Vec{rng.Float64() * 12, rng.Float64() * 12, rng.Float64() * 12})
		}
		reach, want := .1+float64(round)/10, 0
		tree := newTriangles(points, triangles, nil)
		for _, p := range places {
			if _, ok := tree.Closest(p, reach); ok {
				want++
			}
		}
		f := &finder{points: points}
		if got := f.near(places, triangles, reach); got != want || want == 0 || round < 5 && want == len(places) {
			t.Errorf("reach %g: %d places, want %d of %d", reach, got, want, len(places))
		}
	}
}
