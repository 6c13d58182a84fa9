package raster

import (
	"math"
	"math/rand/v2"
	"testing"
)

// ray is the outside reference of the tests here: what the middle of a pixel
// sees, in float64, by Cramer's rule on e1·b + e2·c − d·t = −a for every
// triangle. w is the distance along the line of sight.
type ray struct {
	tri     int
	bary    [3]float64
	w       float64
	margin  float64 // least share: how far inside the triangle
	runner  float64 // distance of the next surface behind
	guessed bool    // a triangle that is missed by a hair lies nearer
}

func cast(f *Frame, m *Mesh, v *View, x, y int) (r ray) {
	r.tri, r.w, r.runner = -1, math.Inf(1), math.Inf(1)
	dx := (float64(x) + .5 - float64(v.CX)) / float64(v.Focal)
	dy := -(float64(y) + .5 - float64(v.CY)) / float64(v.Focal)
	for t := 0; 3*t < len(m.Tri); t++ {
		var p [3][3]float64
		for k := range 3 {
			q := f.Pos[3*m.Tri[3*t+k]:]
			for i := range 3 {
				p[k][i] = float64(v.M[4*i])*float64(q[0]) + float64(v.M[4*i+1])*float64(q[1]) + float64(v.M[4*i+2])*float64(q[2]) + float64(v.M[4*i+3])
			}
			p[k][2] = -p[k][2]
		}
		n0, n1, n2 := crossOf(p[1], p[2]), crossOf(p[2], p[0]), crossOf(p[0], p[1])
		d := [3]float64{dx, dy, 1}
		dot := func(a [3]float64) float64 { return a[0]*d[0] + a[1]*d[1] + a[2]*d[2] }
		b := [3]float64{dot(n0), dot(n1), dot(n2)}
		det := p[0][0]*n0[0] + p[0][1]*n0[1] + p[0][2]*n0[2]
		sum := b[0] + b[1] + b[2]
		if sum == 0 || det == 0 {
			continue
		}
		w := det / sum
		if det < 0 && (m.Open == nil || !m.Open[t]) { // a back face of a closed shell
			continue
		}
		for k := range b {
			b[k] /= sum
		}
		least := min(b[0], b[1], b[2])
		if w < float64(v.Near)*.999 || least < -1e-3 {
			continue
		}
		if least < 0 || w < float64(v.Near)*1.001 {
			r.guessed = r.guessed || w < r.w*1.001
			continue
		}
		if w < r.w {
			r.runner = r.w
			r.tri, r.w, r.bary, r.margin = t, w, b, least
		} else {
			r.runner = min(r.runner, w)
		}
	}
	return r
}

// Every pixel of the plane is drawn exactly once, whatever the triangles: shared
// edges neither overlap nor gape. Triangles are filled one by one and counted.
func TestSharedEdgesAreDrawnOnce(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	const n = 10
	for _, c := range []struct {
		name  string
		place func(i, j int) (x, y, z float32)
		view  View
	}{
		{"facing", func(i, j int) (float32, float32, float32) {
			return (float32(i) - n/2) * .3, (float32(j) - n/2) * .3, 0
		}, View{M: [12]float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, -5}, Focal: 260, CX: 52, CY: 39, Near: .1}},
		{"tiny triangles", func(i, j int) (float32, float32, float32) {
			return (float32(i) - n/2) * .01, (float32(j) - n/2) * .01, 0
		}, View{M: [12]float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, -5}, Focal: 600, CX: 52.3, CY: 39.7, Near: .1}},
		{"floor through the eye plane", func(i, j int) (float32, float32, float32) {
			return (float32(i) - n/2) * 2, -1, (float32(j) - n/2) * -2
		}, View{M: [12]float32{1, 0, 0, .1, 0, .8, -.6, 0, 0, .6, .8, -.7}, Focal: 90, CX: 52, CY: 39, Near: .01}},
		{"far beyond the guard band", func(i, j int) (float32, float32, float32) {
			return (float32(i) - n/2) * 4000, (float32(j) - n/2) * 3000, float32(i*j%5) * .1
		}, View{M: [12]float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, -5}, Focal: 90, CX: 52, CY: 39, Near: .01}},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := &Frame{}
			for j := range n + 1 {
				for i := range n + 1 {
					x, y, z := c.place(i, j)
					if i > 0 && j > 0 && i < n && j < n { // jitter along the sheet
						x1, y1, z1 := c.place(i+1, j)
						x2, y2, z2 := c.place(i, j+1)
						a, b := rng.Float32()*.6, rng.Float32()*.6
						x, y, z = x+(x1-x)*a+(x2-x)*b, y+(y1-y)*a+(y2-y)*b, z+(z1-z)*a+(z2-z)*b
					}
					f.Pos = append(f.Pos, x, y, z)
					f.Normal = append(f.Normal, 0, 0, 1)
				}
			}
			full := &Mesh{}
			for j := range uint32(n) {
				for i := range uint32(n) {
					a := j*(n+1) + i
					q := [6]uint32{a, a + 1, a + n + 1, a + 1, a + n + 2, a + n + 1}
					if rng.IntN(2) == 0 {
						q = [6]uint32{a, a + 1, a + n + 2, a, a + n + 2, a + n + 1}
					}
					full.Tri = append(full.Tri, q[:]...)
				}
			}
			p := New(104, 78)
			fig := &Figure{}
			count := make([]int, p.W*p.H)
			var total int
			for k := 0; k < len(full.Tri); k += 3 {
				one := &Mesh{Tri: full.Tri[k : k+3], Open: []bool{true}}
				p.Wipe()
				p.Project(fig, one, f, &c.view, Ruling{})
				p.Fill(Look{})
				for i, cell := range p.cell {
					if cell != 0 {
						count[i]++
						total++
					}
				}
			}
			// Where the middle of a pixel surely sees the sheet, once; surely
			// not, never; at the rim, at most once.
			open := make([]bool, len(full.Tri)/3)
			for i := range open {
				open[i] = true
			}
			full.Open = open
			bad := 0
			for y := 0; y < p.H; y++ {
				for x := 0; x < p.W; x++ {
					r := cast(f, full, &c.view, x, y)
					got := count[y*p.W+x]
					switch {
					case r.tri < 0 && !r.guessed && got != 0,
						r.tri >= 0 && r.margin > 1e-3 && got != 1,
						got > 1 && math.IsInf(r.runner, 1):
						if bad++; bad < 4 {
							t.Errorf("pixel %d, %d drawn %d times; the sheet there: %+v", x, y, got, r)
						}
					}
					if r.tri >= 0 && got == 0 && math.IsInf(r.runner, 1) && inner(full, f, n, r.tri) {
						if bad++; bad < 4 {
							t.Errorf("pixel %d, %d: a gap in triangle %d", x, y, r.tri)
						}
					}
				}
			}
			if total == 0 {
				t.Error("nothing drawn")
			}
			if bad > 0 {
				t.Errorf("%d pixels wrong of %d drawn", bad, total)
			}
		})
	}
}

// inner tells whether a triangle of the sheet touches none of its rim.
func inner(m *Mesh, f *Frame, n uint32, t int) bool {
	for _, v := range m.Tri[3*t : 3*t+3] {
		i, j := v%(n+1), v/(n+1)
		if i == 0 || j == 0 || i == n || j == n {
			return false
		}
	}
	return true
}

// A triangle with a corner behind the eye is cut at Near, and its depth is that
// of its plane.
func TestClippingAtTheNearPlane(t *testing.T) {
	f := &Frame{Pos: []float32{-1, -.5, -4, 1.2, -.4, -3, .1, .4, 6}, Normal: make([]float32, 9)}
	m := &Mesh{Tri: []uint32{0, 1, 2}, Open: []bool{true}}
	v := View{M: [12]float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0}, Focal: 100, CX: 160, CY: 100, Near: .25}
	p := New(320, 200)
	p.Project(&Figure{}, m, f, &v, Ruling{})
	p.Fill(Look{})
	if p.at[2].row != cut {
		t.Fatalf("the corner behind the eye is marked %d", p.at[2].row)
	}
	drawn, bad := 0, 0
	for y := range p.H {
		for x := range p.W {
			r := cast(f, m, &v, x, y)
			h, ok := p.Pick(x, y)
			if ok {
				drawn++
			}
			switch sure := r.tri < 0 && !r.guessed || r.tri >= 0 && r.margin > 1e-3; {
			case sure && ok != (r.tri >= 0):
				bad++
				t.Logf("pixel %d, %d drawn: %v; reference %+v", x, y, ok, r)
			case ok && r.tri >= 0 && math.Abs(float64(h.Distance)/r.w-1) > 1e-4:
				bad++
				t.Logf("pixel %d, %d: distance %g, reference %g", x, y, h.Distance, r.w)
			case ok && h.Distance < .2499:
				bad++
				t.Logf("pixel %d, %d: distance %g is nearer than Near", x, y, h.Distance)
			}
		}
	}
	if drawn < 1000 || bad > 0 {
		t.Errorf("%d pixels drawn, %d wrong", drawn, bad)
	}
}

// Picking agrees with rays cast at every triangle in float64.
func TestPickingIsExact(t *testing.T) {
	m := mannequin(3000)
	p := New(320, 200)
	for _, c := range []struct {
		name       string
		yaw, pitch float64
		near       bool
	}{{"three-quarter", 28, 9, false}, {"from above", -70, 60, false}, {"close up", 200, -20, true}} {
		t.Run(c.name, func(t *testing.T) {
			v, ru, _ := m.viewOf(c.yaw, c.pitch, p.W, p.H)
			if c.near {
				v.M[11] += 5.45 // the eye among the limbs
				v.Focal *= .5
			}
			p.Wipe()
			p.Project(&m.Figure, &m.Mesh, &m.Frame, &v, ru)
			p.Fill(Look{})
			rng := rand.New(rand.NewPCG(3, 4))
			checked := 0
			for range 500 {
				x, y := rng.IntN(p.W), rng.IntN(p.H)
				r := cast(&m.Frame, &m.Mesh, &v, x, y)
				if r.guessed || r.tri >= 0 && (r.margin < 1e-3 || r.runner < r.w*1.0005) {
					continue // too near an edge, or two surfaces in one place
				}
				h, ok := p.Pick(x, y)
				if ok != (r.tri >= 0) {
					t.Errorf("pixel %d, %d: picked %v, reference %+v", x, y, ok, r)
					continue
				}
				if !ok {
					continue
				}
				checked++
				if int(h.Tri) != r.tri || math.Abs(float64(h.Distance)/r.w-1) > 1e-4 || h.Part != m.Part[r.tri] {
					t.Errorf("pixel %d, %d: triangle %d at %g, reference %d at %g", x, y, h.Tri, h.Distance, r.tri, r.w)
				}
				best, sum := 0, float32(0)
				for k := range 3 {
					sum += h.Bary[k]
					if math.Abs(float64(h.Bary[k])-r.bary[k]) > 5e-3 {
						t.Errorf("pixel %d, %d: share %d is %g, reference %g", x, y, k, h.Bary[k], r.bary[k])
					}
					if r.bary[k] > r.bary[best]+5e-3 {
						best = k
					}
				}
				if math.Abs(float64(sum)-1) > 1e-5 {
					t.Errorf("pixel %d, %d: shares sum to %g", x, y, sum)
				}
				if want := m.Tri[3*r.tri+best]; r.bary[best] > .51 && h.Vertex != want {
					t.Errorf("pixel %d, %d: nearest corner %d, reference %d", x, y, h.Vertex, want)
				}
			}
			if checked < 30 {
				t.Errorf("only %d pixels could be checked", checked)
			}
		})
	}
	if _, ok := p.Pick(-1, 5); ok {
		t.Error("something picked off the plate")
	}
}

// Every pixel of a slanting textured sheet shows the texel its middle lies in.
func TestTextureIsExact(t *testing.T) {
	const n = 64
	pix := make([]uint32, n*n)
	for i := range pix {
		pix[i] = 0xff000000 | uint32(i%n)*4 | uint32(i/n)*4<<8 | 77<<16
	}
	for _, c := range []struct {
		name       string
		wrapS      Wrap
		wrapT      Wrap
		scale, off float32
		tilt       float64
	}{
		{"facing", Repeat, Repeat, 1, 0, 0},
		{"slanting", Repeat, Repeat, 1, 0, 1.1},
		{"slanting, repeated", Repeat, Repeat, 2.5, -.7, 1.1},
		{"mirrored", Mirror, Mirror, 2.5, -.7, .8},
		{"clamped", Clamp, Clamp, 2.5, -.7, .8},
		{"mixed", Clamp, Mirror, 3, -1.3, .5},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := &Frame{Normal: make([]float32, 12)}
			fig := &Figure{Materials: []Material{{Colour: 0xffffffff, Texture: NewTexture(n, n, pix, c.wrapS, c.wrapT)}}}
			fig.Materials[0].Texture.levels = fig.Materials[0].Texture.levels[:1]
			cs, sn := float32(math.Cos(c.tilt)), float32(math.Sin(c.tilt))
			for _, q := range [4][2]float32{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
				f.Pos = append(f.Pos, q[0], q[1]*cs, -q[1]*sn)
				fig.UV = append(fig.UV, (q[0]+1)/2*c.scale+c.off, (1-q[1])/2*c.scale+c.off)
			}
			fig.Tri, fig.Open = []uint32{0, 1, 2, 0, 2, 3}, []bool{true, true}
			v := View{M: [12]float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, -2.5}, Focal: 210, CX: 160, CY: 100, Near: .1}
			st := NewStyle(testDay)
			for i := range st.paint {
				st.paint[i] = 256 // the test is of place, not of shade
			}
			p := New(320, 200)
			p.Draw(fig, &fig.Mesh, f, &v, Ruling{}, st, Look{Surface: Painted})
			checked, bad := 0, 0
			for y := range p.H {
				for x := range p.W {
					r := cast(f, &fig.Mesh, &v, x, y)
					if r.tri < 0 || r.margin < 1e-4 {
						continue
					}
					var uv [2]float64
					for k, q := range fig.Tri[3*r.tri : 3*r.tri+3] {
						uv[0] += r.bary[k] * float64(fig.UV[2*q])
						uv[1] += r.bary[k] * float64(fig.UV[2*q+1])
					}
					near := false
					var at [2]int
					for k, how := range [2]Wrap{c.wrapS, c.wrapT} {
						q := uv[k] * n
						near = near || math.Abs(q-math.Round(q)) < .02
						i := int(math.Floor(q))
						switch how {
						case Repeat:
							i = ((i % n) + n) % n
						case Clamp:
							i = min(max(i, 0), n-1)
						case Mirror:
							i = ((i % (2 * n)) + 2*n) % (2 * n)
							if i >= n {
								i = 2*n - 1 - i
							}
						}
						at[k] = i
					}
					if near {
						continue // on the border of two texels
					}
					checked++
					if got, want := p.Pix[y*p.W+x], pix[at[1]*n+at[0]]; got != want {
						if bad++; bad < 4 {
							t.Errorf("pixel %d, %d: colour %08x, texel %d, %d is %08x", x, y, got, at[0], at[1], want)
						}
					}
				}
			}
			if bad > 0 || checked < 8000 {
				t.Errorf("%d of %d pixels wrong", bad, checked)
			}
		})
	}
}

// Painted pixels under the cutoff are left out of picture and picking, and what
// lies behind them is seen.
func TestCutoff(t *testing.T) {
	pix := make([]uint32, 16)
	for i := range pix {
		a := uint32(255)
		if (i%4+i/4)%2 == 0 {
			a = 100
		}
		pix[i] = a<<24 | 0x2040ff
	}
	f := &Frame{Normal: make([]float32, 24)}
	fig := &Figure{Materials: []Material{{Colour: 0xffffffff, Texture: NewTexture(4, 4, pix, Repeat, Repeat), Cutoff: .5}, {Colour: RGB(0x00ff00)}}}
	for _, z := range []float32{0, -1} {
		for _, q := range [4][2]float32{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			f.Pos = append(f.Pos, q[0], q[1], z)
			fig.UV = append(fig.UV, (q[0]+1)/2, (1-q[1])/2)
		}
	}
	fig.Tri, fig.Material = []uint32{0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7}, []uint16{0, 0, 1, 1}
	v := View{M: [12]float32{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, -5}, Focal: 200, CX: 50, CY: 50, Near: .1}
	p := New(100, 100)
	st := NewStyle(testDay)
	p.Draw(fig, &fig.Mesh, f, &v, Ruling{}, st, Look{Surface: Painted})
	// The sheet spans 10 … 90, a texel is 20 px.
	for _, c := range []struct {
		x, y int
		tri  uint32
	}{{20, 20, 3}, {40, 20, 1}, {40, 40, 3}, {20, 40, 1}, {80, 60, 0}} {
		h, ok := p.Pick(c.x, c.y)
		if !ok || h.Tri/2 != c.tri/2 {
			t.Errorf("pixel %d, %d: triangle %d (%v), want sheet %d", c.x, c.y, h.Tri, ok, c.tri/2)
		}
	}
	if solid, _ := p.Pick(20, 20); solid.Tri < 2 {
		t.Error("a pixel under the cutoff was drawn")
	}
	p.Wipe()
	p.Draw(fig, &fig.Mesh, f, &v, Ruling{}, st, Look{})
	if h, _ := p.Pick(20, 20); h.Tri > 1 {
		t.Error("the cutoff holds for the painted surface only")
	}
}
