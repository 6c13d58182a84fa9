package bind

import (
	"math"
	"testing"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// beam is a tube along x with a joint in its middle and two on either side, no two rings
// alike by side.
func beam(sided bool) (*Figure, int) {
	var s shape
	p, t := tube(-1.3, 1.3, .2, 53, 16)
	s.add(capped(p, t, 16))
	j := Joints{At: vecs(0, -.05, 0, .04, 0, 0, .8, 0, 0, -.04, 0, 0, -.8, 0, 0), Parent: []int{-1, 0, 1, 0, 3}}
	if sided {
		j.Middle, j.Partner = &geom.Plane{Normal: space.Vec{1, 0, 0}}, []int{0, 3, 4, 1, 2}
	}
	return New(s.points, s.triangles, j, nil), len(s.points) / 3
}

// Beyond the middle nothing hangs on the other side's joints, it hangs on what both hang on;
// without sides it does, so the test sees something. What stands opposite has the same
// weights with partners exchanged.
func TestSides(t *testing.T) {
	over := func(f *Figure, b *Bound) (most float64) {
		for v := range f.Of {
			x := float64(f.Points[3*v])
			if math.Abs(x) < .056 { // 2 % of the diagonal, worked out: √(2.6² + .4² + .4²) = 2.66
				continue
			}
			for j := int32(1); j < 5; j++ {
				if (x > 0) == (j > 2) {
					most = max(most, b.Rows.of(v, j))
				}
			}
		}
		return most
	}
	plain, _ := beam(false)
	if most := over(plain, sound(t, "without sides", plain, nil)); most < .05 {
		t.Errorf("without sides only %v goes across: the test sees nothing", most)
	}
	f, _ := beam(true)
	b := sound(t, "with sides", f, nil)
	if most := over(f, b); most > 1e-9 {
		t.Errorf("%v hangs across the middle", most)
	}
	hips, middle := 0.0, 0
	for v := range f.Of {
		x := f.Points[3*v : 3*v+3]
		for q := range f.Of {
			y := f.Points[3*q : 3*q+3]
			if math.Abs(float64(x[0]+y[0])) < 1e-6 && math.Abs(float64(x[1]-y[1])) < 1e-6 && math.Abs(float64(x[2]-y[2])) < 1e-6 {
				for j, k := range []int32{0, 3, 4, 1, 2} {
					if d := b.Rows.of(v, int32(j)) - b.Rows.of(q, k); math.Abs(d) > 1e-9 {
						t.Fatalf("opposite places differ by %v", d)
					}
				}
			}
		}
		if math.Abs(float64(x[0])) < .06 {
			hips, middle = hips+b.Rows.of(v, 0), middle+1
		}
	}
	if hips/float64(middle) < .1 {
		t.Errorf("what was taken off went elsewhere: the joint in the middle has %v", hips/float64(middle))
	}
}

// Guessed bones at the ends of partners are each other's image, also where the surface ahead
// differs by side.
func TestEndsAlike(t *testing.T) {
	f, _ := beam(true)
	var ends []Bone
	for _, b := range f.Bones {
		if b.End {
			ends = append(ends, b)
		}
	}
	if len(ends) != 2 || f.Joints.Middle.Reflect(ends[0].To).Sub(ends[1].To).Len() > 1e-9 {
		t.Errorf("%v", ends)
	}
	// From .8 to 1.3 is half a metre; the bone is four fifths of it.
	if d := ends[0].To.Sub(ends[0].From).Len(); math.Abs(d-.4) > .02 {
		t.Errorf("the bone at the end is %v long, want 0.4", d)
	}
}

// A bone that is seen only far behind the nearest, which something hides, counts nothing: a
// place behind a wall does not hang on the other arm.
func TestSeenTooFar(t *testing.T) {
	var s shape
	s.add(arm(-.1, 2.6, .2))
	n := uint32(len(s.points) / 3)
	// A leaf above the arm, and a wall between that leaves the far end in sight.
	s.add([]float32{.5, .6, 0, .6, .6, 0, .5, .6, .1}, []uint32{0, 1, 2})
	f := New(s.points, s.triangles, Joints{At: vecs(0, 0, 0, 1, 0, 0, .5, 2.5, 0, .5, 3.5, 0), Parent: []int{-1, 0, -1, 2}}, nil)
	list := f.near(space.At(s.points, n), nil, nil)
	if i, by := f.firstSeen(n, space.At(s.points, n), list); i >= 0 || by != 0 {
		t.Errorf("it sees bone %d, hidden by shell %d", i, by)
	}
	// With the arm away it sees what is near.
	g := New(s.points, s.triangles[len(s.triangles)-3:], f.Joints, nil)
	if i, _ := g.firstSeen(n, space.At(s.points, n), g.near(space.At(s.points, n), nil, nil)); i < 0 || g.Bones[i].Joint != 0 {
		t.Errorf("without the arm it sees %d", i)
	}
}
