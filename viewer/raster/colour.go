package raster

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
			inks, parted := st.category, st.Parted*.5*p.Unit
			if show == Count {
				inks, parted = st.count, 0
			}
			k := 0
			if !g.same {
				a, b, c, w := g.share(fx+float32(n), fy)
				k = most(a, b, c)
				base = g.sort(st, inks, k, a, b, c, w, d, x+n, y, unit, parted)
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

// sort gives the ink of the category of corner k, the nearest. Where two categories without an
// order meet within a triangle a line parts them, since two inks may be equally light to one who
// does not tell hues apart; between two shades of a count the border is smoothed over one pixel.
func (g *wide) sort(st *Style, inks []uint32, k int, a, b, c, w float32, d uint, x, y, unit int, parted float32) uint32 {
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
	if parted > 0 {
		if away >= (parted+.5)*reach {
			return first
		}
		return mix(first, st.Ink, uint32(cover(away/reach, parted)*256))
	}
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
