package raster

import "math"

// Fill draws depth and identity of every triangle, a span a row. Back faces of
// closed shells are only noted for the outline. Both triangles of an edge work
// out its crossing from the same end points in the same order, so no pixel is
// drawn twice or missed. look matters only for Painted, where materials with a
// cutoff leave pixels out.
func (p *Plate) Fill(look Look) {
	m := p.mesh
	n := min(len(m.Tri)/3, triMask-1)
	p.facing = grown(p.facing, n)
	at, facing, tri := p.at, p.facing, m.Tri[:3*n]
	open, part := m.Open, m.Part
	holes := look.Surface == Painted && p.hasHoles()
	fh, fw := float32(p.H), float32(p.W)
	for t := range facing {
		v := tri[3*t : 3*t+3 : 3*t+3]
		a, b, c := &at[v[0]], &at[v[1]], &at[v[2]]
		if a.code|b.code|c.code != 0 {
			facing[t] = p.fillCut(v, uint32(t), open != nil && open[t], holes)
			continue
		}
		x1, y1, x2, y2 := b.x-a.x, b.y-a.y, c.x-a.x, c.y-a.y
		area := x1*y2 - x2*y1
		if area < 0 { // y points down: the front runs the other way
			facing[t] = front
		} else {
			facing[t] = back
			if open == nil || !open[t] || area == 0 {
				continue
			}
		}
		// Most triangles of a dense figure hold no pixel's middle: between two
		// rows or two columns of them, or off the plate.
		lo, hi := a.y, a.y
		if b.y < lo {
			lo = b.y
		} else {
			hi = b.y
		}
		if c.y < lo {
			lo = c.y
		} else if c.y > hi {
			hi = c.y
		}
		if hi < .5 || lo > fh || lo > 0 && int(lo+.5) >= int(hi+.5) {
			continue
		}
		lo, hi = a.x, a.x
		if b.x < lo {
			lo = b.x
		} else {
			hi = b.x
		}
		if c.x < lo {
			lo = c.x
		} else if c.x > hi {
			hi = c.x
		}
		if hi < .5 || lo > fw || lo > 0 && int(lo+.5) >= int(hi+.5) {
			continue
		}
		q := uint32(0)
		if part != nil {
			q = uint32(part[t])
		}
		var k *sieve
		if holes {
			k = p.sieveOf(uint32(t))
		}
		p.spans(a, b, c, area, uint32(t+1)|q<<26, uint8(q%250)+1, k)
	}
}

// fillCut clips a triangle, fills what is left of it and returns its facing.
func (p *Plate) fillCut(v []uint32, t uint32, open, holes bool) uint8 {
	if (p.at[v[0]].code|p.at[v[1]].code|p.at[v[2]].code)&gone != 0 {
		return 0
	}
	var q [8]point
	n := p.clip(v, &q)
	if n < 3 {
		return 0
	}
	var area float64
	for i := 1; i+1 < n; i++ {
		a, b, c := &q[0], &q[i], &q[i+1]
		area += float64(b.x-a.x)*float64(c.y-a.y) - float64(c.x-a.x)*float64(b.y-a.y)
	}
	f := back
	if area < 0 {
		f = front
	} else if area == 0 || !open {
		return f
	}
	var k *sieve
	if holes {
		k = p.sieveOf(t)
	}
	part := uint32(0)
	if p.mesh.Part != nil {
		part = uint32(p.mesh.Part[t])
	}
	for i := 1; i+1 < n; i++ {
		a, b, c := &q[0], &q[i], &q[i+1]
		if s := (b.x-a.x)*(c.y-a.y) - (c.x-a.x)*(b.y-a.y); s != 0 {
			p.spans(a, b, c, s, (t+1)|part<<26, uint8(part%250)+1, k)
		}
	}
	return f
}

// thin is the doubled area in square pixels under which a depth plane is too
// steep for float32: depth is then held between the corners' own.
const thin = .5

// spans fills one triangle, row by row, each pixel whose centre lies inside and
// which falls through the sieve, if there is one. id is the low half of the cell,
// mark what the tiles are marked with.
func (p *Plate) spans(a, b, c *point, area float32, id uint32, mark uint8, k *sieve) {
	u, v, w := a, b, c // by height
	if v.y < u.y {
		u, v = v, u
	}
	if w.y < v.y {
		v, w = w, v
		if v.y < u.y {
			u, v = v, u
		}
	}
	W := p.W
	fh := float32(p.H)
	top, end, mid := u.y, w.y, v.y
	if top < 0 {
		top = 0
	}
	if end > fh {
		end = fh
	}
	r0, r1 := int(top+.5), int(end+.5)
	if r0 >= r1 {
		return
	}
	// Left and right: the long edge u–w and the two short ones.
	long := (w.x - u.x) / (w.y - u.y)
	turned := u.x+(mid-u.y)*long > v.x // the knee lies left of the long edge
	knee := r1
	if mid < 0 {
		knee = r0
	} else if mid < fh {
		knee = int(mid + .5)
		if knee > r1 {
			knee = r1
		}
	}
	tag := uint64(id)
	lo, hi := W, 0
	var short, zx, zy, z0 float32
	planed, steep := false, area < thin && area > -thin
	if knee > r0 {
		short = (v.x - u.x) / (mid - u.y)
	}
	s, from := u, r0
	for from < r1 {
		to := knee
		if from >= knee {
			to = r1
			s = v
			short = (w.x - v.x) / (w.y - mid)
		}
		for y := from; y < to; y++ {
			fy := float32(y) + .5
			xl, xr := u.x+(fy-u.y)*long, s.x+(fy-s.y)*short
			if turned {
				xl, xr = xr, xl
			}
			if xl < 0 {
				xl = 0
			}
			i, j := int(xl+.5), int(xr+.5)
			if j > W {
				j = W
			}
			if i >= j {
				continue
			}
			if !planed { // many small triangles never come here
				planed = true
				inv := 1 / area
				x1, y1, x2, y2 := b.x-a.x, b.y-a.y, c.x-a.x, c.y-a.y
				zb, zc := b.z-a.z, c.z-a.z
				zx, zy = (zb*y2-zc*y1)*inv, (zc*x1-zb*x2)*inv
				z0 = a.z - zx*(a.x-.5) - zy*(a.y-.5)
			}
			if i < lo {
				lo = i
			}
			if j > hi {
				hi = j
			}
			d := z0 + zx*float32(i) + zy*float32(y)
			row := p.cell[y*W+i : y*W+j]
			if k != nil || steep {
				least, most := min(a.z, b.z, c.z), max(a.z, b.z, c.z)
				for x := range row {
					h := min(max(d, least), most)
					if n := uint64(math.Float32bits(h))<<32 | tag; n > row[x] && (k == nil || k.passes(i+x, y)) {
						row[x] = n
					}
					d += zx
				}
				continue
			}
			for x := range row {
				if n := uint64(math.Float32bits(d))<<32 | tag; n > row[x] {
					row[x] = n
				}
				d += zx
			}
		}
		from = to
	}
	if lo >= hi {
		return
	}
	if q := (r0/tile)*p.cols + lo/tile; q == ((r1-1)/tile)*p.cols+(hi-1)/tile && p.dirty[q] == mark {
		return
	}
	p.touch(lo, r0, hi-1, r1-1, mark)
}
