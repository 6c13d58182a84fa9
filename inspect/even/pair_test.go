package even

import (
	"math"
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// sheet is a grid of squares over x = −w…w, each cut by a diagonal; diagonals are mirrored
// over x = 0 or, not, run all one way.
func sheet(w, h int, mirrored bool) *Shape {
	s := &Shape{Plane: geom.Plane{Normal: space.Vec{1, 0, 0}}, Height: float64(h)}
	n := 2*w + 1
	for y := range h + 1 {
		for x := -w; x <= w; x++ {
			s.Points = append(s.Points, float32(x), float32(y), float32(math.Abs(float64(x)))/4+float32(y*y)/20)
		}
	}
	for y := range h {
		for x := range 2 * w {
			a, b, c, d := uint32(y*n+x), uint32(y*n+x+1), uint32((y+1)*n+x+1), uint32((y+1)*n+x)
			if mirrored && x >= w {
				s.Triangles = append(s.Triangles, a, b, d, b, c, d)
			} else {
				s.Triangles = append(s.Triangles, a, b, c, a, c, d)
			}
		}
	}
	return s
}

// sure fills in the pairs that geom finds.
func sure(s *Shape) *Shape {
	m := geom.FindMirror(geom.Shape{Points: s.Points, Triangles: s.Triangles})
	s.Sure, s.Reach = m.Partner, m.Reach
	// The plane is the one that was built: the test is about pairs.
	return s
}

func (s *Shape) opposite(i int) int32 {
	p := space.At(s.Points, i)
	for j := range len(s.Points) / 3 {
		q := space.At(s.Points, j)
		if q[0] == -p[0] && q[1] == p[1] {
			return int32(j)
		}
	}
	return -1
}

// A patch of one side is shaken farther than a sure partner may lie: growth finds the true
// partners. Where no diagonal is mirrored the edges themselves speak for wrong partners as
// well (the grid is its own image once it is sheared), so the places must be nearer.
func TestGrowth(t *testing.T) {
	for _, mirrored := range []bool{true, false} {
		s := sheet(8, 12, mirrored)
		want := make([]int32, len(s.Points)/3)
		for i := range want {
			want[i] = s.opposite(i)
		}
		rnd := rand.New(rand.NewPCG(1, 2))
		shake, lift := float32(0.2), float32(0.45)
		if !mirrored {
			shake, lift = 0.05, 0.25
		}
		for i := range want {
			p := space.At(s.Points, i)
			if p[0] >= 3 && p[0] <= 6 && p[1] >= 4 && p[1] <= 7 {
				for c := range 3 {
					s.Points[3*i+c] += shake * (2*rnd.Float32() - 1)
				}
				s.Points[3*i+2] += lift
			}
		}
		sure(s)
		p := Pair(s, Limits{Move: 0.1, Uneven: 0.2})
		wrong, alone := 0, 0
		for i := range want {
			switch {
			case p.Of[i] < 0:
				alone++
			case p.Of[i] != want[i]:
				wrong++
			}
		}
		if wrong > 0 || alone > 0 || p.Count[Grown] < 20 {
			t.Errorf("mirrored %v: %d wrong, %d alone; %v by how", mirrored, wrong, alone, p.Count)
		}
	}
}

// Without growth the patch stays alone: the test can fail.
func TestGrowthIsNeeded(t *testing.T) {
	s := sheet(8, 12, true)
	for i := range len(s.Points) / 3 {
		if p := space.At(s.Points, i); p[0] >= 3 && p[0] <= 6 && p[1] >= 4 && p[1] <= 7 {
			s.Points[3*i+2] += 0.6
		}
	}
	sure(s)
	alone := 0
	for _, j := range s.Sure {
		if j < 0 {
			alone++
		}
	}
	if alone < 30 {
		t.Errorf("%d of 32 without a sure partner", alone)
	}
}

// Drawn: mirror images to rounding, the giving side to the bit, no triangle turned over.
func TestDraw(t *testing.T) {
	for _, from := range []Giver{To, Behind, Mean} {
		s := sheet(8, 12, true)
		for i := range len(s.Points) / 3 {
			if p := space.At(s.Points, i); p[0] > 2 && p[0] < 7 && p[1] > 2 && p[1] < 9 {
				s.Points[3*i+2] += float32(0.3 * math.Sin(p[1]))
				s.Points[3*i] += 0.1
			}
		}
		sure(s)
		p := Pair(s, Limits{Move: 0.1, Uneven: 0.2})
		d := Draw(s, p, from, Limits{Move: 0.1})
		if len(d.LetGo) > 0 || len(d.Moved) == 0 {
			t.Fatalf("%d moved, %d let go", len(d.Moved), len(d.LetGo))
		}
		for i, j := range p.Of {
			a, b := s.Plane.Reflect(space.At(d.Points, i)), space.At(d.Points, int(j))
			if a.Sub(b).Len() > 1e-6*20 {
				t.Fatalf("from %d: places %d and %d are no mirror images: %v, %v", from, i, j, a, b)
			}
			x := space.At(s.Points, i)[0]
			gives := from == To && x > 0 || from == Behind && x < 0
			if gives && space.At(d.Points, i) != space.At(s.Points, i) {
				t.Fatalf("place %d of the giving side moved", i)
			}
		}
	}
}

// A wrong pair that would turn a triangle over, stretch an edge or move too far is let go,
// and nothing else is.
func TestGuards(t *testing.T) {
	for _, w := range []struct {
		name string
		pull [3]float32
		move float64
		why  Guard
		odd  bool // the diagonals at the pulled place are not mirrored
	}{
		{"too far", [3]float32{0, 0, 1.3}, 0.1, TooFar, false},
		{"turned", [3]float32{0, -1.6, 0}, 1, Turned, true},
		{"stretched", [3]float32{0, 0, 3}, 1, Stretched, true},
	} {
		s := sheet(8, 12, !w.odd)
		at := -1
		for i := range len(s.Points) / 3 {
			if p := space.At(s.Points, i); p[0] == -4 && p[1] == 5 {
				at = i
			}
		}
		sure(s)
		p := Pair(s, Limits{Move: 1, Uneven: 1})
		for c := range 3 {
			s.Points[3*at+c] += w.pull[c]
		}
		d := Draw(s, p, Behind, Limits{Move: w.move})
		if len(d.LetGo) != 1 || d.LetGo[0].Why != w.why || d.LetGo[0].A != int32(at) && d.LetGo[0].B != int32(at) {
			t.Errorf("%s: let go %+v", w.name, d.LetGo)
		}
		if len(d.Moved) != 0 {
			t.Errorf("%s: %d moved", w.name, len(d.Moved))
		}
	}
	// What becomes the mirror image of a triangle of the giving side is right, however far
	// its edges were off.
	s := sheet(8, 12, true)
	sure(s)
	p := Pair(s, Limits{Move: 1, Uneven: 1})
	for i := range len(s.Points) / 3 {
		if q := space.At(s.Points, i); q[0] == -4 && q[1] == 5 {
			s.Points[3*i+2] += 4
		}
	}
	if d := Draw(s, p, To, Limits{Move: 1}); len(d.LetGo) != 0 || len(d.Moved) != 1 {
		t.Errorf("a pulled place: %d moved, let go %+v", len(d.Moved), d.LetGo)
	}
}

// box adds a shell of eight places: a satchel, a lantern.
func box(s *Shape, x, y, z, size float32) {
	from := uint32(len(s.Points) / 3)
	for k := range 8 {
		s.Points = append(s.Points, x+size*float32(k&1), y+size*float32(k>>1&1), z+1.5*size*float32(k>>2))
	}
	for _, f := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		s.Triangles = append(s.Triangles, from+f[0], from+f[1], from+f[2], from+f[0], from+f[2], from+f[3])
	}
}

// A shell that stands away from its like is paired whole; one that has no like is left.
func TestShells(t *testing.T) {
	s := sheet(8, 12, true)
	n := len(s.Points) / 3
	box(s, 9, 4, 0, 0.5)      // 8…15: a lantern
	box(s, -9.5, 4.4, 0, 0.5) // its like, 0.4 off
	box(s, 9, 8, 0, 1)        // a satchel, alone
	sure(s)
	p := Pair(s, Limits{Move: 0.05, Uneven: 0.2})
	for k := range 8 {
		i := n + k
		j := p.Of[i]
		if j < int32(n+8) || j >= int32(n+16) || p.How[i] != OfShell {
			t.Fatalf("place %d of the lantern has partner %d, how %d", k, j, p.How[i])
		}
		a, b := space.At(s.Points, i), space.At(s.Points, int(j))
		if math.Abs(-a[0]-b[0]) > 1e-5 || math.Abs(a[1]+0.4-b[1]) > 1e-5 || a[2] != b[2] {
			t.Errorf("place %d: %v opposite %v", k, a, b)
		}
		if p.Of[n+16+k] >= 0 {
			t.Errorf("place %d of the satchel has a partner", k)
		}
	}
	if !p.Parts[p.Part[n+16]].Left || p.Parts[p.Part[n]].Left {
		t.Error("the satchel is not left, or the lantern is")
	}
	d := Draw(s, p, To, Limits{Move: 0.05})
	if len(d.Moved) != 8 || math.Abs(d.Most-0.4) > 1e-5 {
		t.Errorf("%d moved by %g at most; want the lantern's 8 by 0.4", len(d.Moved), d.Most)
	}
}

// The rougher side is copied over, whichever it is.
func TestSmoother(t *testing.T) {
	for _, side := range []float64{1, -1} {
		s := sheet(8, 12, false)
		sure(s)
		for i := range len(s.Points) / 3 {
			if p := space.At(s.Points, i); p[0]*side > 3 && p[0]*side < 6 && p[1] > 3 && p[1] < 6 {
				s.Points[3*i+2] += 0.3
			}
		}
		p := Pair(s, Limits{Move: 0.1, Uneven: 0.2})
		if got := Smoother(s, p); got != Giver(-side) {
			t.Errorf("bump on side %g: side %d gives", side, got)
		}
	}
	s := sure(sheet(8, 12, true))
	if got := Smoother(s, Pair(s, Usual)); got != Mean {
		t.Errorf("alike: side %d gives", got)
	}
}

// Nothing to hold on to, or nonsense, ends in no pairs and no crash.
func TestDegenerate(t *testing.T) {
	nan := float32(math.NaN())
	for name, s := range map[string]*Shape{
		"nothing":   {},
		"one":       {Points: []float32{1, 2, 3}, Sure: []int32{-1}, Reach: []float32{1}},
		"undefined": {Points: []float32{nan, 0, 0, 1, 0, 0, 0, 1, 0}, Triangles: []uint32{0, 1, 2}, Sure: []int32{-1, -1, -1}, Reach: []float32{1, 1, 1}},
		"flat":      {Points: []float32{0, 0, 0, 0, 0, 0, 0, 0, 0}, Triangles: []uint32{0, 0, 0}, Sure: []int32{0, 1, 2}, Reach: []float32{0, 0, 0}, Height: 1},
	} {
		s.Plane.Normal = space.Vec{1, 0, 0}
		p := Pair(s, Usual)
		for _, from := range []Giver{To, Behind, Mean} {
			if d := Draw(s, p, from, Usual); len(d.Points) != len(s.Points) {
				t.Errorf("%s: %d numbers", name, len(d.Points))
			}
		}
	}
}
