package even

import (
	"math"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// opposites fills in the true partners, each found within half an edge.
func opposites(s *Shape) *Shape {
	for i := range len(s.Points) / 3 {
		s.Sure, s.Reach = append(s.Sure, s.opposite(i)), append(s.Reach, 0.5)
	}
	return s
}

// A place moves a fiftieth of the height, no farther.
func TestUsualMove(t *testing.T) {
	for _, c := range []struct {
		lift float32 // of a height of 12
		goes bool
	}{{0.2, true}, {0.28, false}} {
		s := opposites(sheet(8, 12, true))
		for i := range s.Sure {
			if p := space.At(s.Points, i); p[0] == -3 && p[1] == 4 {
				s.Points[3*i+2] += c.lift
			}
		}
		d := Draw(s, Pair(s, Usual), To, Usual)
		if got := len(d.Moved) == 1 && len(d.LetGo) == 0; got != c.goes || !c.goes && (len(d.LetGo) != 1 || d.LetGo[0].Why != TooFar) {
			t.Errorf("%g off: %d moved, let go %v", c.lift, len(d.Moved), d.LetGo)
		}
	}
}

// A part is left alone where more than a fifth of its places have no partner.
func TestUsualUneven(t *testing.T) {
	for _, c := range []struct {
		every int // which place of one side is lifted off, so that two have none
		left  bool
	}{{7, false}, {4, true}} {
		s := opposites(sheet(8, 12, true))
		n := 0
		for i, j := range s.Sure {
			if space.At(s.Points, i)[0] < 0 {
				if n++; n%c.every == 0 {
					s.Points[3*i+2] += 3
					s.Sure[i], s.Sure[j] = -1, -1
				}
			}
		}
		if p := Pair(s, Usual); p.Parts[0].Left != c.left {
			t.Errorf("one in %d of one side without a partner: left %v", c.every, p.Parts[0].Left)
		}
	}
}

// row is a shell beside a sheet: forty places in a ladder, some of them bent out of it.
func row(s *Shape, x, y, z, size float32, bent ...int) {
	from := uint32(len(s.Points) / 3)
	for k := range 40 {
		dz := float32(0)
		for _, b := range bent {
			if b == k {
				dz = 3 * size
			}
		}
		s.Points = append(s.Points, x+size*float32(k%2), y+size*float32(k/2), z+dz)
	}
	for k := range uint32(19) {
		a := from + 2*k
		s.Triangles = append(s.Triangles, a, a+1, a+2, a+1, a+3, a+2)
	}
}

// Shells are likes where their mean squares differ by less than a twentieth and nineteen in
// twenty of their places lie opposite. Sizes: the mean square goes with the square of it.
func TestLikesOfShells(t *testing.T) {
	for _, c := range []struct {
		name string
		size float32
		bent []int
		like bool
	}{
		{"equal", 0.1, nil, true},
		{"a mean square 4 % larger", 0.102, nil, true},
		{"10 % larger", 0.105, nil, false},
		{"one place in forty off", 0.1, []int{20}, true},
		{"four in forty off", 0.1, []int{10, 16, 22, 28}, false},
	} {
		s := sheet(8, 12, true)
		n := len(s.Points) / 3
		row(s, 9, 4, 0, 0.1)
		row(s, -9.1-0.3, 4, 0, c.size, c.bent...)
		for i := n; i < n+40; i++ { // rows run across: the mirror image runs the other way
			s.Points[3*i] = 18.1 - s.Points[3*i]
		}
		s.Sure, s.Reach = make([]int32, len(s.Points)/3), make([]float32, len(s.Points)/3)
		for i := range s.Sure {
			s.Sure[i], s.Reach[i] = -1, 0.11
			if i < n {
				s.Sure[i] = s.opposite(i)
			}
		}
		p := Pair(s, Limits{Move: 0.05, Uneven: 0.2})
		if got := p.Part[n] != p.Part[n+40] && p.Parts[p.Part[n]].Like == int(p.Part[n+40]); got != c.like {
			t.Errorf("%s: likes %v, want %v", c.name, got, c.like)
		}
	}
}

// rowsOf is a sheet with ladders beside it and their parts, in order.
func rowsOf(t *testing.T, build func(s *Shape)) (p *Pairs, parts []int32) {
	t.Helper()
	s := sheet(8, 12, true)
	n := len(s.Points) / 3
	build(s)
	s.Sure, s.Reach = make([]int32, len(s.Points)/3), make([]float32, len(s.Points)/3)
	for i := range s.Sure {
		s.Sure[i], s.Reach[i] = -1, 0.11
		if i < n {
			s.Sure[i] = s.opposite(i)
		}
	}
	p = Pair(s, Limits{Move: 0.05, Uneven: 0.2})
	for i := n; i < len(s.Points)/3; i += 40 {
		parts = append(parts, p.Part[i])
	}
	return p, parts
}

// mirroredRow is a ladder whose mirror image over x = 0 is row(s, x, …).
func mirroredRow(s *Shape, x, y, z, size float32) {
	from := len(s.Points) / 3
	row(s, x, y, z, size)
	for i := from; i < from+40; i++ {
		s.Points[3*i] = -s.Points[3*i]
	}
}

// Of several shells near by the one whose shape fits best is the like, not the nearest.
func TestBestOfLikes(t *testing.T) {
	p, parts := rowsOf(t, func(s *Shape) {
		row(s, 9, 4, 0, 0.1)
		mirroredRow(s, 9, 4.1, 0, 0.102) // nearest, a little larger
		mirroredRow(s, 9, 4.3, 0, 0.1)
	})
	if got := p.Parts[parts[0]].Like; got != int(parts[2]) {
		t.Errorf("the like is part %d, want %d", got, parts[2])
	}
}

// Two must choose each other: of two that would both be the like of a third one is left.
func TestLikesChooseEachOther(t *testing.T) {
	p, parts := rowsOf(t, func(s *Shape) {
		mirroredRow(s, 9, 4.5, 0, 0.1)
		row(s, 9, 4, 0, 0.1)
		mirroredRow(s, 9, 3.8, 0, 0.1)
	})
	if !p.Parts[parts[0]].Left || p.Parts[parts[1]].Like != int(parts[2]) || p.Parts[parts[2]].Like != int(parts[1]) {
		t.Errorf("%+v", p.Parts)
	}
}

// A drawn triangle is spoilt where an edge shrinks under a half or grows over twice.
func TestSpoiltEdges(t *testing.T) {
	for _, c := range []struct {
		long float32
		bad  bool
	}{{0.45, true}, {0.55, false}, {1.9, false}, {2.1, true}} {
		w := &drawer{s: &Shape{Points: []float32{0, 0, 0, 1, 0, 0, 0.5, 0.9, 0}}, d: &Drawn{Points: []float32{0, 0, 0, 1, 0, 0, 0.5, 0.9, 0}}}
		w.d.Points[3], w.d.Points[6], w.d.Points[7] = c.long, c.long/2, 0.9*c.long
		if why, bad := w.spoilt([]uint32{0, 1, 2}); bad != c.bad || bad && why != Stretched {
			t.Errorf("edges %g as long: spoilt %v", c.long, bad)
		}
	}
}

// What rounding moves, a ten millionth of the height, is not written.
func TestLeastMove(t *testing.T) {
	for _, c := range []struct {
		off   float32
		moves bool
	}{{6e-7, false}, {2e-6, true}} {
		s := opposites(sheet(2, 2, true))
		s.Height = 10
		for i := range s.Sure {
			if p := space.At(s.Points, i); p[0] == -1 && p[1] == 0 {
				s.Points[3*i+1] += c.off
			}
		}
		if d := Draw(s, Pair(s, Usual), To, Usual); (len(d.Moved) > 0) != c.moves {
			t.Errorf("%g off at a height of 10: %d moved", c.off, len(d.Moved))
		}
	}
}

// A side is the smoother by a thousandth of the roughness: that goes with the square of a bump.
func TestSmootherByHowMuch(t *testing.T) {
	for _, c := range []struct {
		more float32
		want Giver
	}{{1.0004, Mean}, {1.01, Behind}} {
		s := opposites(sheet(8, 12, true))
		for i := range s.Sure {
			switch p := space.At(s.Points, i); {
			case p[0] == 4 && p[1] == 5:
				s.Points[3*i+2] += 0.5 * c.more
			case p[0] == -4 && p[1] == 5:
				s.Points[3*i+2] += 0.5
			}
		}
		if got := Smoother(s, Pair(s, Usual)); got != c.want {
			t.Errorf("a bump × %g: side %d gives, want %d", c.more, got, c.want)
		}
	}
}

// A hundredth of weight places a vertex.
func TestBindsByWeight(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	m := &r.Meshes[0]
	for _, c := range []struct {
		weight float32
		binds  bool
	}{{0.02, true}, {0.005, false}} {
		clear(m.Weights[:m.K])
		m.Weights[0] = c.weight
		if got := binds(r, 0, 0, setsOf(r)[r.Surfaces[0].Mesh]); got != c.binds {
			t.Errorf("a weight of %g: bound %v", c.weight, got)
		}
	}
}

// A tenth of the weight may go so that the rest fits.
func TestMostLost(t *testing.T) {
	a := &applier{opposite: []rig.Node{0, 1, 2, 3}}
	for _, c := range []struct {
		last float64
		fits bool
	}{{0.09, true}, {0.12, false}} {
		out := a.fewer([]share{{0, 0.5}, {1, 0.3}, {2, 0.2 - c.last}, {3, c.last}}, 3)
		if (out != nil) != c.fits {
			t.Errorf("%g lost: %v", c.last, out)
		}
		sum := 0.0
		for _, x := range out {
			sum += x.weight
		}
		if c.fits && math.Abs(sum-1) > 1e-12 {
			t.Errorf("what stays sums to %v", sum)
		}
	}
}

// pairOf is a sure pair of the sample off the plane: the vertex that gives and the one that
// is written, one stored vertex each.
func pairOf(t *testing.T, r *rig.Rig) (giver, taker rig.Vertex) {
	t.Helper()
	e := exam.New(r)
	m := e.Mirror()
	s, _, err := ShapeOf(e, nil)
	if err != nil {
		t.Fatal(err)
	}
	p := Pair(s, Usual)
	for i, j := range p.Of {
		if x := space.At(s.Points, i); j > int32(i) && p.How[i] == Sure && math.Abs(x[0]) > 0.1 && x[1] > 1 && x[1] < 1.4 {
			if s.Plane.Side(x) < 0 {
				return m.Vertex[j], m.Vertex[i]
			}
			return m.Vertex[i], m.Vertex[j]
		}
	}
	t.Fatal("no pair")
	return 0, 0
}

// Normals up to 60° apart are of one vertex and are given over; farther an edge is meant. What
// differs by a hundredth of a degree is the same.
func TestNormalLimits(t *testing.T) {
	truth := lamplighter.Build(lamplighter.Options{})
	_, to := pairOf(t, truth)
	for _, c := range []struct {
		degrees float64
		changes bool
	}{{0.002, false}, {0.5, true}, {50, true}, {70, false}} {
		r := lamplighter.Clone(truth)
		n := space.At(r.Meshes[0].Normals, int(to))
		side, _ := space.Unit(n.Cross(space.Vec{0.3, 0.5, 0.8}))
		sin, cos := math.Sincos(c.degrees * math.Pi / 180)
		turned := n.Mul(cos).Add(side.Mul(sin))
		for k := range 3 {
			r.Meshes[0].Normals[3*int(to)+k] = float32(turned[k])
		}
		f, err := Alike(exam.New(r), Wants{From: To, Limits: Usual, Places: true})
		if err != nil {
			t.Fatal(err)
		}
		was, is := turned, space.At(f.Rig.Meshes[0].Normals, int(to))
		if got := was.Sub(is).Len() > 1e-6; got != c.changes {
			t.Errorf("%g° off: changed %v", c.degrees, got)
		}
	}
}

// Weights within one step of 8 bits, in all, are the same.
func TestSameWeights(t *testing.T) {
	truth := lamplighter.Build(lamplighter.Options{})
	from, to := pairOf(t, truth)
	for _, c := range []struct {
		shift   float32
		changes bool
	}{{0.001, false}, {0.02, true}} {
		r := lamplighter.Clone(truth)
		m := &r.Meshes[0]
		at := int(to) * m.K
		if m.Weights[at+1] == 0 { // one that two joints hold
			m.Joints[at+1] = (m.Joints[at] + 1) % uint16(len(r.Skins[0].Joints))
		}
		m.Weights[at] -= c.shift
		m.Weights[at+1] += c.shift
		f, err := Alike(exam.New(r), Wants{From: To, Limits: Usual, Weights: true})
		if err != nil {
			t.Fatal(err)
		}
		if got := f.Rig.Meshes[0].Weights[at] != m.Weights[at]; got != c.changes {
			t.Errorf("weights %g apart (giver %d): changed %v", 2*c.shift, from, got)
		}
	}
}

// A morph target is alike on both sides where the displacements of pairs differ by a fifth
// of their lengths at most. Left 1 down, right 1 − x: they differ by x of 2 − x.
func TestMorphOnPurpose(t *testing.T) {
	truth := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	for _, c := range []struct {
		less  float32
		alike bool
	}{{0.3, true}, {0.5, false}} { // 0.18 and 0.33
		r := lamplighter.Clone(truth)
		m := &r.Meshes[0]
		d := make([]float32, len(m.Positions))
		for v := range m.Vertices() {
			if d[3*v+1] = -0.01; m.Positions[3*v] < 0 {
				d[3*v+1] *= 1 - c.less
			}
		}
		m.Targets, m.Morph = []rig.Target{{Name: "breath", Positions: d}}, []float32{0}
		f, err := Alike(exam.New(r), Wants{From: To, Limits: Usual, Places: true})
		if err != nil {
			t.Fatal(err)
		}
		if (len(f.LeftMorph) == 0) != c.alike {
			t.Errorf("%g less on one side: left %q", c.less, f.LeftMorph)
		}
	}
}

// A cut within a tenth of an edge's end is laid onto the end; a normal within 45° of the
// plane's own says that an edge is meant there.
func TestCutLimits(t *testing.T) {
	for _, c := range []struct {
		at  float64 // of the edge, from the side that stays
		cut bool
	}{{0.07, false}, {0.13, true}, {0.87, true}, {0.93, false}} {
		x := float32(c.at)
		h := &halver{w: Wants{From: To}, f: &Figure{}, out: &Halves{
			Shape: &Shape{Points: []float32{x, 0, 0, x - 1, 0, 0, x, 1, 0}, Triangles: []uint32{0, 1, 2}, Plane: geom.Plane{Normal: space.Vec{1, 0, 0}}, Height: 1},
			Pairs: &Pairs{Of: []int32{-1, -1, -1}, Part: make([]int32, 3), Parts: make([]Part, 1)},
		}}
		h.sides()
		if got := h.side[0] == stays && h.side[1] == goes; got != c.cut {
			t.Errorf("a cut at %g of an edge: sides %v", c.at, h.side)
		}
	}
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	e := exam.New(r)
	plane := e.Mirror().Plane
	across := space.Vec(plane.Normal)
	along, _ := space.Unit(across.Cross(space.Vec{0, 1, 0}))
	for _, c := range []struct {
		degrees float64
		edged   bool
	}{{35, true}, {43, true}, {48, false}, {55, false}} {
		sin, cos := math.Sincos(c.degrees * math.Pi / 180)
		n := across.Mul(cos).Add(along.Mul(sin))
		for k := range 3 {
			r.Meshes[0].Normals[k] = float32(n[k])
		}
		a := &applier{e: e, f: &Figure{Mirror: e.Mirror()}, old: r, world: e.RestWorld(), sets: setsOf(r)}
		x := &building{h: &halver{e: e, a: a, out: &Halves{Shape: &Shape{Plane: plane}}}, point: e.Mirror().Point[0]}
		x.out.From = []Made{{}}
		if got := x.edged(0); got != c.edged {
			t.Errorf("a normal %g° from the plane's own: an edge %v", c.degrees, got)
		}
	}
}
