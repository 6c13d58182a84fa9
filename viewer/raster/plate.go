package raster

import "math"

// Plate holds the buffers of one picture. A pixel's colour is a uint32 whose
// bytes in memory (little endian) are R, G, B, A: what browsers and image.RGBA
// take.
type Plate struct {
	W, H int
	Unit float32  // pixels per page pixel: 2 when supersampled 2×2
	Pix  []uint32 // W·H

	Left int // triangles that the last Fill left out: so many layers lie over each other

	// cell packs depth and identity of a pixel in one word: bits of 1/distance
	// above, then six of the part's number, then triangle + 1 (0: ground), so that
	// one integer comparison is the depth test and one store writes all. Ties go to the later triangle.
	cell   []uint64
	ink    []uint8  // coverage by outline strokes
	ground []uint32 // nil: paper everywhere
	paper  []uint32 // one row of the paper's colour

	cols, rows int
	dirty      []uint8 // per tile: 0, or 1 + part, or mixed when several parts meet

	fig    *Figure
	mesh   *Mesh
	frame  *Frame
	view   View
	ruling Ruling

	at     []point
	tone   []tone
	facing []uint8
	cache  []face
	wide   []wide
	holes  sieve
	glyphs map[glyphKey]*glyph
	work   int       // pixels that Fill and Outline have looked at
	cover  []float32 // one row of a polygon
	veil   []uint8   // coverage of a polyline
	cross  []float32
}

const (
	tile  = 16
	mixed = 255

	// triMask leaves the triangle of a cell. A mesh of 2²⁶ triangles or more is
	// not drawn beyond them: its indices alone would take 800 MB. Two parts whose
	// numbers agree in six bits lose the contact lines between them.
	triMask = 1<<26 - 1
)

// layers is how often a picture may be covered, on average, before triangles are left
// out: a hundred thousand that all cross would hold the page for minutes. Seen whole, eight
// figures of the corpus take 0.1 to 0.7 (the knight; measured at 1280×800, 2×2).
const layers = 32

// strokeWork is what a step of a stroke costs, in pixels of Fill.
const strokeWork = 16

// Facing of a triangle in the present frame; 0: not on the plate.
const (
	front uint8 = 1
	back  uint8 = 2
)

// New makes a plate of w × h pixels, all transparent black; Pave it.
func New(w, h int) *Plate {
	p := &Plate{Unit: 1}
	p.Resize(w, h)
	return p
}

// Resize changes the size, reusing the buffers; the plate is as new, but Unit
// and the paper's colour stay.
func (p *Plate) Resize(w, h int) {
	w, h = max(w, 1), max(h, 1)
	paper := uint32(0)
	if len(p.paper) > 0 {
		paper = p.paper[0]
	}
	p.W, p.H = w, h
	p.cell, p.ink = grown(p.cell, w*h), grown(p.ink, w*h)
	p.Pix, p.paper = grown(p.Pix, w*h), grown(p.paper, w)
	clear(p.cell)
	clear(p.ink)
	p.cols, p.rows = (w+tile-1)/tile, (h+tile-1)/tile
	p.dirty = grown(p.dirty, p.cols*p.rows)
	p.Pave(paper)
}

func grown[E any](s []E, n int) []E {
	if cap(s) < n {
		return make([]E, n)
	}
	return s[:n]
}

// Pave makes the whole plate one colour, now and at every Wipe.
func (p *Plate) Pave(c uint32) {
	p.ground = nil
	for i := range p.paper {
		p.paper[i] = c
	}
	for y := range p.H {
		copy(p.Pix[y*p.W:(y+1)*p.W], p.paper)
	}
	p.forget()
}

// Keep makes the present picture the ground that Wipe restores: for marks that
// stay while the camera stays.
func (p *Plate) Keep() {
	p.ground = append(p.ground[:0], p.Pix...)
	p.forget()
}

// forget empties depth, ink and tiles without touching the picture.
func (p *Plate) forget() {
	for i, d := range p.dirty {
		if d == 0 {
			continue
		}
		p.dirty[i] = 0
		x0, y0 := i%p.cols*tile, i/p.cols*tile
		x1, y1 := min(x0+tile, p.W), min(y0+tile, p.H)
		for y := y0; y < y1; y++ {
			clear(p.cell[y*p.W+x0 : y*p.W+x1])
			clear(p.ink[y*p.W+x0 : y*p.W+x1])
		}
	}
}

// Wipe restores the ground wherever something was drawn since the last one, a
// run of tiles at a time.
func (p *Plate) Wipe() {
	for r := range p.rows {
		row := p.dirty[r*p.cols : (r+1)*p.cols]
		for c := 0; c < len(row); c++ {
			if row[c] == 0 {
				continue
			}
			d := c
			for d < len(row) && row[d] != 0 {
				row[d] = 0
				d++
			}
			x0, x1 := c*tile, min(d*tile, p.W)
			for y := r * tile; y < min((r+1)*tile, p.H); y++ {
				a, b := y*p.W+x0, y*p.W+x1
				clear(p.cell[a:b])
				clear(p.ink[a:b])
				if p.ground != nil {
					copy(p.Pix[a:b], p.ground[a:b])
				} else {
					copy(p.Pix[a:b], p.paper)
				}
			}
			c = d
		}
	}
}

// touch marks the tiles of a pixel rectangle (ends included): tag is 1 + part,
// or 0 for marks that belong to no part.
func (p *Plate) touch(x0, y0, x1, y1 int, tag uint8) {
	if x1 < 0 || y1 < 0 {
		return
	}
	x0, y0 = max(x0, 0)/tile, max(y0, 0)/tile
	x1, y1 = min(x1, p.W-1)/tile, min(y1, p.H-1)/tile
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			d := &p.dirty[y*p.cols+x]
			switch {
			case *d == 0:
				*d = max(tag, 1)
			case tag != 0 && *d != tag:
				*d = mixed
			}
		}
	}
}

// Draw is Project, Fill, Outline and Print.
func (p *Plate) Draw(f *Figure, m *Mesh, fr *Frame, v *View, ru Ruling, st *Style, look Look) {
	if !look.Lines {
		ru.Want = 0 // spares Project the slopes
	}
	p.Project(f, m, fr, v, ru)
	p.Fill(look)
	p.Outline(st, look)
	p.Print(st, look)
}

func (p *Plate) depthAt(i int) float32 { return math.Float32frombits(uint32(p.cell[i] >> 32)) }

// Halve averages 2×2 pixels into dst, (W/2)·(H/2) pixels: the idle frame. Red
// and blue share a word, as four times 255 fits in 16 bits.
func (p *Plate) Halve(dst []uint32) {
	w, h := p.W/2, p.H/2
	for y := range h {
		a, b := p.Pix[2*y*p.W:2*y*p.W+2*w], p.Pix[(2*y+1)*p.W:(2*y+1)*p.W+2*w]
		out := dst[y*w : (y+1)*w]
		for x := range out {
			q, r, s, t := a[2*x], a[2*x+1], b[2*x], b[2*x+1]
			if q == r && q == s && q == t {
				out[x] = q | 0xff000000
				continue
			}
			rb := (q&0xff00ff + r&0xff00ff + s&0xff00ff + t&0xff00ff + 0x20002) >> 2 & 0xff00ff
			g := (q>>8&255 + r>>8&255 + s>>8&255 + t>>8&255 + 2) >> 2
			out[x] = 0xff000000 | rb | g<<8
		}
	}
}

func sqrt(x float32) float32 { return float32(math.Sqrt(float64(x))) }

// lesser and greater are min and max for finite numbers: the builtins mind NaN,
// and are calls under WASM.
func lesser(a, b float32) float32 {
	if a < b {
		return a
	}
	return b
}

func greater(a, b float32) float32 {
	if a > b {
		return a
	}
	return b
}

func absf(x float32) float32 { return math.Float32frombits(math.Float32bits(x) &^ (1 << 31)) }
