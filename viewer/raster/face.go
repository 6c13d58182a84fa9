package raster

// shares turns three corner values into a plane a + ax·x + ay·y on the plate.
type shares struct {
	x, y           float32 // the first corner
	bx, by, cx, cy float32
	area           float32 // doubled, signed, square pixels
}

func (g *shares) load(a, b, c *point) {
	g.x, g.y = a.x, a.y
	x1, y1 := b.x-a.x, b.y-a.y
	x2, y2 := c.x-a.x, c.y-a.y
	k := x1*y2 - x2*y1
	g.area = k
	if absf(k) < 1e-3 {
		k = 1e-3
	}
	k = 1 / k
	g.bx, g.by, g.cx, g.cy = y2*k, -x2*k, -y1*k, x1*k
}

func (g *shares) plane(a, b, c float32) (p, px, py float32) {
	b -= a
	c -= a
	px, py = b*g.bx+c*g.cx, b*g.by+c*g.cy
	return a - px*g.x - py*g.y, px, py
}

// face holds what Print needs of one triangle whose depth varies so little that
// all values are straight in screen space.
type face struct {
	id              uint32
	hasT, vary      bool
	deep            bool    // printed by printWide instead
	nl, nlx, nly    float32 // columns of Style.dark
	nv, nvx, nvy    float32
	s, sx, sy       float32 // in spacings: lines lie at half integers
	gap             float32 // pixels between lines (vary: per metre)
	half            float32 // half width for a share of ink of 1
	odd             float32 // width of odd lines
	keep            float32 // 255 × what is left where lines part
	inv, cap        float32
	w, wx, wy       float32 // metres between lines, where they vary
	l, lx, ly       float32 // lens, 0 … 255
	t, tx, ty, tgap float32 // the crossed set
	b               shares
}

// slant is by how many pixels straight interpolation may miss the true place
// before a triangle is printed with perspective.
const slant = .12

// small is the doubled area, square pixels, under which light is flat.
const small = 5

// The inside of an open surface lies in deep shade: columns of Style.dark.
const insideNL, insideNV = 22, 20

func (g *face) set(p *Plate, id uint32, lens, lines bool) {
	m := p.mesh
	t := id&triMask - 1
	v := m.Tri[3*t : 3*t+3 : 3*t+3]
	i, j, k := v[0], v[1], v[2]
	a, b, c := &p.at[i], &p.at[j], &p.at[k]
	g.id, g.hasT = id, false
	h := &g.b
	h.load(a, b, c)
	if g.deep = !whole(a, b, c) || deep(a, b, c); g.deep {
		return
	}
	if lens {
		x := p.frame.Lens
		l, o, q := x[i], x[j], x[k]
		if s := l + o + q; s-s != 0 { // NaN: no value; infinite: none either
			g.deep = true
			return
		}
		g.l, g.lx, g.ly = h.plane(l*255+.5, o*255+.5, q*255+.5)
	}
	ta, tb, tc := &p.tone[i], &p.tone[j], &p.tone[k]
	if p.facing[t] == back {
		g.nl, g.nlx, g.nly = insideNL, 0, 0
		g.nv, g.nvx, g.nvy = insideNV, 0, 0
	} else if h.area < small && h.area > -small {
		g.nl, g.nlx, g.nly = (ta.nl+tb.nl+tc.nl)*(1/3.), 0, 0
		g.nv, g.nvx, g.nvy = (ta.nv+tb.nv+tc.nv)*(1/3.), 0, 0
	} else {
		g.nl, g.nlx, g.nly = h.plane(ta.nl, tb.nl, tc.nl)
		g.nv, g.nvx, g.nvy = h.plane(ta.nv, tb.nv, tc.nv)
	}
	if !lines {
		return
	}
	f := p.fig
	s, sx, sy := h.plane(f.S[i], f.S[j], f.S[k])
	// The gradient gives the pixels between two lines.
	slope := sqrt(sx*sx+sy*sy) + 1e-12
	wa, wb, wc := ta.want, tb.want, tc.want
	g.vary = wa != wb || wa != wc
	if g.vary { // the spacing changes within the triangle: S stays in metres
		g.w, g.wx, g.wy = h.plane(wa, wb, wc)
		g.s, g.sx, g.sy = s, sx, sy
		g.gap, g.inv, g.odd = 1/slope, 1/p.ruling.Want, 1
	} else {
		size, odd := step(wa)
		g.inv, g.odd, g.gap = 1/size, odd, size/slope
		g.s, g.sx, g.sy = s*g.inv, sx*g.inv, sy*g.inv
	}
	g.half = g.gap
	if g.half > p.ruling.Cap && !g.vary {
		g.half = p.ruling.Cap
	}
	g.half *= .5
	g.cap = p.ruling.Cap * .5
	g.keep = (ta.keep + tb.keep + tc.keep) * (1 / 3.)
}

// deep tells whether straight interpolation over a triangle would miss by more
// than about slant pixels: a quarter of its size times the relative depth range,
// both taken generously, without a branch.
func deep(a, b, c *point) bool {
	z := absf(b.z-a.z) + absf(c.z-a.z)
	return z*(absf(b.x-a.x)+absf(b.y-a.y)+absf(c.x-a.x)+absf(c.y-a.y)) > 4*slant*a.z
}

// line is the coverage by the printed lines at a pixel of darkness d, and by k
// if that is more.
func (g *face) line(p *Plate, fx, fy float32, d uint, k uint32, crossed uint, st *Style) uint32 {
	n := g.s + g.sx*fx + g.sy*fy
	gap, half, odd := g.gap, g.half, g.odd
	if g.vary {
		var size float32
		size, odd = step(g.w + g.wx*fx + g.wy*fy)
		n /= size
		gap *= size
		half = gap * .5
		if half > g.cap {
			half = g.cap
		}
	}
	j := int(n)
	u := (n - float32(j) - .5) * gap
	if u < 0 {
		u = -u
	}
	hw := st.share[d&255] * half
	if j&1 != 0 {
		hw *= odd
	} else { // what one line loses its neighbour gains
		hw *= 2 - odd
	}
	if u < hw+.5 {
		if q := uint32(cover(u, hw) * g.keep); q > k {
			k = q
		}
	}
	if d > crossed {
		if q := g.crossed(p.fig, p.mesh, fx, fy, d-crossed, st); q > k {
			k = q
		}
	}
	return k
}

// rule works out darkness and line coverage of a run. under is the outline's ink
// over it.
func (p *Plate) rule(g *face, fx, fy float32, under []uint8, darks, covers *[tile]uint8, st *Style, from, crossed uint) {
	nl, nv := g.nl+g.nlx*fx+g.nly*fy, g.nv+g.nvx*fx+g.nvy*fy
	for i, k := range under {
		d := uint(st.dark[(int(nl)&127)<<5|int(nv)&31])
		if d > from {
			k = uint8(g.line(p, fx+float32(i), fy, d, uint32(k), crossed, st))
		}
		darks[i&15], covers[i&15] = uint8(d), k
		nl += g.nlx
		nv += g.nvx
	}
}

// crossed is the second set, in the deepest shade only: tilted slices, wider
// apart and thinner than the first.
func (g *face) crossed(f *Figure, m *Mesh, fx, fy float32, d uint, st *Style) uint32 {
	if !g.hasT {
		g.hasT = true
		t := g.id&triMask - 1
		v := m.Tri[3*t : 3*t+3]
		k := g.inv * .5
		g.t, g.tx, g.ty = g.b.plane(f.T[v[0]]*k, f.T[v[1]]*k, f.T[v[2]]*k)
		g.tgap = 1 / (sqrt(g.tx*g.tx+g.ty*g.ty) + 1e-9)
	}
	if g.tgap < 3 {
		return 0
	}
	return crossing(g.t+g.tx*fx+g.ty*fy, g.tgap, d, g.cap, g.keep, st)
}

// crossing is the coverage by a line of the crossed set.
func crossing(t, gap float32, d uint, limit, keep float32, st *Style) uint32 {
	u := absf(t-float32(int(t))-.5) * gap
	hw := float32(d) * st.crossK * lesser(gap, 4*limit)
	if q := cover(u, hw); q > 0 {
		return uint32(q * keep)
	}
	return 0
}
