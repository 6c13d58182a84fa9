package geom

import (
	"math"
	"testing"

	"rigloupe/inspect/space"
)

// block is a box of triangles that face outwards, corners at lo and hi.
func block(lo, hi space.Vec) (points []float32, triangles []uint32) {
	for i := range 8 {
		for c := range 3 {
			x := lo[c]
			if i>>c&1 == 1 {
				x = hi[c]
			}
			points = append(points, float32(x))
		}
	}
	for _, q := range [6][4]uint32{{0, 4, 6, 2}, {1, 3, 7, 5}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 2, 3, 1}, {4, 5, 7, 6}} {
		triangles = append(triangles, q[0], q[1], q[2], q[0], q[2], q[3])
	}
	return points, triangles
}

// A rod is filled, as long as it is, and its ends are its tips; a hook's ends are
// farther apart on the way than in the air.
func TestSolid(t *testing.T) {
	p, tri := block(space.Vec{-1, -0.1, -0.1}, space.Vec{1, 0.1, 0.1})
	s := NewSolid(p, tri, 40, nil)
	filled := 0
	for _, in := range s.In {
		if in {
			filled++
		}
	}
	if v := float64(filled) * s.Cell * s.Cell * s.Cell; v < 2*0.2*0.2 || v > 2.1*0.3*0.3 {
		t.Errorf("volume %.3f of 0.08 m³", v)
	}
	root := int32(s.Index(space.Vec{0.01, 0.01, 0.01}))
	if root < 0 || !s.In[root] {
		t.Fatal("hollow")
	}
	tips := s.Tips(root, 0.5, 9)
	if len(tips) != 2 {
		t.Fatalf("%d tips, want both ends", len(tips))
	}
	if a, b := s.At(int(tips[0].Cube)), s.At(int(tips[1].Cube)); a[0]*b[0] > -0.9*0.9 {
		t.Errorf("tips at %.2v and %.2v", a, b)
	}

	// Three sides of a square of 2 m, 0.2 m thick: 2 + 2 + 2 m round, 2 m across.
	for _, side := range [][2]space.Vec{{{-1, 1.8, -0.1}, {1, 2, 0.1}}, {{0.8, 0, -0.1}, {1, 2, 0.1}}} {
		q, more := block(side[0], side[1])
		base := uint32(len(p) / 3)
		for _, v := range more {
			tri = append(tri, v+base)
		}
		p = append(p, q...)
	}
	s = NewSolid(p, tri, 60, nil)
	start, end := s.Index(space.Vec{-0.95, 0, 0}), s.Index(space.Vec{-0.95, 1.9, 0})
	far, from := s.Distances([]int32{int32(start)})
	if d := float64(far[end]); d < 4.8 || d > 5.6 {
		t.Errorf("%.2f m round the hook", d)
	}
	// Against the plainest method there is: nothing can be made shorter, and each way is
	// as long as its steps.
	for k, in := range s.In {
		if !in {
			continue
		}
		if b := from[k]; b >= 0 {
			x, y := s.At(k), s.At(int(b))
			if math.Abs(float64(far[k]-far[b])-x.Sub(y).Len()) > 1e-5 {
				t.Fatalf("a step of %g for %g", far[k]-far[b], x.Sub(y).Len())
			}
		}
		for dz := -1; dz <= 1; dz++ {
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					n := k + (dz*s.N[1]+dy)*s.N[0] + dx
					if s.In[n] && float64(far[k]) > float64(far[n])+s.Cell*math.Sqrt(float64(dx*dx+dy*dy+dz*dz))+1e-5 {
						t.Fatalf("cube %d: %g, over %d %g", k, far[k], n, far[n])
					}
				}
			}
		}
	}
}

// Tips brings distances up to date from tip to tip; worked out anew from all that was
// reached so far they are the same, on a comb whose teeth are of unlike lengths.
func TestTipsAnew(t *testing.T) {
	p, tri := block(space.Vec{-1, -0.1, -0.1}, space.Vec{1, 0.1, 0.1})
	for i, long := range []float64{0.5, 1.3, 0.9, 0.45, 1.1} {
		x := -0.9 + 0.4*float64(i)
		q, more := block(space.Vec{x, 0, -0.08}, space.Vec{x + 0.16, long, 0.08})
		base := uint32(len(p) / 3)
		for _, v := range more {
			tri = append(tri, v+base)
		}
		p = append(p, q...)
	}
	s := NewSolid(p, tri, 60, nil)
	root := int32(s.Index(space.Vec{0, 0, 0}))
	tips := s.Tips(root, 0.2, 9)
	if len(tips) < 5 {
		t.Fatalf("%d tips of five teeth", len(tips))
	}
	sources := []int32{root}
	for i, tip := range tips {
		far, from := s.Distances(sources)
		best := int32(-1)
		for k, d := range far {
			if !math.IsInf(float64(d), 0) && (best < 0 || d > far[best]) {
				best = int32(k)
			}
		}
		if tip.Cube != best || tip.Length != float64(far[best]) {
			t.Fatalf("tip %d is cube %d, %g m out; anew cube %d, %g", i, tip.Cube, tip.Length, best, far[best])
		}
		for k := best; k >= 0; k = from[k] {
			sources = append(sources, k)
		}
	}
}

func TestSolidOfNothing(t *testing.T) {
	nan := float32(math.NaN())
	for name, p := range map[string][]float32{"none": nil, "a point": {1, 1, 1, 1, 1, 1, 1, 1, 1}, "no numbers": {nan, nan, nan, nan, nan, nan, nan, nan, nan}} {
		var tri []uint32
		if p != nil {
			tri = []uint32{0, 1, 2}
		}
		if s := NewSolid(p, tri, 20, nil); s != nil {
			t.Errorf("%s: %+v", name, s.N)
		}
	}
}
