package raster

import "math"

// step splits a wished spacing into a power of two not above it and the share
// of width left to every second line: 1 at the power, 0 before the next one.
// The exponent and mantissa of the float are floor(log2) and the fade.
func step(want float32) (step, odd float32) {
	bits := math.Float32bits(want)
	step = math.Float32frombits(bits & 0x7f800000)
	f := float32(bits&0x7fffff) * (1. / (1 << 23))
	return step, min(1, max(0, 1.45-1.6*f))
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
// of one triangle within a row of a tile.
func (p *Plate) Print(st *Style, look Look) {
	if p.fig == nil {
		p.bleed(st)
		return
	}
	if p.cache == nil {
		p.cache, p.wide = make([]face, faces), make([]wide, faces)
	}
	for i := range p.cache {
		p.cache[i].id, p.wide[i].id = 0, 0
	}
	lines := look.Lines && p.ruling.Want > 0 && len(p.fig.S) >= len(p.at)
	lens := look.Surface == Value && len(p.frame.Lens) >= len(p.at)
	fast := look.Surface == Plain || lens
	if !lens && (look.Surface == Value || look.Surface == TwoSided && len(p.frame.Lens) < len(p.at)) ||
		(look.Surface == Category || look.Surface == Count) && len(p.frame.Category) < len(p.at) {
		look.Surface, fast = Plain, true // nothing to show
	}
	cell, ink, pix := p.cell, p.ink, p.Pix
	W, H := p.W, p.H
	inkC := st.Ink
	dark := &st.dark
	crossed := uint(256)
	if len(p.fig.T) >= len(p.at) {
		crossed = uint(min(256, st.Cross*255))
	}
	floor := uint(floorPlain)
	if look.Surface != Plain {
		floor = floorLens
	}
	if !lines {
		floor = 256
	}
	for r := range p.rows {
		for c := range p.cols {
			tag := p.dirty[r*p.cols+c]
			if tag == 0 {
				continue
			}
			x0, x1 := c*tile, min((c+1)*tile, W)
			for y := r * tile; y < min((r+1)*tile, H); y++ {
				row := y * W
				cs, ks, out := cell[row+x0:row+x1], ink[row+x0:row+x1], pix[row+x0:row+x1]
				ks, out = ks[:len(cs)], out[:len(cs)]
				fy := float32(y) + .5
				for x := 0; x < len(cs); {
					id := uint32(cs[x])
					if id == 0 {
						if k := uint32(ks[x]); k != 0 {
							out[x] = mix(out[x], inkC, k)
						}
						x++
						continue
					}
					var g *face
					if fast {
						g = &p.cache[id%faces]
						if g.id != id {
							g.set(p, id, lens, lines)
						}
					}
					if g == nil || g.deep {
						n := x + 1
						for n < len(cs) && uint32(cs[n]) == id {
							n++
						}
						p.printWide(id, x0+x, y, ks[x:n], out[x:n], st, look.Surface, floor, crossed)
						x = n
						continue
					}
					fx := float32(x0+x) + .5
					nl, nv := g.nl+g.nlx*fx+g.nly*fy, g.nv+g.nvx*fx+g.nvy*fy
					s := g.s + g.sx*fx + g.sy*fy
					nlx, nvx, sx := g.nlx, g.nvx, g.sx
					gap, half, odd := g.gap, g.half, g.odd
					for {
						k := uint32(ks[x])
						d := uint(dark[(int(nl)&127)<<5|int(nv)&31])
						if d > floor {
							n := s
							if g.vary {
								var size float32
								size, odd = step(g.w + g.wx*fx + g.wy*fy)
								n = s / size
								gap = g.gap * size
								half = gap * .5
								if half > g.cap {
									half = g.cap
								}
							}
							i := int(n)
							u := (n - float32(i) - .5) * gap
							if u < 0 {
								u = -u
							}
							hw := st.share[d&255] * half
							if i&1 != 0 {
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
						}
						if lens {
							v := int(g.l + g.lx*fx + g.ly*fy)
							if v < 0 {
								v = 0
							} else if v > 255 {
								v = 255
							}
							base := st.ramp[d>>5<<8+uint(v)]
							if k != 0 {
								base = mix(base, st.rampInk[v], k)
							}
							out[x] = base
						} else {
							base := st.base[d>>2]
							if k != 0 {
								base = mix(base, inkC, k)
							}
							out[x] = base
						}
						x++
						if x >= len(cs) || uint32(cs[x]) != id {
							break
						}
						fx++
						nl += nlx
						nv += nvx
						s += sx
					}
				}
				if tag == mixed && look.Contacts && y > 0 && y < H-1 {
					p.contacts(row, max(x0, 1), min(x1, W-1), fy, st)
				}
			}
		}
	}
}

// bleed prints ink alone, where no figure was projected.
func (p *Plate) bleed(st *Style) {
	for i, k := range p.ink {
		if k != 0 {
			p.Pix[i] = mix(p.Pix[i], st.Ink, uint32(k))
		}
	}
}
