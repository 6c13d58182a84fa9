package raster

// wide holds what colour and ruleDeep need of one triangle beyond face: the
// shares of its corners at a pixel, with perspective where it matters, from
// corners in homogeneous coordinates (Olano and Greer 1997), so that corners
// behind the eye need no clipping here.
type wide struct {
	id         uint32
	v          [3]uint32
	ox, oy     float32       // pixels: the planes' own origin, in the triangle, for their float32
	b          [3][3]float32 // share (deep: × 1/w) of each corner: at origin, along x, along y
	deep, back bool          // deep: with perspective
	lens       [3]float32
	known      [3]bool // corners with a lens value
	some       bool    // not all of them
	category   [3]uint8
	same       bool // one category
	material   *Material
	texture    *Texture
	level      int
	u, t       [3]float32 // texels of the level, as b
}

// setShares fills b for triangle t, seen near pixel x, y: straight in screen
// space where that is near enough, else with perspective. ok is false for a
// triangle seen edge on.
func (g *wide) setShares(p *Plate, t uint32, x, y float32) bool {
	v := p.mesh.Tri[3*t : 3*t+3 : 3*t+3]
	i, j, k := v[0], v[1], v[2]
	g.v = [3]uint32{i, j, k}
	g.ox, g.oy = x, y
	g.back = p.facing[t] == back
	a, b, c := &p.at[i], &p.at[j], &p.at[k]
	g.deep = !whole(a, b, c) || deep(a, b, c)
	if g.deep {
		return g.setDeep(p, x, y)
	}
	ax, ay := a.x-x, a.y-y
	x1, y1, x2, y2 := b.x-a.x, b.y-a.y, c.x-a.x, c.y-a.y
	area := x1*y2 - x2*y1
	if area < 1e-3 && area > -1e-3 { // a sliver: float64 keeps its sense
		return g.setDeep(p, x, y)
	}
	r := 1 / area
	bx, by, cx, cy := y2*r, -x2*r, -y1*r, x1*r
	b0, c0 := -ax*bx-ay*by, -ax*cx-ay*cy
	g.b = [3][3]float32{{1 - b0 - c0, -bx - cx, -by - cy}, {b0, bx, by}, {c0, cx, cy}}
	return true
}

// setDeep fills b with perspective, from corners in homogeneous coordinates.
func (g *wide) setDeep(p *Plate, x, y float32) bool {
	g.deep, g.ox, g.oy = true, x, y
	var h [3]corner
	for i, u := range g.v {
		a := &p.at[u]
		if a.row <= cut {
			h[i] = p.homogeneous(u)
		} else {
			w := 1 / float64(a.z)
			h[i] = corner{float64(a.x) * w, float64(a.y) * w, w}
		}
		h[i].x -= float64(x) * h[i].w
		h[i].y -= float64(y) * h[i].w
	}
	n := [3]corner{across(h[1], h[2]), across(h[2], h[0]), across(h[0], h[1])}
	det := h[0].x*n[0].x + h[0].y*n[0].y + h[0].w*n[0].w
	if det == 0 {
		return false
	}
	k := 1 / det
	for i := range n {
		g.b[i] = [3]float32{float32(n[i].w * k), float32(n[i].x * k), float32(n[i].y * k)}
	}
	return true
}

func across(a, b corner) corner {
	return corner{a.y*b.w - a.w*b.y, a.w*b.x - a.x*b.w, a.x*b.y - a.y*b.x}
}

// share gives the corners' shares at a pixel and the factor that makes them so:
// the distance there, or 1.
func (g *wide) share(fx, fy float32) (a, b, c, w float32) {
	x, y := fx-g.ox, fy-g.oy
	a = g.b[0][0] + g.b[0][1]*x + g.b[0][2]*y
	b = g.b[1][0] + g.b[1][1]*x + g.b[1][2]*y
	if !g.deep {
		return a, b, 1 - a - b, 1
	}
	c = g.b[2][0] + g.b[2][1]*x + g.b[2][2]*y
	w = 1 / (a + b + c)
	return a * w, b * w, c * w, w
}

// slope is the length of a value's gradient on the plate, per pixel, where the
// value is v and the distance w.
func (g *wide) slope(a, b, c, v, w float32) float32 {
	a, b, c = a-v, b-v, c-v
	x := (g.b[0][1]*a + g.b[1][1]*b + g.b[2][1]*c) * w
	y := (g.b[0][2]*a + g.b[1][2]*b + g.b[2][2]*c) * w
	return sqrt(x*x + y*y)
}

// wideOf finds a triangle in the cache, or works it out, seen at fx, fy.
func (p *Plate) wideOf(id uint32, fx, fy float32, show Surface) *wide {
	g := &p.wide[id%faces]
	if g.id == id {
		return g
	}
	g.id = id
	if !g.setShares(p, id&triMask-1, fx, fy) {
		g.b = [3][3]float32{{1}, {1}, {1}} // edge on, yet filled: its middle
	}
	switch show {
	case Value, TwoSided:
		g.some = false
		var sum, n float32
		for i, v := range g.v {
			x := p.frame.Lens[v]
			g.lens[i], g.known[i] = x, x-x == 0
			if g.known[i] {
				sum, n = sum+x, n+1
			} else {
				g.some = true
			}
		}
		for i := range g.lens {
			if !g.known[i] && n > 0 {
				g.lens[i] = sum / n
			}
		}
	case Category, Count:
		for i, v := range g.v {
			g.category[i] = p.frame.Category[v]
		}
		g.same = g.category[0] == g.category[1] && g.category[0] == g.category[2]
	case Painted:
		p.setPaint(g, id&triMask-1)
	}
	return g
}

// bare is what a figure without materials is painted with.
var bare = Material{Colour: 0xffffffff}

func (p *Plate) setPaint(g *wide, t uint32) {
	g.material = &bare
	i := 0
	if p.mesh.Material != nil {
		i = int(p.mesh.Material[t])
	}
	if i < len(p.fig.Materials) {
		g.material = &p.fig.Materials[i]
	}
	g.texture = g.material.Texture
	if len(p.fig.UV) < 2*len(p.at) {
		g.texture = nil
	}
	if g.texture != nil { // texels a pixel: root of the ratio of areas
		full := &g.texture.levels[0]
		uv := p.fig.UV
		a, b, c := 2*g.v[0], 2*g.v[1], 2*g.v[2]
		u1, v1, u2, v2 := uv[b]-uv[a], uv[b+1]-uv[a+1], uv[c]-uv[a], uv[c+1]-uv[a+1]
		texels := absf(u1*v2-u2*v1) * float32(full.w) * float32(full.h)
		q, r, s := &p.at[g.v[0]], &p.at[g.v[1]], &p.at[g.v[2]]
		pixels := absf((r.x-q.x)*(s.y-q.y) - (s.x-q.x)*(r.y-q.y))
		g.level = 0
		if whole(q, r, s) && pixels > 1e-3 {
			g.level = g.texture.level(sqrt(texels / pixels))
		}
		l := &g.texture.levels[g.level]
		w, h := float32(l.w), float32(l.h)
		for i := range 3 {
			g.u[i] = (g.b[0][i]*uv[a] + g.b[1][i]*uv[b] + g.b[2][i]*uv[c]) * w
			g.t[i] = (g.b[0][i]*uv[a+1] + g.b[1][i]*uv[b+1] + g.b[2][i]*uv[c+1]) * h
		}
	}
}

// paint is the material's colour at a pixel, alpha included.
func (g *wide) paint(f *Figure, fx, fy float32) uint32 {
	col := g.material.Colour
	x, y := fx-g.ox, fy-g.oy
	if t := g.texture; t != nil {
		u, v := g.u[0]+g.u[1]*x+g.u[2]*y, g.t[0]+g.t[1]*x+g.t[2]*y
		if g.deep {
			w := 1 / (g.b[0][0] + g.b[1][0] + g.b[2][0] + (g.b[0][1]+g.b[1][1]+g.b[2][1])*x + (g.b[0][2]+g.b[1][2]+g.b[2][2])*y)
			u, v = u*w, v*w
		}
		l := &t.levels[g.level]
		i, j := floor(u), floor(v)
		if uint(i) >= uint(l.w) {
			i = wrap(i, l.w, t.WrapS)
		}
		if uint(j) >= uint(l.h) {
			j = wrap(j, l.h, t.WrapT)
		}
		if col == 0xffffffff {
			col = l.pix[j*l.w+i]
		} else {
			col = times(l.pix[j*l.w+i], col)
		}
	}
	if t := f.Tint; t != nil {
		p, q, r := t[g.v[0]], t[g.v[1]], t[g.v[2]]
		if p == q && p == r {
			return times(col, p)
		}
		_, b, c, _ := g.share(fx, fy)
		// Weights of 8 bits; two channels a word.
		m, n := uint32(min(1, max(0, b))*256+.5), uint32(min(1, max(0, c))*256+.5)
		m = min(m, 256)
		n = min(n, 256-m)
		l := 256 - m - n
		rb := (p&0xff00ff*l + q&0xff00ff*m + r&0xff00ff*n) >> 8 & 0xff00ff
		ga := (p>>8&0xff00ff*l + q>>8&0xff00ff*m + r>>8&0xff00ff*n) & 0xff00ff00
		col = times(col, rb|ga)
	}
	return col
}

// sieve leaves out the pixels of a painted triangle whose alpha is too low.
type sieve struct {
	wide
	fig   *Figure
	limit uint32
}

// hasHoles tells whether any material leaves pixels out.
func (p *Plate) hasHoles() bool {
	for i := range p.fig.Materials {
		if p.fig.Materials[i].Cutoff > 0 {
			return true
		}
	}
	return false
}

// sieveOf returns the sieve of a triangle, nil for a whole one. It lasts until
// the next call.
func (p *Plate) sieveOf(t uint32) *sieve {
	i := 0
	if p.mesh.Material != nil {
		i = int(p.mesh.Material[t])
	}
	if i >= len(p.fig.Materials) || p.fig.Materials[i].Cutoff <= 0 {
		return nil
	}
	k := &p.holes
	q := &p.at[p.mesh.Tri[3*t]]
	x, y := q.x, q.y
	if q.row <= cut {
		x, y = float32(p.W)/2, float32(p.H)/2
	}
	if !k.setShares(p, t, x, y) {
		return nil
	}
	p.setPaint(&k.wide, t)
	k.fig, k.limit = p.fig, uint32(min(1, p.fig.Materials[i].Cutoff)*255+.5)
	return k
}

func (k *sieve) passes(x, y int) bool {
	return k.paint(k.fig, float32(x)+.5, float32(y)+.5)>>24 >= k.limit
}

// ruleDeep works out darkness and line coverage of a run with perspective. under
// is the outline's ink over the run.
func (p *Plate) ruleDeep(g *wide, fx, fy float32, under []uint8, darks, covers *[tile]uint8, st *Style, from, crossed uint) {
	f := p.fig
	i, j, k := g.v[0], g.v[1], g.v[2]
	ta, tb, tc := &p.tone[i], &p.tone[j], &p.tone[k]
	limit := p.ruling.Cap * .5
	keep := (ta.keep + tb.keep + tc.keep) * (1 / 3.)
	vary := ta.want != tb.want || ta.want != tc.want
	for n := range under {
		a, b, c, w := g.share(fx, fy)
		fx++
		nl, nv := float32(insideNL), float32(insideNV)
		if !g.back {
			nl = ta.nl*a + tb.nl*b + tc.nl*c
			nv = ta.nv*a + tb.nv*b + tc.nv*c
		}
		d := uint(st.dark[(int(nl)&127)<<5|int(nv)&31])
		q := uint32(under[n])
		if d > from {
			want := ta.want
			if vary {
				want = ta.want*a + tb.want*b + tc.want*c
			}
			size, odd := step(want)
			s := f.S[i]*a + f.S[j]*b + f.S[k]*c
			gap := size / (g.slope(f.S[i], f.S[j], f.S[k], s, w) + 1e-12)
			l := s / size
			e := int(l)
			hw := st.share[d&255] * lesser(gap*.5, limit)
			if e&1 != 0 {
				hw *= odd
			} else {
				hw *= 2 - odd
			}
			if u := absf(l-float32(e)-.5) * gap; u < hw+.5 {
				q = max(q, uint32(cover(u, hw)*keep))
			}
			if d > crossed {
				r := .5 / p.ruling.Want
				if !vary {
					r = .5 / size
				}
				t := f.T[i]*a + f.T[j]*b + f.T[k]*c
				if gap := 1 / (g.slope(f.T[i], f.T[j], f.T[k], t, w)*r + 1e-9); gap >= 3 {
					q = max(q, crossing(t*r, gap, d-crossed, limit, keep, st))
				}
			}
		}
		darks[n&15], covers[n&15] = uint8(d), uint8(q)
	}
}

// colour prints a run of pixels of one triangle from x, y on: any surface.
func (p *Plate) colour(g *wide, x, y int, out []uint32, darks, covers *[tile]uint8, under []uint8, st *Style, show Surface) {
	fx, fy := float32(x)+.5, float32(y)+.5
	unit := max(1, int(p.Unit+.5))
	for n := range out {
		d := uint(darks[n&15])
		q := uint32(covers[n&15])
		line := st.Ink
		var base uint32
		switch show {
		case Painted:
			col := g.paint(p.fig, fx+float32(n), fy)
			s := st.paint[d]
			base = 0xff000000 | (col&0xff00ff*s>>8)&0xff00ff | (col&0xff00*s>>8)&0xff00
			if q != 0 {
				line = st.lineOn(base)
				// The picture has lines of its own.
				if k := uint32(under[n]); q > k {
					q = max(k, q*150>>8)
				}
			}
		case Value, TwoSided:
			a, b, c, _ := g.share(fx+float32(n), fy)
			if g.some && !g.known[most(a, b, c)] {
				base = st.none[d>>5]
				if hatched(x+n, y, unit) {
					base = mix(base, st.Rule, 120)
				}
				break
			}
			v := g.lens[0]*a + g.lens[1]*b + g.lens[2]*c
			if show == Value {
				u := uint(lesser(255, greater(0, v*255+.5)))
				base, line = st.ramp[d>>5<<8|u], st.rampInk[u]
				break
			}
			u := uint(lesser(255, greater(0, v*127+128.5)))
			base, line = st.two[d>>5<<8|u], st.twoInk[u]
			if v < -1/128. && hatched(x+n, y, unit) {
				base = mix(base, st.Ink, uint32(lesser(150, 60-v*110)))
			}
		case Category, Count:
			inks := st.category
			if show == Count {
				inks = st.count
			}
			k := 0
			if !g.same {
				a, b, c, w := g.share(fx+float32(n), fy)
				k = most(a, b, c)
				base = g.sort(st, inks, k, a, b, c, w, d, x+n, y, unit)
			} else {
				base = g.tinted(st, inks, 0, d, x+n, y, unit)
			}
			if e := int(g.category[k]); show == Count && e < len(st.countInk) {
				line = st.countInk[e]
			}
		default:
			base = st.base[d>>2]
		}
		if q != 0 {
			base = mix(base, line, q)
		}
		out[n] = base
	}
}

// most is the corner with the largest share.
func most(a, b, c float32) int {
	switch {
	case a >= b && a >= c:
		return 0
	case b >= c:
		return 1
	}
	return 2
}

// hatched tells whether a pixel lies on the hatching that means "no value" or
// "pressed": diagonals, unit pixels wide and 6 apart, that keep to the screen.
func hatched(x, y, unit int) bool { return (x+y)/unit%6 == 0 }

// sort gives the ink of the category of corner k, the nearest. Where two meet
// within a triangle, the border between them is smoothed over one pixel.
func (g *wide) sort(st *Style, inks []uint32, k int, a, b, c, w float32, d uint, x, y, unit int) uint32 {
	first := g.tinted(st, inks, k, d, x, y, unit)
	s := [3]float32{a, b, c}
	l, m := (k+1)%3, (k+2)%3
	if s[m] > s[l] {
		l, m = m, l
	}
	if g.category[l] == g.category[k] {
		l = m
		if g.category[l] == g.category[k] {
			return first
		}
	}
	gx, gy := (g.b[k][1]-g.b[l][1])*w, (g.b[k][2]-g.b[l][2])*w
	reach := sqrt(gx*gx + gy*gy) // shares a pixel
	away := s[k] - s[l]
	if away >= .5*reach {
		return first
	}
	return mix(first, g.tinted(st, inks, l, d, x, y, unit), uint32((.5-away/reach)*256))
}

// tinted is corner k's ink; inks holds eight shades of each.
func (g *wide) tinted(st *Style, inks []uint32, k int, d uint, x, y, unit int) uint32 {
	if e := 8*int(g.category[k]) + int(d>>5); e < len(inks) {
		return inks[e]
	}
	if hatched(x, y, unit) {
		return mix(st.none[d>>5], st.Rule, 120)
	}
	return st.none[d>>5]
}

// lineOn is the line colour on paint: ink where it tells, else scratched.
func (st *Style) lineOn(c uint32) uint32 {
	y := (c&255*54 + c>>8&255*183 + c>>16&255*19) >> 8
	if st.Night {
		if y > 150 {
			return mix(c, st.Paper, 140)
		}
		return mix(c, st.Ink, 190)
	}
	if y < 80 {
		return mix(c, st.Figure, 90)
	}
	return mix(c, st.Ink, 210)
}
