package raster

// wide holds what printWide needs of one triangle: corner shares with
// perspective, from its corners in homogeneous coordinates (Olano and Greer
// 1997), so that corners behind the eye need no clipping here.
type wide struct {
	id         uint32
	v          [3]uint32
	ox, oy     float32       // pixels: the planes' own origin, in the triangle, for their float32
	b          [3][3]float32 // share × 1/w of each corner: at origin, along x, along y
	deep, back bool
	lens       [3]float32
	known      [3]bool // corners with a lens value
	some       bool
	category   [3]uint8
	same       bool // one category
	material   *Material
	texture    *Texture
	level      int
}

// setShares fills b for triangle t, seen near pixel x, y. ok is false for a
// triangle seen edge on.
func (g *wide) setShares(p *Plate, t uint32, x, y float32) bool {
	v := p.mesh.Tri[3*t : 3*t+3]
	g.v = [3]uint32{v[0], v[1], v[2]}
	g.ox, g.oy = x, y
	var h [3]corner
	code := uint32(0)
	for i, u := range g.v {
		a := &p.at[u]
		code |= a.code
		if a.code != 0 {
			h[i] = p.homogeneous(u)
		} else {
			w := 1 / float64(a.z)
			h[i] = corner{float64(a.x) * w, float64(a.y) * w, w}
		}
		h[i].x -= float64(x) * h[i].w
		h[i].y -= float64(y) * h[i].w
	}
	g.deep = code != 0 || deep(&p.at[v[0]], &p.at[v[1]], &p.at[v[2]])
	g.back = p.facing[t] == back
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

// share gives the corners' shares at a pixel and the distance there.
func (g *wide) share(fx, fy float32) (a, b, c, w float32) {
	x, y := fx-g.ox, fy-g.oy
	a = g.b[0][0] + g.b[0][1]*x + g.b[0][2]*y
	b = g.b[1][0] + g.b[1][1]*x + g.b[1][2]*y
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

func (p *Plate) setWide(g *wide, id uint32, fx, fy float32, show Surface) {
	g.id = id
	if !g.setShares(p, id-1, fx, fy) {
		g.b = [3][3]float32{{1}, {1}, {1}} // edge on, yet filled: its middle
	}
	switch show {
	case Value, TwoSided:
		g.some = false
		var sum, n float32
		for i, v := range g.v {
			x := p.frame.Lens[v]
			g.lens[i], g.known[i] = x, x == x
			if x == x {
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
		p.setPaint(g, id-1)
	}
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
		if q.code|r.code|s.code == 0 && pixels > 1e-3 {
			g.level = g.texture.level(sqrt(texels / pixels))
		}
	}
}

// colour is the paint at shares a, b, c, alpha included.
func (g *wide) colour(f *Figure, a, b, c float32) uint32 {
	col := g.material.Colour
	if x := g.texture; x != nil {
		i, j, k := 2*g.v[0], 2*g.v[1], 2*g.v[2]
		u := f.UV[i]*a + f.UV[j]*b + f.UV[k]*c
		v := f.UV[i+1]*a + f.UV[j+1]*b + f.UV[k+1]*c
		col = times(x.texel(g.level, u, v), col)
	}
	if t := f.Tint; t != nil {
		p, q, r := t[g.v[0]], t[g.v[1]], t[g.v[2]]
		if p == q && p == r {
			return times(col, p)
		}
		// Weights of 8 bits; two channels a word.
		m, n := uint32(b*256+.5)&511, uint32(c*256+.5)&511
		l := 256 - min(256, m+n)
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
	if q.code != 0 {
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
	a, b, c, _ := k.share(float32(x)+.5, float32(y)+.5)
	return k.colour(k.fig, a, b, c)>>24 >= k.limit
}

// printWide prints a run of pixels of one triangle, any surface, with
// perspective. ks is the ink over the run, out the picture.
func (p *Plate) printWide(id uint32, x, y int, ks []uint8, out []uint32, st *Style, show Surface, floor, crossed uint) {
	g := &p.wide[id%faces]
	fx, fy := float32(x)+.5, float32(y)+.5
	if g.id != id {
		p.setWide(g, id, fx, fy, show)
	}
	f := p.fig
	i, j, k := g.v[0], g.v[1], g.v[2]
	ta, tb, tc := &p.tone[i], &p.tone[j], &p.tone[k]
	limit := p.ruling.Cap * .5
	keep := (ta.keep + tb.keep + tc.keep) * (1 / 3.)
	vary := ta.want != tb.want || ta.want != tc.want
	hatch := max(1, int(p.Unit+.5))
	for n := range out {
		a, b, c, w := g.share(fx, fy)
		fx++
		nl, nv := float32(insideNL), float32(insideNV)
		if !g.back {
			nl = ta.nl*a + tb.nl*b + tc.nl*c
			nv = ta.nv*a + tb.nv*b + tc.nv*c
		}
		d := uint(st.dark[(int(nl)&127)<<5|int(nv)&31])
		q := uint32(ks[n])
		if d > floor {
			ink := q
			want := ta.want
			if vary {
				want = ta.want*a + tb.want*b + tc.want*c
			}
			size, odd := step(want)
			s := f.S[i]*a + f.S[j]*b + f.S[k]*c
			gap := size / (g.slope(f.S[i], f.S[j], f.S[k], s, w) + 1e-12)
			l := s / size
			e := int(l)
			hw := st.share[d&255] * min(gap*.5, limit)
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
			if show == Painted { // the picture has lines of its own
				q = max(ink, q*150>>8)
			}
		}
		line := st.Ink
		var base uint32
		switch show {
		case Painted:
			col := g.colour(f, a, b, c)
			s := st.paint[d]
			base = 0xff000000 | (col&0xff00ff*s>>8)&0xff00ff | (col&0xff00*s>>8)&0xff00
			line = st.lineOn(base)
		case Value, TwoSided:
			if g.some && !g.known[most(a, b, c)] {
				base = st.none[d>>5]
				if hatched(x+n, y, hatch) {
					base = mix(base, st.Rule, 120)
				}
				break
			}
			v := g.lens[0]*a + g.lens[1]*b + g.lens[2]*c
			if show == Value {
				u := uint(min(255, max(0, v*255)))
				base, line = st.ramp[d>>5<<8|u], st.rampInk[u]
			} else {
				u := uint(min(255, max(0, v*127+128.5)))
				base, line = st.two[d>>5<<8|u], st.twoInk[u]
				if v < -1/128. && hatched(x+n, y, hatch) {
					base = mix(base, st.Ink, uint32(min(150, 60-v*110)))
				}
			}
		case Category:
			base = g.sort(st, st.Category, st.category, a, b, c, w, d, x+n, y, hatch)
		case Count:
			base = g.sort(st, st.Count, st.count, a, b, c, w, d, x+n, y, hatch)
			if e := int(g.category[most(a, b, c)]); e < len(st.countInk) {
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

// sort gives the ink of the category of the nearest corner. Where two meet
// within a triangle, the border between them is smoothed over one pixel.
func (g *wide) sort(st *Style, inks, shades []uint32, a, b, c, w float32, d uint, x, y, hatch int) uint32 {
	k := most(a, b, c)
	first := g.tinted(st, inks, shades, k, d, x, y, hatch)
	if g.same {
		return first
	}
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
	reach := sqrt(gx*gx + gy*gy)
	away := (s[k] - s[l]) // in shares; reach is shares a pixel
	if away >= .5*reach {
		return first
	}
	return mix(first, g.tinted(st, inks, shades, l, d, x, y, hatch), uint32((.5-away/reach)*256))
}

func (g *wide) tinted(st *Style, inks, shades []uint32, k int, d uint, x, y, hatch int) uint32 {
	if e := int(g.category[k]); e < len(inks) {
		return shades[8*e+int(d>>5)]
	}
	if hatched(x, y, hatch) {
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
