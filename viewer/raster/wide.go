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
