package geom

import (
	"fmt"
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// A plane across a torus beside its hole cuts one loop, through its axis two: circles
// of the tube, r = 0.25 at 1 from the axis. Its own plane cuts two rings.
func TestSectionOfTorus(t *testing.T) {
	points, triangles := welded(torus(96, 48))
	for _, cuts := range []int{1, 1000} { // plain and by tree
		s := NewSlicer(points, triangles, cuts)
		loops := s.Cut(Plane{space.Vec{0, 0, 1}, 1e-4})
		if len(loops) != 2 {
			t.Fatalf("%d loops, want 2", len(loops))
		}
		for _, l := range loops {
			c, area := l.Middle(space.Vec{0, 0, 1})
			// 48 corners: the area of the polygon is ½·48·sin(2π/48)·r².
			want := 24 * math.Sin(2*math.Pi/48) * 0.0625
			if !l.Closed || math.Abs(area-want) > 1e-3*want || math.Abs(math.Abs(c[0])-1) > 1e-3 || math.Abs(c[1]) > 1e-3 {
				t.Errorf("closed %v, area %v (want %v), centre %v", l.Closed, area, want, c)
			}
			if !l.Around(c, space.Vec{0, 0, 1}) || l.Around(space.Vec{}, space.Vec{0, 0, 1}) {
				t.Error("a loop goes round its own centre, not round the axis")
			}
		}
		if loops = s.Cut(Plane{space.Vec{0, 1, 0}, 1e-4}); len(loops) != 2 {
			t.Fatalf("%d rings, want 2", len(loops))
		}
		both := 0
		for _, l := range loops {
			if l.Around(space.Vec{1, 1e-4, 0}, space.Vec{0, 1, 0}) {
				both++
			}
		}
		if both != 1 {
			t.Errorf("%d rings go round the tube's middle, want the outer one", both)
		}
		if loops = s.Cut(Plane{space.Vec{0, 1, 0}, 5}); len(loops) != 0 {
			t.Errorf("%d loops beside the torus", len(loops))
		}
	}
}

// A tube without lids is cut lengthwise along two open lines; through its own places
// it is cut as well as between them.
func TestSectionOpenAndThroughCorners(t *testing.T) {
	points, triangles := prism(12, 4, false)
	s := NewSlicer(points, triangles, 1)
	open := s.Cut(Plane{space.Vec{1, 0, 0}, 0.1})
	if len(open) != 2 || open[0].Closed || open[1].Closed {
		t.Errorf("lengthwise: %d lines, want 2 open ones", len(open))
	}
	for _, h := range []float64{0.25, 0.3, 0.5, 0.75} { // rings stand at quarters
		loops := s.Cut(Plane{space.Vec{0, 1, 0}, h})
		if len(loops) != 1 || !loops[0].Closed {
			t.Fatalf("at %v: %d loops", h, len(loops))
		}
		c, area := loops[0].Middle(space.Vec{0, 1, 0})
		if want := 6 * math.Sin(math.Pi/6); math.Abs(area-want) > 1e-6 || math.Abs(c[1]-h) > 1e-7 {
			t.Errorf("at %v: area %v, want %v; centre %v", h, area, want, c)
		}
	}
}

// A branching surface, one without area and one without numbers: an answer.
func TestSectionDegenerate(t *testing.T) {
	three := []float32{0, 0, 0, 0, 2, 0, 1, 1, 0, -1, 1, 0, 0, 1, 1}
	s := NewSlicer(three, []uint32{0, 1, 2, 0, 1, 3, 0, 1, 4}, 1)
	if l := s.Cut(Plane{space.Vec{0, 1, 0}, 0.5}); len(l) == 0 {
		t.Error("three leaves on one edge: no line")
	}
	nan := float32(math.NaN())
	s = NewSlicer([]float32{nan, nan, nan, 0, 0, 0, 0, 1, 0}, []uint32{0, 1, 2, 1, 1, 1}, 1)
	for _, l := range s.Cut(Plane{space.Vec{0, 1, 0}, 0.5}) {
		l.Middle(space.Vec{0, 1, 0})
	}
	NewSlicer(nil, nil, 100).Cut(Plane{})
}

// Closed shells have whole numbers (Jacobson, Kavan, Sorkine-Hornung 2013); half a
// sphere sees its centre under half the full angle.
func TestWinding(t *testing.T) {
	points, triangles := icosphere(3)
	for _, row := range []struct {
		p    space.Vec
		want float64
	}{{space.Vec{}, 1}, {space.Vec{0.9, 0, 0}, 1}, {space.Vec{0, 1.2, 0}, 0}, {space.Vec{30, 0, 0}, 0}} {
		if got := Winding(points, triangles, row.p); math.Abs(got-row.want) > 1e-9 {
			t.Errorf("at %v: %v, want %v", row.p, got, row.want)
		}
	}
	back := make([]uint32, len(triangles))
	for i := 0; i < len(triangles); i += 3 {
		back[i], back[i+1], back[i+2] = triangles[i], triangles[i+2], triangles[i+1]
	}
	if got := Winding(points, back, space.Vec{}); math.Abs(got+1) > 1e-9 {
		t.Errorf("inside out: %v, want −1", got)
	}
	points, triangles = uvSphere(32, 32)
	var half []uint32
	for i := 0; i < len(triangles); i += 3 {
		up := true
		for _, v := range triangles[i : i+3] {
			up = up && points[3*v+1] > -1e-6
		}
		if up {
			half = append(half, triangles[i:i+3]...)
		}
	}
	if got := Winding(points, half, space.Vec{}); math.Abs(got-0.5) > 1e-6 {
		t.Errorf("half a sphere: %v, want 0.5", got)
	}
	if got := Winding(nil, nil, space.Vec{}); got != 0 {
		t.Errorf("nothing: %v", got)
	}
}

func BenchmarkSection(b *testing.B) {
	for _, n := range []int{100, 500} {
		points, triangles := welded(torus(2*n, n))
		for _, cuts := range []int{1, 1000} {
			s := NewSlicer(points, triangles, cuts)
			b.Run(fmt.Sprintf("%d triangles, tree %v", len(triangles)/3, cuts > 1), func(b *testing.B) {
				for b.Loop() {
					s.Cut(Plane{space.Vec{0, 0, 1}, 1e-4})
				}
			})
		}
		b.Run(fmt.Sprintf("%d triangles, building the tree", len(triangles)/3), func(b *testing.B) {
			for b.Loop() {
				NewSlicer(points, triangles, 1000)
			}
		})
	}
}

func BenchmarkWinding(b *testing.B) {
	points, triangles := welded(torus(1000, 500))
	for b.Loop() {
		Winding(points, triangles, space.Vec{1, 0, 0})
	}
}
