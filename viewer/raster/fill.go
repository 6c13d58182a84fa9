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
	h, w := p.H-1, p.W-1
	most := layers * p.W * p.H
	p.work, p.Left = 0, 0
	for t := range facing {
		if p.work > most {
			p.Left = len(facing) - t
			clear(facing[t:])
			break
		}
		v := tri[3*t : 3*t+3 : 3*t+3]
		a, b, c := &at[v[0]], &at[v[1]], &at[v[2]]
		ra, rb, rc := int(a.row), int(b.row), int(c.row)
		r0 := min(ra, rb, rc)
		if r0 <= cut {
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
		// rows or two columns of them, or off the plate. One test, as each would
		// be guessed wrong half the time.
		ca, cb, cc := int(a.col), int(b.col), int(c.col)
		r1, c0, c1 := max(ra, rb, rc), min(ca, cb, cc), max(ca, cb, cc)
		if (r1-r0-1)|(c1-c0-1)|(r1-1)|(c1-1)|(h-r0)|(w-c0) < 0 {
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
	if p.at[v[0]].row == gone || p.at[v[1]].row == gone || p.at[v[2]].row == gone {
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
	// By height, in rows: an edge within one row crosses no pixel's middle.
	u, v, w := a, b, c
	if v.row < u.row {
		u, v = v, u
	}
	if w.row < v.row {
		v, w = w, v
		if v.row < u.row {
			u, v = v, u
		}
	}
	W, mid := p.W, v.y
	r0, r1 := max(int(u.row), 0), min(int(w.row), p.H)
	if r0 >= r1 {
		return
	}
	// Left and right: the long edge u–w and the two short ones.
	long := (w.x - u.x) / (w.y - u.y)
	turned := u.x+(mid-u.y)*long > v.x // the knee lies left of the long edge
	knee := min(max(int(v.row), r0), r1)
	tag := uint64(id)
	lo, hi := W, 0
	var zx, zy, z0 float32
	planed, steep := false, area < thin && area > -thin
	s, short := v, float32(0)
	if knee > r0 {
		s, short = u, (v.x-u.x)/(mid-u.y)
	} else {
		short = (w.x - v.x) / (w.y - mid)
	}
	for y := r0; y < r1; y++ {
		if y == knee {
			s, short = v, (w.x-v.x)/(w.y-mid)
		}
		fy := float32(y) + .5
		// To int before choosing sides: that needs no branch, and half of
		// all branches here would be guessed wrong.
		i, j := int(u.x+(fy-u.y)*long+.5), int(s.x+(fy-s.y)*short+.5)
		l, r := i, j
		if turned {
			l, r = j, i
		}
		i, j = max(l, 0), min(r, W)
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
		p.work += j - i
		lo, hi = min(lo, i), max(hi, j)
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
	if lo >= hi {
		return
	}
	if q := (r0/tile)*p.cols + lo/tile; q == ((r1-1)/tile)*p.cols+(hi-1)/tile && p.dirty[q] == mark {
		return
	}
	p.touch(lo, r0, hi-1, r1-1, mark)
}
