package raster

// Plate holds the buffers of one picture. A pixel's colour is a uint32 whose
// bytes in memory (little endian) are R, G, B, A: what browsers and image.RGBA
// take.
type Plate struct {
	W, H int
	Unit float32  // pixels per page pixel: 2 when supersampled 2×2
	Pix  []uint32 // W·H
}

// New makes a plate of w × h pixels, all transparent black; Pave it.
func New(w, h int) *Plate { return &Plate{W: w, H: h, Unit: 1, Pix: make([]uint32, w*h)} }

// Resize changes the size, reusing the buffers; the plate is as new.
func (p *Plate) Resize(w, h int) {}

// Pave makes the whole plate one colour, now and at every Wipe.
func (p *Plate) Pave(c uint32) {}

// Keep makes the present picture the ground that Wipe restores.
func (p *Plate) Keep() {}

// Wipe restores the ground wherever something was drawn since the last one.
func (p *Plate) Wipe() {}

// Draw is Project, Fill, Outline and Print.
func (p *Plate) Draw(f *Figure, m *Mesh, fr *Frame, v *View, ru Ruling, st *Style, look Look) {}

// Hit is what lies under a pixel.
type Hit struct {
	Tri      uint32     // triangle of the mesh drawn last
	Part     uint16     // its part
	Distance float32    // metres along the line of sight (view −z)
	Bary     [3]float32 // of the pixel's centre in the triangle, at the surface (perspective corrected), sum 1
	Vertex   uint32     // corner with the largest share
	Back     bool       // seen from inside
}

// Pick tells what was drawn at a pixel. ok is false on the ground.
func (p *Plate) Pick(x, y int) (h Hit, ok bool) { return }

// Halve averages 2×2 pixels into dst, (W/2)·(H/2) pixels: the idle frame.
func (p *Plate) Halve(dst []uint32) {}
