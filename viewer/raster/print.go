package raster

import "math"

// step splits a wished spacing into a power of two not above it and the share
// of width left to every second line: 1 at the power, 0 before the next one.
// The exponent and mantissa of the float are floor(log2) and the fade.
func step(want float32) (step, odd float32) {
	bits := math.Float32bits(want)
	step = math.Float32frombits(bits & 0x7f800000)
	f := float32(bits&0x7fffff) * (1. / (1 << 23))
	return step, lesser(1, greater(0, 1.45-1.6*f))
}

// cover is the part of a pixel's width that a line of half width hw covers at
// distance d: the overlap of two intervals, right for hair lines too.
func cover(d, hw float32) float32 {
	r, l := d+hw, d-hw
	if r > .5 {
		r = .5
	}
	if l < -.5 {
		l = -.5
	}
	return r - l
}

// floorPlain and floorLens are the darknesses (of 255) from which lines begin.
// On a lens they keep to the shade, so that the scale stays readable.
const floorPlain, floorLens = 20, 112

// faces is the size of the cache of plane equations. Neighbouring rows and tiles
// want the same triangles again; more entries cost more cache misses than they
// save (bench_test.go).
const faces = 256

// Print is the one pass over the touched tiles: colour, lines, crossed lines,
// the outline's ink and contact lines, each pixel written once. It goes by runs
// of one triangle within a row of a tile. The plain figure and most of a lens
// are printed in one go; else darkness and line coverage of the run are worked
// out first, then its colour.
func (p *Plate) Print(st *Style, look Look) {
	if p.fig == nil || len(p.facing) < min(len(p.mesh.Tri)/3, triMask-1) {
		return
	}
	if p.cache == nil {
		p.cache, p.wide = make([]face, faces), make([]wide, faces)
	}
	for i := range p.cache {
		p.cache[i].id, p.wide[i].id = 0, 0
	}
	show := p.shown(look.Surface)
	lines := look.Lines && p.ruling.Want > 0 && len(p.fig.S) >= len(p.at)
	crossed := uint(256)
	if len(p.fig.T) >= len(p.at) {
		crossed = uint(min(256, st.Cross*255))
	}
	from := uint(floorPlain)
	if show != Plain {
		from = floorLens
	}
	if !lines {
		from = 256
	}
	W, H := p.W, p.H
	ink, dark := st.Ink, &st.dark
	fused := show == Plain || show == Value
	var darks, covers [tile]uint8
	for r := range p.rows {
		for c := range p.cols {
			tag := p.dirty[r*p.cols+c]
			if tag == 0 {
				continue
			}
			x0, x1 := c*tile, min((c+1)*tile, W)
			for y := r * tile; y < min((r+1)*tile, H); y++ {
				row := y * W
				cs, ks, out := p.cell[row+x0:row+x1], p.ink[row+x0:row+x1], p.Pix[row+x0:row+x1]
				ks, out = ks[:len(cs)], out[:len(cs)]
				fy := float32(y) + .5
				for x := 0; x < len(cs); {
					id := uint32(cs[x])
					if id == 0 {
						if k := uint32(ks[x]); k != 0 {
							out[x] = mix(out[x], ink, k)
						}
						x++
						continue
					}
					g := &p.cache[id%faces]
					if g.id != id {
						g.set(p, id, show == Value, lines)
					}
					fx := float32(x0+x) + .5
					if g.deep || !fused {
						end := x + 1
						for end < len(cs) && uint32(cs[end]) == id {
							end++
						}
						w := p.wideOf(id, fx, fy, show)
						if g.deep {
							p.ruleDeep(w, fx, fy, ks[x:end], &darks, &covers, st, from, crossed)
						} else {
							p.rule(g, fx, fy, ks[x:end], &darks, &covers, st, from, crossed)
						}
						p.colour(w, x0+x, y, out[x:end], &darks, &covers, ks[x:end], st, show)
						x = end
						continue
					}
					nl, nv := g.nl+g.nlx*fx+g.nly*fy, g.nv+g.nvx*fx+g.nvy*fy
					l := g.l + g.lx*fx + g.ly*fy
					for {
						k := uint32(ks[x])
						d := uint(dark[(int(nl)&127)<<5|int(nv)&31])
						if d > from { // face.line, written out: a call here doubles the cost of lines
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
							} else {
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
						}
						var base uint32
						line := ink
						if show == Value {
							v := int(l)
							if v < 0 {
								v = 0
							} else if v > 255 {
								v = 255
							}
							base = st.ramp[d>>5<<8+uint(v)]
							line = st.rampInk[v]
							l += g.lx
						} else {
							base = st.base[d>>2]
						}
						if k != 0 {
							base = mix(base, line, k)
						}
						out[x] = base
						x++
						if x >= len(cs) || uint32(cs[x]) != id {
							break
						}
						fx++
						nl += g.nlx
						nv += g.nvx
					}
				}
			}
			if tag == mixed && look.Contacts {
				p.contacts(x0, r*tile, x1, min((r+1)*tile, H), st)
			}
		}
	}
}

// shown is what can be shown of a surface with the frame at hand.
func (p *Plate) shown(s Surface) Surface {
	switch {
	case (s == Value || s == TwoSided) && len(p.frame.Lens) < len(p.at),
		(s == Category || s == Count) && len(p.frame.Category) < len(p.at), s > Count:
		return Plain
	}
	return s
}
