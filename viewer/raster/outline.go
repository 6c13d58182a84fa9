package raster

import "math"

type lineKind int

const (
	contour lineKind = iota
	border
	crease
	meshEdge
)

// Outline draws the mesh edges where the surface turns away, ends or is sharp,
// as anti-aliased strokes into the ink. A stroke over 1.2 px wide centred on the
// true edge also covers the stairs of the fill, so 1× looks smooth.
func (p *Plate) Outline(st *Style, look Look) {
	if !look.Outline && !look.Edges && !look.Creases {
		return
	}
	m := p.mesh
	fc, at, edges := p.facing, p.at, m.Edge
	holed := look.Surface == Painted && m.Material != nil && p.hasHoles()
	p.work = 0
	most := layers * p.W * p.H
	for i := range edges {
		if p.work > most {
			return
		}
		e := &edges[i]
		f0, f1 := fc[e.T0], fc[e.T1]
		kind := contour
		switch {
		case f0 == f1: // nearly all edges of a dense figure end here
			if e.Kind == Smooth || f0 == 0 || e.Kind == Crease && (f0 == back || !look.Creases) {
				if !look.Edges || f0 == 0 || f0 == back && (m.Open == nil || !m.Open[e.T0]) {
					continue
				}
				kind = meshEdge
			} else if e.Kind == Crease {
				kind = crease
			} else {
				kind = border
				if f0 == back && (m.Open == nil || !m.Open[e.T0]) {
					continue
				}
			}
		case f0 == 0 || f1 == 0:
			continue
		}
		if kind < crease && !look.Outline {
			if !look.Edges {
				continue
			}
			kind = meshEdge
		}
		if holed && kind == border && p.holed(e.T0) {
			continue // the card's edge is not the leaf's
		}
		a, b := &at[e.A], &at[e.B]
		if a.row <= cut || b.row <= cut {
			q, r, ok := p.clipEdge(e.A, e.B)
			if !ok {
				continue
			}
			a, b = &q, &r
		}
		p.stroke(a, b, p.tone[e.A].nl+p.tone[e.B].nl, kind, float32(e.Sharp)*(1/255.), st)
	}
}

func (p *Plate) holed(t uint32) bool {
	i := int(p.mesh.Material[t])
	return i < len(p.fig.Materials) && p.fig.Materials[i].Cutoff > 0
}

// slack lets a line on the surface pass the depth test: 1/distance × (1+slack).
// At .0022 hidden lines shine through close surfaces, at .0005 creases break.
const slack = .0012

// stroke walks the longer axis. At every other step it looks at the depth under
// the line and 1.5 px to both sides: hidden when all three lie nearer. What is
// behind sets the weight: ground, a far surface or a near one. A stroke writes
// the larger of old and new coverage, so short edges in a row do not blot.
func (p *Plate) stroke(a, b *point, nl float32, kind lineKind, sharp float32, st *Style) {
	x0, y0, x1, y1 := a.x, a.y, b.x, b.y
	u := p.Unit
	W, H := p.W, p.H
	reach := st.Outer*.68*u + .5
	left, right, upper, lower := lesser(x0, x1)-reach, greater(x0, x1)+reach, lesser(y0, y1)-reach, greater(y0, y1)+reach
	if right < 0 || lower < 0 || left > float32(W) || upper > float32(H) {
		return
	}
	dx, dy := x1-x0, y1-y0
	length := sqrt(dx*dx + dy*dy)
	ux, uy := float32(1), float32(0)
	if length > 1e-4 {
		ux, uy = dx/length, dy/length
	}
	nx, ny := -uy*1.5*u, ux*1.5*u
	// Shade side heavier by day, lit side heavier by night.
	turn := 1 - st.LineTurn*(nl*(1/127.)-1)
	if turn < .62 {
		turn = .62
	} else if turn > 1.35 {
		turn = 1.35
	}
	top := uint8(254)
	if kind == meshEdge {
		top = uint8(st.mesh)
	}
	once := length < 3*u // a short edge is seen or hidden as a whole
	seen := false
	var w float32
	if once {
		if w, seen = p.weight((x0+x1)*.5, (y0+y1)*.5, nx, ny, (a.z+b.z)*.5, kind, sharp, turn, st); !seen {
			return
		}
	}
	steep := absf(uy) > absf(ux)
	m0, m1, slope := x0, x1, float32(0)
	if steep {
		m0, m1 = y0, y1
		slope = ux / uy
	} else {
		slope = uy / ux
	}
	if m0 > m1 {
		m0, m1 = m1, m0
	}
	limit, across := W, H
	if steep {
		limit, across = H, W
	}
	lo, hi := int(math.Floor(float64(m0-reach))), int(m1+reach)
	lo, hi = max(lo, 0), min(hi, limit-1)
	p.work += strokeWork * max(0, hi-lo)
	whole := hi-lo < 2*tile // a long slanting stroke touches tiles step by step
	if whole {
		p.touch(int(left), int(upper), int(right), int(lower), 0)
	}
	zs := float32(0)
	if length > 1e-4 {
		zs = (b.z - a.z) / length
	}
	for m := lo; m <= hi; m++ {
		c := float32(m) + .5
		if c < m0 {
			c = m0
		} else if c > m1 {
			c = m1
		}
		var cx, cy float32 // nearest point of the segment on this step
		if steep {
			cx, cy = x0+(c-y0)*slope, c
		} else {
			cx, cy = c, y0+(c-x0)*slope
		}
		if !once && (m^lo)&1 == 0 { // every other pixel is often enough
			t := (cx-x0)*ux + (cy-y0)*uy
			if w, seen = p.weight(cx, cy, nx, ny, a.z+zs*t, kind, sharp, turn, st); !seen {
				m++
				continue
			}
		}
		hw := w * .5 * u
		span := (hw + .5) * 1.42
		mid := cy
		if steep {
			mid = cx
		}
		if mid+span < 0 {
			continue
		}
		o0, o1 := max(0, int(mid-span)), min(int(mid+span), across-1)
		if o0 > o1 {
			continue
		}
		if !whole {
			if steep {
				p.touch(o0, m, o1, m, 0)
			} else {
				p.touch(m, o0, m, o1, 0)
			}
		}
		px, py := m, o0
		i, next := o0*W+m, W
		if steep {
			px, py = o0, m
			i, next = m*W+o0, 1
		}
		qx, qy := float32(px)+.5-x0, float32(py)+.5-y0
		for range o1 - o0 + 1 {
			al := qx*ux + qy*uy
			d := absf(qx*uy - qy*ux)
			if al < 0 {
				d = sqrt(qx*qx + qy*qy)
			} else if al > length {
				d = sqrt(d*d + (al-length)*(al-length))
			}
			if cov := cover(d, hw); cov > 0 {
				v := uint8(cov * 254)
				if v > top {
					v = top
				}
				if v > p.ink[i] {
					p.ink[i] = v
				}
			}
			i += next
			if steep {
				qx++
			} else {
				qy++
			}
		}
	}
}

// weight looks at the depth under a point of an edge and to both sides of it,
// and returns the stroke's width in page pixels.
func (p *Plate) weight(cx, cy, nx, ny, z float32, kind lineKind, sharp, turn float32, st *Style) (float32, bool) {
	low := float32(math.MaxFloat32)
	x, y := cx, cy
	for i := range 3 {
		if x >= 0 && y >= 0 {
			if px, py := int(x), int(y); px < p.W && py < p.H {
				if d := p.depthAt(py*p.W + px); d < low {
					low = d
				}
			}
		}
		if i == 0 {
			if kind >= crease && low > z*(1+3*slack) {
				return 0, false
			}
			x, y = cx+nx, cy+ny
		} else {
			x, y = cx-nx, cy-ny
		}
	}
	if low > z*(1+slack) {
		return 0, false
	}
	switch {
	case kind == crease:
		return st.Crease * (.35 + .65*sharp), true
	case kind == meshEdge:
		return st.Edge, true
	case low == 0:
		return st.Outer * turn, true
	}
	jump := (z - low) / z * st.Reach
	if jump > 1 {
		jump = 1
	}
	return st.Inner * (.45 + .55*jump) * turn, true
}
