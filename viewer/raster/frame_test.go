package raster

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Nearing by an octave must not change the tone: the mean ink of the figure
// stays within 7 % while lines come and go.
func TestNearingKeepsTone(t *testing.T) {
	m := mannequin(7000)
	for _, paper := range []struct {
		name string
		c    Colours
	}{{"day", testDay}, {"night", testNight}} {
		st := NewStyle(paper.c)
		var first float64
		for k := range 9 {
			zoom := 1 + float32(k)/8
			p := New(900, 900)
			v, _, _ := m.viewOf(28, 9, 450, 450)
			v.CX, v.CY = 450, 450
			v.Focal *= zoom
			ru := Rule(v.Focal/6, st.Pitch)
			p.Draw(&m.Figure, &m.Mesh, &m.Frame, &v, ru, st, Look{Lines: true})
			var sum, n float64
			for i, c := range p.cell {
				if c != 0 {
					sum += math.Abs(float64(p.Pix[i]>>8&255) - float64(st.Figure>>8&255))
					n++
				}
			}
			ink := sum / n
			if k == 0 {
				first = ink
			}
			if ink < first*.93 || ink > first*1.07 {
				t.Errorf("%s, zoom %.3f: mean ink %.2f, at 1: %.2f", paper.name, zoom, ink, first)
			}
		}
		if first < 4 {
			t.Errorf("%s: mean ink %.2f: no lines", paper.name, first)
		}
	}
}

// dressed is a figure with every kind of value set.
func dressed(n int) *maker {
	m := mannequin(n)
	for i := range m.S {
		v := m.S[i] - float32(int(m.S[i]))
		if i%17 == 3 {
			v = float32(math.NaN())
		}
		m.Lens = append(m.Lens, v)
		c := uint8(m.S[i]*9) % 5
		if c == 4 {
			c = NoCategory
		}
		m.Category = append(m.Category, c)
	}
	pix := make([]uint32, 32*32)
	for i := range pix {
		pix[i] = RGB(0xd8c8a0)
		if (i%32/8+i/32/8)%2 == 0 {
			pix[i] = RGB(0x406080) &^ (0xff << 24) // transparent where a cutoff asks
		}
	}
	x := NewTexture(32, 32, pix, Repeat, Mirror)
	m.Materials = []Material{{Colour: 0xffffffff, Texture: x}, {Colour: RGB(0xc0d0ff), Texture: x, Cutoff: .5}, {Colour: RGB(0x7a8b5c)}}
	for t := range m.Part {
		m.Material = append(m.Material, m.Part[t]%3)
	}
	for i := range m.S {
		m.Tint = append(m.Tint, 0xff000000|uint32(255-i%5*10)*0x010101)
	}
	return m
}

var surfaces = []struct {
	name string
	s    Surface
}{{"plain", Plain}, {"painted", Painted}, {"value", Value}, {"two-sided", TwoSided}, {"category", Category}, {"count", Count}}

func TestWipeRestores(t *testing.T) {
	m := dressed(2000)
	for _, keep := range []bool{false, true} {
		p := New(333, 201) // no whole number of tiles
		v, ru, st := m.viewOf(28, 9, p.W, p.H)
		v.CX -= 60 // partly off the plate
		p.Pave(st.Paper)
		if keep {
			p.Disc(100, 90, 60, st.Rule, 1)
			p.Keep()
		}
		want := slices.Clone(p.Pix)
		for _, s := range surfaces {
			look := Engraved(s.s)
			look.Edges = true
			p.Draw(&m.Figure, &m.Mesh, &m.Frame, &v, ru, st, look)
			marks(p, st)
			if slices.Equal(p.Pix, want) {
				t.Fatalf("%s: nothing drawn", s.name)
			}
			p.Wipe()
			for i := range p.Pix {
				if p.Pix[i] != want[i] || p.cell[i] != 0 || p.ink[i] != 0 {
					t.Fatalf("%s, kept ground %v: pixel %d, %d is %08x, depth %x, ink %d after Wipe", s.name, keep, i%p.W, i/p.W, p.Pix[i], p.cell[i], p.ink[i])
				}
			}
		}
	}
}

// marks lays one of everything, some of it off the plate or no number at all.
func marks(p *Plate, st *Style) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for _, q := range [][2]float32{{40, 40}, {-20, 30}, {330, 190}, {1e7, 3}, {nan, 3}, {-inf, inf}, {150, -1e5}} {
		x, y := q[0], q[1]
		p.Line(x, y, x+70, y+33, 1.1, st.Ink, 1)
		p.Line(x, y, x, y, 3, st.Ink, .5)
		p.Dashed(x, y, x-40, y+90, 1.1, 5, 3, st.Rule, .9)
		p.Polyline([]float32{x, y, x + 20, y + 5, x + 12, y + 30}, 2, st.Ink, .6, true)
		p.Ring(x, y, 5.5, 2, st.Ink, 1)
		p.Disc(x+9, y, 4, st.Rule, 1)
		p.Polygon([]float32{x, y, x + 30, y + 3, x + 12, y + 22}, st.Rule, .7)
		p.Halo(x, y, 11, "upperArm_L 0.61 é", st.Figure, .8, 2, Middle)
		p.Text(x, y, 11, "upperArm_L 0.61 é", st.Ink, 1, Middle)
	}
	p.Line(-1e5, -1e5, 1e5, 1.1e5, 2, st.Ink, 1)
}

func TestTwoDrawsAreOne(t *testing.T) {
	m := dressed(3000)
	p, q := New(320, 200), New(320, 200)
	v, ru, st := m.viewOf(-40, 20, p.W, p.H)
	for _, s := range surfaces {
		look := Engraved(s.s)
		p.Wipe()
		p.Draw(&m.Figure, &m.Mesh, &m.Frame, &v, ru, st, look)
		other := v
		other.CX += 31
		q.Wipe() // a different frame before, so that nothing may be left over
		q.Draw(&m.Figure, &m.Mesh, &m.Frame, &other, ru, st, Engraved(Plain))
		q.Wipe()
		q.Draw(&m.Figure, &m.Mesh, &m.Frame, &v, ru, st, look)
		for i := range p.Pix {
			if p.Pix[i] != q.Pix[i] || p.cell[i] != q.cell[i] {
				t.Fatalf("%s: pixel %d, %d differs: %08x, %08x", s.name, i%p.W, i/p.W, p.Pix[i], q.Pix[i])
			}
		}
	}
}

func TestNoAllocationOnceWarm(t *testing.T) {
	m := dressed(2000)
	p := New(320, 200)
	v, ru, st := m.viewOf(28, 9, p.W, p.H)
	for _, s := range surfaces {
		look := Engraved(s.s)
		f := func() {
			p.Wipe()
			p.Draw(&m.Figure, &m.Mesh, &m.Frame, &v, ru, st, look)
			p.Line(3, 4, 90, 70, 1.1, st.Ink, 1)
			p.Text(20, 20, 11, "1.86 m", st.Ink, 1, Left)
		}
		f()
		if n := testing.AllocsPerRun(5, f); n > 0 {
			t.Errorf("%s: %.0f allocations a frame", s.name, n)
		}
	}
}

// Files hold anything: positions that are no numbers, infinite or huge, normals
// and slopes likewise, and cameras among them. Nothing may panic, and what is
// sound must be drawn.
func TestAnyNumberIsTaken(t *testing.T) {
	bad := []float32{float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1)), math.MaxFloat32, -math.MaxFloat32, 1e20, 1e-40, 0}
	rng := rand.New(rand.NewPCG(5, 6))
	p := New(200, 150)
	for round := range 60 {
		m := dressed(700)
		spoil := func(s []float32, one int) {
			for range len(s) / one {
				s[rng.IntN(len(s))] = bad[rng.IntN(len(bad))]
			}
		}
		spoil(m.Pos, 40)
		spoil(m.Normal, 20)
		spoil(m.Slope, 20)
		spoil(m.Lens, 20)
		spoil(m.UV, 20)
		v, ru, st := m.viewOf(rng.Float64()*360, rng.Float64()*80, p.W, p.H)
		if round%3 == 0 {
			v.M[11] += 4 + 2*rng.Float32()
		}
		look := Engraved(surfaces[round%len(surfaces)].s)
		look.Edges = round%2 == 0
		p.Wipe()
		p.Draw(&m.Figure, &m.Mesh, &m.Frame, &v, ru, st, look)
		for range 50 {
			p.Pick(rng.IntN(p.W), rng.IntN(p.H))
		}
		seen := make([]bool, len(m.S))
		p.Unhidden(seen, .001)
	}
	m := mannequin(700)
	v, ru, st := m.viewOf(28, 9, p.W, p.H)
	draw := func() int {
		p.Wipe()
		p.Draw(&m.Figure, &m.Mesh, &m.Frame, &v, ru, st, Engraved(Plain))
		n := 0
		for _, c := range p.cell {
			if c != 0 {
				n++
			}
		}
		return n
	}
	whole := draw()
	for i := 0; i < len(m.Pos); i += 3 * 50 {
		m.Pos[i] = bad[0]
	}
	if n := draw(); n < whole/3 {
		t.Errorf("one vertex in fifty is no number: %d pixels of %d are drawn", n, whole)
	}
}

// A coarser mesh over some of the vertices, as drawn while moving.
func TestMeshOverSomeVertices(t *testing.T) {
	m := mannequin(2000)
	coarse := Mesh{Part: m.Part[:200], Open: m.Open[:200], Tri: m.Tri[:600]}
	coarse.Used = slices.Compact(slices.Sorted(slices.Values(coarse.Tri)))
	for _, e := range m.Edge {
		if e.T0 < 200 && e.T1 < 200 {
			coarse.Edge = append(coarse.Edge, e)
		}
	}
	p, q := New(320, 200), New(320, 200)
	v, ru, st := m.viewOf(28, 9, p.W, p.H)
	p.Draw(&m.Figure, &coarse, &m.Frame, &v, ru, st, Engraved(Plain))
	all := coarse
	all.Used = nil
	q.Draw(&m.Figure, &all, &m.Frame, &v, ru, st, Engraved(Plain))
	if !slices.Equal(p.Pix, q.Pix) {
		t.Error("naming the used vertices changes the picture")
	}
	if h, ok := p.Pick(160, 80); ok && h.Tri >= 200 {
		t.Errorf("picked triangle %d of a mesh of 200", h.Tri)
	}
}

func TestHalve(t *testing.T) {
	p := New(4, 4)
	copy(p.Pix, []uint32{
		0xff000000, 0xff0000ff, 1, 2,
		0xff00ff00, 0xffff0000, 3, 5,
		7, 7, 0, 0,
		7, 7, 0, 0xff010101,
	})
	got := make([]uint32, 4)
	p.Halve(got)
	// means, halves up, by hand
	for i, want := range []uint32{0xff404040, 0xff000003, 0xff000007, 0xff000000} {
		if got[i] != want {
			t.Errorf("pixel %d: %08x, want %08x", i, got[i], want)
		}
	}
}

// The category of a pixel is that of the corner with the largest share.
func TestCategoriesGoToTheNearestCorner(t *testing.T) {
	f := &Frame{Pos: []float32{-1, -1, 0, 1, -1, 0, 0, 1, 0}, Normal: []float32{0, 0, 1, 0, 0, 1, 0, 0, 1}, Category: []uint8{0, 1, 2}}
	fig := &Figure{Mesh: Mesh{Tri: []uint32{0, 1, 2}}}
	v := View{M: [12]float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, -4}, Focal: 300, CX: 100, CY: 100, Near: .1}
	st := NewStyle(testDay)
	p := New(200, 200)
	p.Draw(fig, &fig.Mesh, f, &v, Ruling{}, st, Look{Surface: Category})
	wrong, mixedPixels := 0, 0
	for y := range p.H {
		for x := range p.W {
			h, ok := p.Pick(x, y)
			if !ok {
				continue
			}
			s := h.Bary[:]
			k := most(s[0], s[1], s[2])
			own := false
			for d := range 8 {
				own = own || p.Pix[y*p.W+x] == st.category[8*k+d]
			}
			rest := slices.Clone(s)
			rest[k] = -1
			clear := s[k]-slices.Max(rest) > .02
			if !own && clear {
				wrong++
			}
			if !own {
				mixedPixels++
			}
		}
	}
	if wrong > 0 || mixedPixels == 0 || mixedPixels > 600 {
		t.Errorf("%d pixels wrong, %d on smoothed borders", wrong, mixedPixels)
	}
}

// Where a lens has no value the surface is hatched, and only there.
func TestNoValue(t *testing.T) {
	nan := float32(math.NaN())
	f := &Frame{Pos: []float32{-1, -1, 0, 1, -1, 0, 0, 1, 0}, Normal: []float32{0, 0, 1, 0, 0, 1, 0, 0, 1}, Lens: []float32{nan, 1, 1}}
	fig := &Figure{Mesh: Mesh{Tri: []uint32{0, 1, 2}}}
	v := View{M: [12]float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, -4}, Focal: 300, CX: 100, CY: 100, Near: .1}
	st := NewStyle(testDay)
	p := New(200, 200)
	p.Draw(fig, &fig.Mesh, f, &v, Ruling{}, st, Look{Surface: Value})
	hatch := 0
	for y := range p.H {
		for x := range p.W {
			h, ok := p.Pick(x, y)
			if !ok {
				continue
			}
			c := p.Pix[y*p.W+x]
			full := false
			for d := range 8 {
				full = full || c == st.ramp[d<<8|255]
			}
			k := most(h.Bary[0], h.Bary[1], h.Bary[2])
			if full != (k != 0) && math.Abs(float64(h.Bary[0]-max(h.Bary[1], h.Bary[2]))) > .01 {
				t.Fatalf("pixel %d, %d: colour %08x, nearest corner %d", x, y, c, k)
			}
			if !full {
				hatch++
			}
		}
	}
	if hatch < 1000 {
		t.Errorf("%d pixels without a value", hatch)
	}
}

// The copy of a texture is taken where about one texel falls on a pixel: each copy has
// half the texels of the one before, and 1.5 lies between one and two.
func TestTextureLevel(t *testing.T) {
	x := &Texture{levels: make([]level, 5)}
	for _, row := range []struct {
		rho  float32
		want int
	}{{.5, 0}, {1.4, 0}, {1.6, 1}, {2.9, 1}, {3.1, 2}, {6.1, 3}, {1e6, 4}} {
		if got := x.level(row.rho); got != row.want {
			t.Errorf("%g texels a pixel: copy %d, want %d", row.rho, got, row.want)
		}
	}
}
