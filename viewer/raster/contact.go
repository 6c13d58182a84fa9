package raster

import "math"

// contacts inks the lines where two parts pass through each other, on one row
// of a tile that holds several parts. There is no mesh edge there.
func (p *Plate) contacts(row, x0, x1 int, fy float32, st *Style) {
	part := p.mesh.Part
	if part == nil {
		return
	}
	hw := st.Contact * .5 * p.Unit
	up, me, dn := p.cell[row-p.W:row], p.cell[row:row+p.W], p.cell[row+p.W:row+2*p.W]
	up, dn = up[:len(me)], dn[:len(me)]
	for x := x0; x < x1; x++ {
		c := me[x]
		id := uint32(c)
		if id == 0 || uint32(me[x-1]) == id && uint32(me[x+1]) == id && uint32(up[x]) == id && uint32(dn[x]) == id {
			continue
		}
		own := part[id-1]
		for _, n := range [4]uint64{me[x-1], me[x+1], up[x], dn[x]} {
			o := uint32(n)
			if o == 0 || o == id || part[o-1] == own {
				continue
			}
			if k := p.contact(c, n, float32(x)+.5, fy, hw); k != 0 {
				p.Pix[row+x] = mix(p.Pix[row+x], st.Ink, k)
			}
			break
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
	az, ax, ay, ok := p.depthPlane(uint32(c) - 1)
	bz, bx, by, ok2 := p.depthPlane(uint32(n) - 1)
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
	if a.code|b.code|c.code != 0 {
		return
	}
	var g shares
	g.load(a, b, c)
	z, zx, zy = g.plane(a.z, b.z, c.z)
	return z, zx, zy, true
}
