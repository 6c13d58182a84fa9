package raster

import (
	"cmp"
	"math"
	"slices"
	"testing"
)

// maker builds figures for tests: surfaces of revolution with all that a frame
// needs. Seam vertices are doubled for UV, as files have them; edges join them.
type maker struct {
	Figure
	Frame
	weld []uint32
	next uint32
	box  [2][3]float32
}

// turn is one surface of revolution: profile gives radius and height for
// t 0 … 1, around an axis from a along dir (unit). Rings whose radius is 0 are
// poles. open marks surfaces whose profile does not close.
func (m *maker) turn(a, dir [3]float64, rings, sides int, open bool, profile func(t float64) (r, h float64)) {
	part := uint16(0)
	if n := len(m.Part); n > 0 {
		part = m.Part[n-1] + 1
	}
	x := [3]float64{1, 0, 0}
	if math.Abs(dir[0]) > .8 {
		x = [3]float64{0, 1, 0}
	}
	u := unitOf(crossOf(dir, x))
	v := crossOf(dir, u)
	base := uint32(len(m.Pos) / 3)
	wbase := m.next
	normal := func(t float64, c, s float64) [3]float64 {
		const e = 1e-4
		r0, h0 := profile(max(0, t-e))
		r1, h1 := profile(min(1, t+e))
		out, along := h1-h0, -(r1 - r0) // perpendicular to the profile
		var n [3]float64
		for k := range 3 {
			n[k] = out*(c*u[k]+s*v[k]) + along*dir[k]
		}
		return unitOf(n)
	}
	r0, h0 := profile(0)
	r1, h1 := profile(1)
	ring := r0 > 0 && math.Abs(r0-r1)+math.Abs(h0-h1) < 1e-9 // a torus closes on itself
	for i := range rings + 1 {
		t := float64(i) / float64(rings)
		r, h := profile(t)
		for j := range sides + 1 {
			g := 2 * math.Pi * float64(j) / float64(sides)
			c, s := math.Cos(g), math.Sin(g)
			n := normal(t, c, s)
			slope := [3]float64{}
			d := dir[0]*n[0] + dir[1]*n[1] + dir[2]*n[2]
			for k := range 3 {
				q := float32(a[k] + h*dir[k] + r*(c*u[k]+s*v[k]))
				m.Pos = append(m.Pos, q)
				m.Normal = append(m.Normal, float32(n[k]))
				slope[k] = dir[k] - n[k]*d
				m.Slope = append(m.Slope, float32(slope[k]))
				if len(m.S) == 0 && k == 0 {
					m.box = [2][3]float32{{1e9, 1e9, 1e9}, {-1e9, -1e9, -1e9}}
				}
				m.box[0][k], m.box[1][k] = min(m.box[0][k], q), max(m.box[1][k], q)
			}
			p := m.Pos[len(m.Pos)-3:]
			along := float32(h + 3)
			m.S = append(m.S, along)
			m.T = append(m.T, along*.55+4+.75*(p[0]+p[2]))
			m.Bias = append(m.Bias, .03*float32(math.Sin(float64(17*p[0]+23*p[1]))))
			m.UV = append(m.UV, float32(j)/float32(sides), float32(t))
			row := i
			if i == rings && ring {
				row = 0
			}
			w := wbase + uint32(row*sides+j%sides)
			if r == 0 {
				w = wbase + uint32(i*sides)
			}
			m.weld = append(m.weld, w)
		}
	}
	m.next = wbase + uint32((rings+1)*sides)
	for i := range rings {
		for j := range sides {
			q := base + uint32(i*(sides+1)+j)
			p, r, s := q+1, q+uint32(sides)+1, q+uint32(sides)+2
			for _, t := range [2][3]uint32{{q, p, r}, {p, s, r}} {
				if m.weld[t[0]] == m.weld[t[1]] || m.weld[t[1]] == m.weld[t[2]] || m.weld[t[0]] == m.weld[t[2]] {
					continue
				}
				m.Tri = append(m.Tri, t[:]...)
				m.Part = append(m.Part, part)
				m.Open = append(m.Open, open)
			}
		}
	}
}

// edges joins triangles by welded corners; creases where normals at a shared
// corner part by more than 30°.
func (m *maker) edges() {
	type half struct{ lo, hi, a, b, t uint32 }
	var hs []half
	for i := 0; i < len(m.Tri); i += 3 {
		for c := range 3 {
			a, b := m.Tri[i+c], m.Tri[i+(c+1)%3]
			hs = append(hs, half{min(m.weld[a], m.weld[b]), max(m.weld[a], m.weld[b]), a, b, uint32(i / 3)})
		}
	}
	slices.SortFunc(hs, func(p, q half) int {
		return cmp.Or(cmp.Compare(p.lo, q.lo), cmp.Compare(p.hi, q.hi), cmp.Compare(p.t, q.t))
	})
	for i := 0; i < len(hs); i++ {
		h := hs[i]
		e := Edge{A: h.a, B: h.b, T0: h.t, T1: h.t, Kind: Border}
		if i+1 < len(hs) && hs[i+1].lo == h.lo && hs[i+1].hi == h.hi {
			i++
			e.T1, e.Kind = hs[i].t, Smooth
			n, o := m.faceNormal(h.t), m.faceNormal(e.T1)
			if n[0]*o[0]+n[1]*o[1]+n[2]*o[2] < .6 {
				e.Kind, e.Sharp = Crease, 200
			}
		}
		m.Edge = append(m.Edge, e)
	}
	slices.SortStableFunc(m.Edge, func(a, b Edge) int { return cmp.Compare(a.T0, b.T0) })
}

func (m *maker) faceNormal(t uint32) [3]float64 {
	p := func(k uint32) (q [3]float64) {
		for i := range q {
			q[i] = float64(m.Pos[3*m.Tri[3*t+k]+uint32(i)])
		}
		return q
	}
	a, b, c := p(0), p(1), p(2)
	for i := range 3 {
		b[i], c[i] = b[i]-a[i], c[i]-a[i]
	}
	return unitOf(crossOf(b, c))
}

func crossOf(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func unitOf(a [3]float64) [3]float64 {
	l := math.Sqrt(a[0]*a[0] + a[1]*a[1] + a[2]*a[2])
	return [3]float64{a[0] / l, a[1] / l, a[2] / l}
}

func capsule(length, radius float64) func(t float64) (float64, float64) {
	return func(t float64) (float64, float64) {
		switch {
		case t <= 0:
			return 0, -radius
		case t >= 1:
			return 0, length + radius
		case t < .25:
			a := t / .25 * math.Pi / 2
			return radius * math.Sin(a), -radius * math.Cos(a)
		case t > .75:
			a := (1 - t) / .25 * math.Pi / 2
			return radius * math.Sin(a), length + radius*math.Cos(a)
		}
		return radius, length * (t - .25) / .5
	}
}

// mannequin is an invented figure 1.7 m high, of about n triangles: trunk,
// head, limbs, a belt through the trunk (contact lines), an open cape and a box
// (creases).
func mannequin(n int) *maker {
	m := &maker{}
	k := math.Sqrt(float64(n) / 7000)
	at := func(rings, sides int) (int, int) {
		return max(3, int(float64(rings)*k+.5)), max(3, int(float64(sides)*k+.5))
	}
	limb := func(a, dir [3]float64, length, radius float64, rings, sides int) {
		r, s := at(rings, sides)
		m.turn(a, unitOf(dir), r, s, false, capsule(length, radius))
	}
	limb([3]float64{0, .9, 0}, [3]float64{0, 1, 0}, .42, .16, 30, 28)
	limb([3]float64{0, 1.56, 0}, [3]float64{0, 1, .2}, .04, .11, 24, 24)
	for _, s := range []float64{-1, 1} {
		limb([3]float64{s * .2, 1.36, 0}, [3]float64{s, -.25, .1}, .55, .06, 34, 16)
		limb([3]float64{s * .09, .84, 0}, [3]float64{s * .08, -1, 0}, .72, .085, 34, 18)
	}
	r, s := at(10, 30)
	m.turn([3]float64{0, 1, 0}, [3]float64{0, 1, 0}, r, s, false, func(t float64) (float64, float64) {
		a := 2 * math.Pi * t
		return .165 - .025*math.Cos(a), .04 * -math.Sin(a)
	})
	r, s = at(16, 20)
	m.turn([3]float64{0, .5, -.1}, [3]float64{0, 1, 0}, r, s, true, func(t float64) (float64, float64) { return .3 - .12*t, .8 * t })
	m.turn([3]float64{.3, .02, .2}, [3]float64{0, 1, 0}, 4, 4, false, func(t float64) (float64, float64) {
		switch {
		case t < .2:
			return 0, 0
		case t < .5:
			return .12, 0
		case t < .8:
			return .12, .16
		}
		return 0, .16
	})
	m.edges()
	return m
}

// viewOf is a camera at yaw, pitch (degrees) that frames the box on w × h.
func (m *maker) viewOf(yaw, pitch float64, w, h int) (View, Ruling, *Style) {
	lo, hi := m.box[0], m.box[1]
	mid := [3]float64{float64(lo[0]+hi[0]) / 2, float64(lo[1]+hi[1]) / 2, float64(lo[2]+hi[2]) / 2}
	a, b := yaw*math.Pi/180, pitch*math.Pi/180
	z := [3]float64{math.Sin(a) * math.Cos(b), math.Sin(b), math.Cos(a) * math.Cos(b)}
	v := eyeAt([3]float64{mid[0] + 6*z[0], mid[1] + 6*z[1], mid[2] + 6*z[2]}, z)
	scale := float32(min(float64(h)/1.9, float64(w)/1.9))
	v.Focal, v.CX, v.CY, v.Near = scale*6, float32(w)/2, float32(h)/2, .05
	return v, Rule(scale, 4.4), NewStyle(testDay)
}

// eyeAt looks from eye along −z.
func eyeAt(eye, z [3]float64) (v View) {
	x := unitOf(crossOf([3]float64{0, 1, 0}, z))
	y := crossOf(z, x)
	for i, r := range [3][3]float64{x, y, z} {
		for k := range 3 {
			v.M[4*i+k] = float32(r[k])
		}
		v.M[4*i+3] = float32(-(r[0]*eye[0] + r[1]*eye[1] + r[2]*eye[2]))
	}
	return v
}

// Colours of the tests' own, so that a change of the product's does not move
// golden pictures.
var testDay = Colours{
	Paper: RGB(0xf0ead8), Figure: RGB(0xfcf6ec), Ink: RGB(0x1b2a36), Rule: RGB(0x827c67),
	Ramp: [11]uint32{RGB(0xfcf6ec), RGB(0xedddbf), RGB(0xddc694), RGB(0xd1ac6b), RGB(0xc4933e), RGB(0xad7e34),
		RGB(0x956932), RGB(0x775734), RGB(0x55473b), RGB(0x383736), RGB(0x182832)},
	Press:    [4]uint32{RGB(0xfcf6ec), RGB(0xa8cfd9), RGB(0x5da6b7), RGB(0x227c8e)},
	Category: []uint32{RGB(0x5ac8be), RGB(0xb4795e), RGB(0xbcbbf0), RGB(0x666e35)},
	Count:    []uint32{RGB(0xfcf6ec), RGB(0xedddbf), RGB(0xddc694), RGB(0x775734), RGB(0x182832)},
}

var testNight = Colours{
	Night: true, Paper: RGB(0x0e2225), Figure: RGB(0x1d3437), Ink: RGB(0xefe8d3), Rule: RGB(0x6d8683),
	Ramp: [11]uint32{RGB(0x1d3437), RGB(0x324547), RGB(0x475656), RGB(0x6a6659), RGB(0x8b765b), RGB(0xaa8753),
		RGB(0xca9944), RGB(0xdaaf60), RGB(0xe7c783), RGB(0xf3deb3), RGB(0xfdf6e3)},
	Press:    [4]uint32{RGB(0x1d3437), RGB(0x345961), RGB(0x388394), RGB(0x5cadbf)},
	Category: []uint32{RGB(0x4aa198), RGB(0x70425a), RGB(0x97965c), RGB(0x434175)},
	Count:    []uint32{RGB(0x1d3437), RGB(0x324547), RGB(0x475656), RGB(0xdaaf60), RGB(0xfdf6e3)},
}

func TestMannequinIsWhole(t *testing.T) {
	for _, n := range []int{2000, 7000} {
		m := mannequin(n)
		got := len(m.Tri) / 3
		if got < n*7/10 || got > n*14/10 {
			t.Errorf("asked for %d triangles, got %d", n, got)
		}
		border := 0
		for _, e := range m.Edge {
			if e.Kind == Border && !m.Open[e.T0] {
				border++
			}
		}
		if border > 0 {
			t.Errorf("%d triangles: %d border edges on closed surfaces", n, border)
		}
	}
}

// RGB makes a pixel of 0xrrggbb.
func RGB(h uint32) uint32 { return 0xff000000 | h&0xff<<16 | h&0xff00 | h>>16&0xff }
