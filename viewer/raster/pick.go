package raster

import "math"

// Hit is what lies under a pixel.
type Hit struct {
	Tri      uint32     // triangle of the mesh drawn last
	Part     uint16     // its part
	Distance float32    // metres along the line of sight (view −z)
	Bary     [3]float32 // of the pixel's centre in the triangle, at the surface (perspective corrected), sum 1
	Vertex   uint32     // corner with the largest share
	Back     bool       // seen from inside
}

// Pick tells what was drawn at a pixel. ok is false on the ground. Marks are not
// picked.
func (p *Plate) Pick(x, y int) (h Hit, ok bool) {
	if x < 0 || y < 0 || x >= p.W || y >= p.H || p.mesh == nil {
		return h, false
	}
	c := p.cell[y*p.W+x]
	if c == 0 {
		return h, false
	}
	h.Tri = uint32(c)&triMask - 1
	h.Distance = 1 / math.Float32frombits(uint32(c>>32))
	h.Back = p.facing[h.Tri] == back
	if p.mesh.Part != nil {
		h.Part = p.mesh.Part[h.Tri]
	}
	h.Bary = [3]float32{1 / 3., 1 / 3., 1 / 3.}
	var g wide
	fx, fy := float32(x)+.5, float32(y)+.5
	copy(g.v[:], p.mesh.Tri[3*h.Tri:])
	if g.setDeep(p, fx, fy) {
		h.Bary[0], h.Bary[1], h.Bary[2], _ = g.share(fx, fy)
	}
	h.Vertex = p.mesh.Tri[3*int(h.Tri)+most(h.Bary[0], h.Bary[1], h.Bary[2])]
	return h, true
}

// Hidden tells whether something drawn lies nearer at a pixel than distance
// (metres), by more than slack (a share of it). Off the plate nothing is hidden.
func (p *Plate) Hidden(x, y, distance, slack float32) bool {
	if !(x >= 0 && y >= 0 && x < float32(p.W) && y < float32(p.H)) {
		return false
	}
	return p.depthAt(int(y)*p.W+int(x))*distance > 1+slack
}

// Unhidden marks the vertices of the last Project that lie on the plate, in
// front of the eye and not behind something drawn, as Hidden has it.
func (p *Plate) Unhidden(seen []bool, slack float32) {
	w, h := float32(p.W), float32(p.H)
	for i := range p.at {
		a := &p.at[i]
		seen[i] = a.row > cut && a.x >= 0 && a.y >= 0 && a.x < w && a.y < h &&
			p.depthAt(int(a.y)*p.W+int(a.x)) <= a.z*(1+slack)
	}
}

// Facing tells of a triangle in the last Fill: +1 its front, −1 its back is
// turned to the eye, 0 it is cut away.
func (p *Plate) Facing(t uint32) int {
	switch p.facing[t] {
	case front:
		return 1
	case back:
		return -1
	}
	return 0
}
