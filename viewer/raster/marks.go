package raster

import (
	"math"
	"slices"
)

// Marks are laid over the picture in pixels (not page pixels), x right, y down,
// pixel centres at .5. alpha is 0 … 1. A mark with a coordinate that is not
// finite, or absurdly far off the plate, is left out.

// far bounds coordinates of marks, so that conversions to int stay in range.
const far = 1 << 20

func sane(v ...float32) bool {
	for _, x := range v {
		if !(x > -far && x < far) {
			return false
		}
	}
	return true
}

// Line lays an anti-aliased stroke with round ends, w pixels wide.
func (p *Plate) Line(x0, y0, x1, y1, w float32, c uint32, alpha float32) {
	if !sane(x0, y0, x1, y1, w) {
		return
	}
	hw := w * .5
	dx, dy := x1-x0, y1-y0
	l := sqrt(dx*dx + dy*dy)
	ux, uy := float32(1), float32(0)
	if l > 1e-4 {
		ux, uy = dx/l, dy/l
	}
	left, right := lesser(x0, x1)-hw-1, greater(x0, x1)+hw+1
	upper, lower := lesser(y0, y1)-hw-1, greater(y0, y1)+hw+1
	if left > float32(p.W) || upper > float32(p.H) || right < 0 || lower < 0 {
		return
	}
	ax, bx := max(int(left), 0), min(int(right), p.W-1)
	ay, by := max(int(upper), 0), min(int(lower), p.H-1)
	whole := bx-ax < 2*tile || by-ay < 2*tile
	if whole {
		p.touch(ax, ay, bx, by, 0)
	}
	k := alpha * 256
	inv, r := float32(0), float32(0)
	flat := absf(uy) <= .004
	if !flat {
		inv = ux / uy
		r = (hw+1)/absf(uy) + 1
	}
	for y := ay; y <= by; y++ {
		sx, ex := ax, bx
		qy := float32(y) + .5 - y0
		if !flat { // only the span near the line
			m := x0 + qy*inv
			sx, ex = max(ax, int(greater(m-r, -1))), min(bx, int(lesser(m+r, far)))
		}
		if sx > ex {
			continue
		}
		if !whole {
			p.touch(sx, y, ex, y, 0)
		}
		row := p.Pix[y*p.W : (y+1)*p.W]
		for x := sx; x <= ex; x++ {
			qx := float32(x) + .5 - x0
			al := qx*ux + qy*uy
			d := absf(qx*uy - qy*ux)
			if al < 0 {
				d = sqrt(d*d + al*al)
			} else if al > l {
				d = sqrt(d*d + (al-l)*(al-l))
			}
			if q := cover(d, hw); q > 0 {
				row[x] = mix(row[x], c, uint32(q*k))
			}
		}
	}
}

// Dashed lays on/off lengths, beginning with on at x0, y0.
func (p *Plate) Dashed(x0, y0, x1, y1, w, on, off float32, c uint32, alpha float32) {
	dx, dy := x1-x0, y1-y0
	l := sqrt(dx*dx + dy*dy)
	if !(l > 0) || !sane(x0, y0, x1, y1) || on <= 0 {
		return
	}
	if off <= 0 || (on+off)*4096 < l {
		p.Line(x0, y0, x1, y1, w, c, alpha)
		return
	}
	for n := 0; ; n++ {
		t := float32(n) * (on + off)
		if t >= l {
			return
		}
		e := lesser(l, t+on)
		p.Line(x0+dx*t/l, y0+dy*t/l, x0+dx*e/l, y0+dy*e/l, w, c, alpha)
	}
}

// Polyline joins points x, y, x, y …; at a joint the ink is laid once.
func (p *Plate) Polyline(xy []float32, w float32, c uint32, alpha float32, closed bool) {
	n := len(xy) / 2
	if n < 2 {
		return
	}
	last := n - 1
	if closed {
		last = n
	}
	// Pieces are laid into a coverage mask of their bounds and printed at once:
	// anything less shows the joints of faint lines.
	x0, y0, x1, y1 := xy[0], xy[1], xy[0], xy[1]
	for i := range n {
		if !sane(xy[2*i], xy[2*i+1]) {
			return
		}
		x0, x1 = lesser(x0, xy[2*i]), greater(x1, xy[2*i])
		y0, y1 = lesser(y0, xy[2*i+1]), greater(y1, xy[2*i+1])
	}
	b, ok := p.mask(x0-w, y0-w, x1+w, y1+w)
	if !ok {
		return
	}
	for i := range last {
		j := (i + 1) % n
		b.line(xy[2*i], xy[2*i+1], xy[2*j], xy[2*j+1], w*.5)
	}
	p.print(b, c, alpha)
}

// Ring is a circle line w wide about radius r.
func (p *Plate) Ring(x, y, r, w float32, c uint32, alpha float32) {
	p.round(x, y, r+w*.5, c, alpha, func(d float32) float32 { return cover(absf(d-r), w*.5) })
}

// Disc is a filled circle.
func (p *Plate) Disc(x, y, r float32, c uint32, alpha float32) {
	p.round(x, y, r, c, alpha, func(d float32) float32 { return lesser(1, r-d+.5) })
}

func (p *Plate) round(x, y, reach float32, c uint32, alpha float32, at func(d float32) float32) {
	if !sane(x, y, reach) {
		return
	}
	ax, ay := max(0, int(x-reach-1)), max(0, int(y-reach-1))
	bx, by := min(p.W-1, int(max(-1, x+reach+1))), min(p.H-1, int(max(-1, y+reach+1)))
	if x+reach+1 < 0 || y+reach+1 < 0 || ax > bx || ay > by {
		return
	}
	p.touch(ax, ay, bx, by, 0)
	for j := ay; j <= by; j++ {
		row := p.Pix[j*p.W : (j+1)*p.W]
		qy := float32(j) + .5 - y
		for i := ax; i <= bx; i++ {
			qx := float32(i) + .5 - x
			if q := at(sqrt(qx*qx + qy*qy)); q > 0 {
				row[i] = mix(row[i], c, uint32(q*alpha*256))
			}
		}
	}
}

// Polygon fills the points x, y, x, y … by the even-odd rule. Edges are smoothed:
// exact along rows, four rows a pixel.
func (p *Plate) Polygon(xy []float32, c uint32, alpha float32) {
	n := len(xy) / 2
	if n < 3 {
		return
	}
	y0, y1 := xy[1], xy[1]
	x0, x1 := xy[0], xy[0]
	for i := range n {
		if !sane(xy[2*i], xy[2*i+1]) {
			return
		}
		x0, x1 = lesser(x0, xy[2*i]), greater(x1, xy[2*i])
		y0, y1 = lesser(y0, xy[2*i+1]), greater(y1, xy[2*i+1])
	}
	if x1 <= 0 || y1 <= 0 || x0 >= float32(p.W) || y0 >= float32(p.H) {
		return
	}
	r0, r1 := max(0, int(y0)), min(p.H-1, int(y1))
	c0, c1 := max(0, int(x0)), min(p.W-1, int(x1))
	p.touch(c0, r0, c1, r1, 0)
	p.cover = grown(p.cover, p.W+1)
	for r := r0; r <= r1; r++ {
		row := p.cover[c0 : c1+1]
		clear(row)
		for sub := range 4 {
			y := float32(r) + (float32(sub)+.5)*.25
			p.cross = p.cross[:0]
			for i := range n {
				j := (i + 1) % n
				ya, yb := xy[2*i+1], xy[2*j+1]
				if (ya <= y) != (yb <= y) {
					p.cross = append(p.cross, xy[2*i]+(y-ya)/(yb-ya)*(xy[2*j]-xy[2*i]))
				}
			}
			slices.Sort(p.cross)
			for i := 0; i+1 < len(p.cross); i += 2 {
				a, b := greater(p.cross[i], float32(c0)), lesser(p.cross[i+1], float32(c1+1))
				if a >= b {
					continue
				}
				i0, i1 := int(a), min(int(b), c1)
				if i0 == i1 {
					row[i0-c0] += b - a
					continue
				}
				row[i0-c0] += float32(i0+1) - a
				for i := i0 + 1; i < i1; i++ {
					row[i-c0]++
				}
				row[i1-c0] += b - float32(i1)
			}
		}
		out := p.Pix[r*p.W+c0 : r*p.W+c1+1]
		for x, q := range row {
			if q > 0 {
				out[x] = mix(out[x], c, uint32(lesser(4, q)*alpha*64))
			}
		}
	}
}

// Inset copies a round of q to x, y: the loupe. The middle of q comes to x, y; r
// is its radius, pixels of either plate. Depth and identity are not copied: Pick
// on q itself.
func (p *Plate) Inset(q *Plate, x, y, r float32) {
	if !sane(x, y, r) {
		return
	}
	ox, oy := int(math.Floor(float64(x)))-q.W/2, int(math.Floor(float64(y)))-q.H/2
	cx, cy := float32(ox)+float32(q.W)/2, float32(oy)+float32(q.H)/2
	ax, ay := max(0, ox, int(cx-r-1)), max(0, oy, int(cy-r-1))
	bx, by := min(p.W-1, ox+q.W-1, int(max(-1, cx+r+1))), min(p.H-1, oy+q.H-1, int(max(-1, cy+r+1)))
	if ax > bx || ay > by {
		return
	}
	p.touch(ax, ay, bx, by, 0)
	for j := ay; j <= by; j++ {
		dst, src := p.Pix[j*p.W:(j+1)*p.W], q.Pix[(j-oy)*q.W:(j-oy+1)*q.W]
		qy := float32(j) + .5 - cy
		for i := ax; i <= bx; i++ {
			qx := float32(i) + .5 - cx
			if k := r - sqrt(qx*qx+qy*qy) + .5; k > 0 {
				dst[i] = mix(dst[i], src[i-ox], uint32(lesser(1, k)*256))
			}
		}
	}
}

// mask is a window of coverage over the plate.
type mask struct {
	x, y, w, h int
	a          []uint8 // 0 … 255
}

// mask clips a rectangle to the plate and empties the coverage over it.
func (p *Plate) mask(x0, y0, x1, y1 float32) (m mask, ok bool) {
	if x1 < 0 || y1 < 0 || x0 >= float32(p.W) || y0 >= float32(p.H) {
		return m, false
	}
	m.x, m.y = max(0, int(x0-1)), max(0, int(y0-1))
	m.w, m.h = min(p.W-1, int(x1+1))-m.x+1, min(p.H-1, int(y1+1))-m.y+1
	if m.w <= 0 || m.h <= 0 {
		return m, false
	}
	p.veil = grown(p.veil, m.w*m.h)
	m.a = p.veil
	clear(m.a)
	return m, true
}

// line lays the larger of old and new coverage of a stroke of half width hw.
func (m *mask) line(x0, y0, x1, y1, hw float32) {
	x0, x1, y0, y1 = x0-float32(m.x), x1-float32(m.x), y0-float32(m.y), y1-float32(m.y)
	dx, dy := x1-x0, y1-y0
	l := sqrt(dx*dx + dy*dy)
	ux, uy := float32(1), float32(0)
	if l > 1e-4 {
		ux, uy = dx/l, dy/l
	}
	left, right := lesser(x0, x1)-hw-1, greater(x0, x1)+hw+1
	upper, lower := lesser(y0, y1)-hw-1, greater(y0, y1)+hw+1
	if right < 0 || lower < 0 {
		return
	}
	ax, bx := max(int(left), 0), min(int(right), m.w-1)
	ay, by := max(int(upper), 0), min(int(lower), m.h-1)
	for y := ay; y <= by; y++ {
		qy := float32(y) + .5 - y0
		sx, ex := ax, bx
		if absf(uy) > .004 {
			c, r := x0+qy*ux/uy, (hw+1)/absf(uy)+1
			sx, ex = max(ax, int(greater(c-r, -1))), min(bx, int(lesser(c+r, far)))
		}
		row := m.a[y*m.w : (y+1)*m.w]
		for x := sx; x <= ex; x++ {
			qx := float32(x) + .5 - x0
			al := qx*ux + qy*uy
			d := absf(qx*uy - qy*ux)
			if e := greater(-al, al-l); e > 0 {
				d = sqrt(d*d + e*e)
			}
			if q := cover(d, hw); q > 0 {
				if k := uint8(q * 255); k > row[x] {
					row[x] = k
				}
			}
		}
	}
}

// print lays a mask's ink on the picture.
func (p *Plate) print(m mask, c uint32, alpha float32) {
	full := uint32(min(1, max(0, alpha)) * 257)
	for y := range m.h {
		row, out := m.a[y*m.w:(y+1)*m.w], p.Pix[(m.y+y)*p.W+m.x:(m.y+y)*p.W+m.x+m.w]
		first, last := -1, 0
		for x, q := range row {
			if q > 0 {
				out[x] = mix(out[x], c, uint32(q)*full>>8)
				if first < 0 {
					first = x
				}
				last = x
			}
		}
		if first >= 0 {
			p.touch(m.x+first, m.y+y, m.x+last, m.y+y, 0)
		}
	}
}
