package raster

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
