package raster

// point is a vertex on the plate: pixels and 1/distance, which is straight in
// screen space.
type point struct {
	x, y, z  float32
	col, row int16 // the first pixel whose middle lies right of it, below it (or marked below)
}

// Marks in row, lower than any row within the guard band.
const (
	cut  = -guard - 2 // nearer than Near or far off the plate: triangles with it are clipped
	gone = -guard - 3 // not finite: triangles with it are left out
)

// at sets a point within the guard band.
func (o *point) at(x, y, z float32) {
	*o = point{x, y, z, int16(int(x + .5)), int16(int(y + .5))}
}

// whole tells that no corner is marked.
func whole(a, b, c *point) bool { return a.row > cut && b.row > cut && c.row > cut }

// tone is what the engraver reads of a vertex: the dot products of the normal
// with the key light (bias included) and with the line of sight, scaled and
// clamped to the columns and rows of Style.dark.
type tone struct {
	nl, nv float32
	want   float32 // metres between lines here: more where the limb is foreshortened
	keep   float32 // 0 … 255, less where lines would lie too far apart: an end cap
}

// guard is how far from the plate's corner a vertex may lie, in pixels, before
// its triangles are clipped: so that spans keep 1/64 px in float32 and no
// conversion to int leaves its range, where platforms differ.
const guard = 16384

// keyX, keyY, keyZ is the unit direction towards the key light in view space:
// upper left, front. (−.55, .62, .56) made unit.
const keyX, keyY, keyZ = -.54986255, .61984506, .55986005

// Project carries the frame's vertices to the screen and works out what the
// engraver reads per vertex. The plate keeps pointers to all of it until the
// next Project. With ru.Want 0 no lines can be printed.
func (p *Plate) Project(f *Figure, m *Mesh, fr *Frame, v *View, ru Ruling) {
	p.fig, p.mesh, p.frame, p.view, p.ruling = f, m, fr, *v, ru
	n := len(fr.Pos) / 3
	p.at, p.tone = grown(p.at, n), grown(p.tone, n)
	at, tones := p.at, p.tone[:len(p.at)]
	pos, nrm := fr.Pos[:3*n], fr.Normal[:3*n]
	bias, slope := f.Bias, fr.Slope
	biased := len(bias) >= n
	ruled := ru.Want > 0 && len(slope) >= 3*n
	used := m.Used
	count := n
	if used != nil {
		count = len(used)
	}
	m0, m1, m2, m3 := v.M[0], v.M[1], v.M[2], v.M[3]
	m4, m5, m6, m7 := v.M[4], v.M[5], v.M[6], v.M[7]
	m8, m9, m10, m11 := v.M[8], v.M[9], v.M[10], v.M[11]
	focal, cx, cy, near := v.Focal, v.CX, v.CY, v.Near
	closest := ru.Close / focal
	for k := range count {
		i := k
		if used != nil {
			i = int(used[k])
		}
		q := pos[3*i : 3*i+3 : 3*i+3]
		px, py, pz := q[0], q[1], q[2]
		x := m0*px + m1*py + m2*pz + m3
		y := m4*px + m5*py + m6*pz + m7
		w := -(m8*px + m9*py + m10*pz + m11)
		o := &at[i]
		inv := 1 / w
		sx, sy := x*inv, y*inv
		o.x, o.y, o.z = cx+focal*sx, cy-focal*sy, inv
		if !(w >= near && o.x > -guard && o.x < guard && o.y > -guard && o.y < guard) { // NaN too
			o.row = cut
			if s := x + y + w; s-s != 0 {
				o.row = gone
				continue
			}
			// Along the line of sight itself, as x/w loses its sense.
			inv = 1 / (sqrt(x*x+y*y+w*w) + 1e-20)
			sx, sy = x*inv, y*inv
		} else {
			o.col, o.row = int16(int(o.x+.5)), int16(int(o.y+.5))
		}
		q = nrm[3*i : 3*i+3 : 3*i+3]
		px, py, pz = q[0], q[1], q[2]
		nx := m0*px + m1*py + m2*pz
		ny := m4*px + m5*py + m6*pz
		nz := m8*px + m9*py + m10*pz
		l := nx*keyX + ny*keyY + nz*keyZ
		if biased {
			l += bias[i]
		}
		l = l*63.5 + 63.5
		if !(l > .01) {
			l = .01
		} else if l > 126.9 {
			l = 126.9
		}
		e := (nz - nx*sx - ny*sy) * 32
		if !(e > .01) {
			e = .01
		} else if e > 31.9 {
			e = 31.9
		}
		t := &tones[i]
		t.nl, t.nv, t.want, t.keep = l, e, ru.Want, 255
		if !ruled {
			continue
		}
		// The slope of S on the screen: carried along the line of sight onto
		// the picture plane. s2 is (metres of S per metre there) squared.
		q = slope[3*i : 3*i+3 : 3*i+3]
		px, py, pz = q[0], q[1], q[2]
		gx := m0*px + m1*py + m2*pz
		gy := m4*px + m5*py + m6*pz
		gz := m8*px + m9*py + m10*pz
		if e < 9 { // n·v at least 0.28
			e = 9
		}
		h := (gz - gx*sx - gy*sy) * 32 / e
		gx -= nx * h
		gy -= ny * h
		s2 := gx*gx + gy*gy
		if tight := closest / inv; s2*tight*tight > ru.Want*ru.Want {
			t.want = tight * sqrt(s2)
		}
		if s2 < .04 {
			t.keep = 255 * 25 * s2
		}
	}
}

// Point carries one world point to the plate. ok is false nearer than Near.
func (v *View) Point(x, y, z float32) (px, py, distance float32, ok bool) {
	vx := v.M[0]*x + v.M[1]*y + v.M[2]*z + v.M[3]
	vy := v.M[4]*x + v.M[5]*y + v.M[6]*z + v.M[7]
	w := -(v.M[8]*x + v.M[9]*y + v.M[10]*z + v.M[11])
	if !(w >= v.Near) {
		return 0, 0, w, false
	}
	return v.CX + v.Focal*vx/w, v.CY - v.Focal*vy/w, w, true
}

// corner is a vertex in homogeneous plate coordinates: pixels × w, pixels × w, w.
type corner struct{ x, y, w float64 }

// homogeneous works a vertex out again, in float64: clipped triangles are few.
func (p *Plate) homogeneous(v uint32) corner {
	q := p.frame.Pos[3*v : 3*v+3]
	x, y, z := float64(q[0]), float64(q[1]), float64(q[2])
	m := &p.view.M
	vx := float64(m[0])*x + float64(m[1])*y + float64(m[2])*z + float64(m[3])
	vy := float64(m[4])*x + float64(m[5])*y + float64(m[6])*z + float64(m[7])
	w := -(float64(m[8])*x + float64(m[9])*y + float64(m[10])*z + float64(m[11]))
	f := float64(p.view.Focal)
	return corner{float64(p.view.CX)*w + f*vx, float64(p.view.CY)*w - f*vy, w}
}

// side is the distance of a corner within one of the five clipping planes: near
// and the four of the guard band.
func (p *Plate) side(c corner, plane int) float64 {
	switch plane {
	case 0:
		return c.w - float64(p.view.Near)
	case 1:
		return guard*c.w - c.x
	case 2:
		return guard*c.w + c.x
	case 3:
		return guard*c.w - c.y
	}
	return guard*c.w + c.y
}

// between is where the way from a corner inside to one outside meets a plane.
// Both triangles of an edge ask it the same way round, so they get the same.
func between(in, out corner, din, dout float64) corner {
	t := din / (din - dout)
	return corner{in.x + (out.x-in.x)*t, in.y + (out.y-in.y)*t, in.w + (out.w-in.w)*t}
}

// clip cuts triangle v to the five planes (Sutherland and Hodgman 1974) and
// returns what is left, at most 8 points in order. Corners that are not cut
// keep the very pixels their other triangles use.
func (p *Plate) clip(v []uint32, out *[8]point) int {
	type vertex struct {
		corner
		own int32 // index of an uncut vertex, or −1
	}
	var a, b [9]vertex
	n := 3
	for i, u := range v[:3] {
		a[i] = vertex{p.homogeneous(u), -1}
		if p.at[u].row > cut {
			a[i].own = int32(u)
		}
	}
	for plane := range 5 {
		m := 0
		for i := range n {
			c, d := a[i], a[(i+1)%n]
			sc, sd := p.side(c.corner, plane), p.side(d.corner, plane)
			if c.own >= 0 { // decided in float32: keep to it
				sc = max(sc, 0)
			}
			if d.own >= 0 {
				sd = max(sd, 0)
			}
			if sc >= 0 {
				b[m] = c
				m++
			}
			if sc > 0 && sd < 0 {
				b[m] = vertex{between(c.corner, d.corner, sc, sd), -1}
				m++
			} else if sc < 0 && sd > 0 {
				b[m] = vertex{between(d.corner, c.corner, sd, sc), -1}
				m++
			}
		}
		n = m
		if n < 3 {
			return 0
		}
		a, b = b, a
	}
	for i := range n {
		if a[i].own >= 0 {
			out[i] = p.at[a[i].own]
			continue
		}
		inv := 1 / a[i].w
		out[i].at(float32(a[i].x*inv), float32(a[i].y*inv), float32(inv))
	}
	return n
}

// clipEdge cuts an edge to the five planes.
func (p *Plate) clipEdge(u, v uint32) (a, b point, ok bool) {
	if p.at[u].row == gone || p.at[v].row == gone {
		return
	}
	c, d := p.homogeneous(u), p.homogeneous(v)
	for plane := range 5 {
		sc, sd := p.side(c, plane), p.side(d, plane)
		switch {
		case sc < 0 && sd < 0:
			return
		case sc < 0 && sd > 0:
			c = between(d, c, sd, sc)
		case sd < 0 && sc > 0:
			d = between(c, d, sc, sd)
		}
	}
	if !(c.w > 0) || !(d.w > 0) {
		return
	}
	a.at(float32(c.x/c.w), float32(c.y/c.w), float32(1/c.w))
	b.at(float32(d.x/d.w), float32(d.y/d.w), float32(1/d.w))
	return a, b, true
}
