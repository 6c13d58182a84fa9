package raster

import "math"

// contacts inks the lines where two parts pass through each other, in a tile that
// holds several parts. There is no mesh edge there.
func (p *Plate) contacts(x0, y0, x1, y1 int, st *Style) {
	x0, y0, x1, y1 = max(x0, 1), max(y0, 1), min(x1, p.W-1), min(y1, p.H-1)
	hw := st.Contact * .5 * p.Unit
	W := p.W
	for y := y0; y < y1; y++ {
		i := y*W + x0
		n := x1 - x0
		if n <= 0 {
			return
		}
		me := p.cell[i-1 : i+n+1]
		up, dn := p.cell[i-W:i-W+n], p.cell[i+W:i+W+n]
		for x := range up {
			c := me[x+1]
			id := uint32(c)
			if id == 0 {
				continue
			}
			// Unlike in the part's bits, and no ground: the first such neighbour.
			var other uint64
			if l := me[x]; (uint32(l)^id) > triMask && uint32(l) != 0 {
				other = l
			} else if r := me[x+2]; (uint32(r)^id) > triMask && uint32(r) != 0 {
				other = r
			} else if u := up[x]; (uint32(u)^id) > triMask && uint32(u) != 0 {
				other = u
			} else if d := dn[x]; (uint32(d)^id) > triMask && uint32(d) != 0 {
				other = d
			} else {
				continue
			}
			if q := p.contact(c, other, float32(x0+x)+.5, float32(y)+.5, hw); q != 0 {
				p.Pix[i+x] = mix(p.Pix[i+x], st.Ink, q)
			}
		}
	}
}

// contact finds the crossing of two depth planes near a pixel: both are straight
// in screen space, so it is where their difference is zero. An occlusion has no
// such place nearby and is left to the outline.
func (p *Plate) contact(c, n uint64, fx, fy, hw float32) uint32 {
	zc, zn := math.Float32frombits(uint32(c>>32)), math.Float32frombits(uint32(n>>32))
	if d := zc - zn; d > zc*.01 || d < -zc*.01 {
		return 0
	}
	az, ax, ay, ok := p.depthPlane(uint32(c)&triMask - 1)
	bz, bx, by, ok2 := p.depthPlane(uint32(n)&triMask - 1)
	gx, gy := ax-bx, ay-by
	m := sqrt(gx*gx + gy*gy)
	if !ok || !ok2 || m == 0 {
		return 0
	}
	cov := cover(absf(az-bz+gx*fx+gy*fy)/m, hw)
	if cov <= 0 {
		return 0
	}
	return uint32(cov * 255)
}

// depthPlane is 1/distance over a triangle; ok is false for a clipped one.
func (p *Plate) depthPlane(t uint32) (z, zx, zy float32, ok bool) {
	v := p.mesh.Tri[3*t : 3*t+3]
	a, b, c := &p.at[v[0]], &p.at[v[1]], &p.at[v[2]]
	if !whole(a, b, c) {
		return
	}
	var g shares
	g.load(a, b, c)
	z, zx, zy = g.plane(a.z, b.z, c.z)
	return z, zx, zy, true
}
