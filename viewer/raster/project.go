package raster

// Project carries the frame's vertices to the screen and works out what the
// engraver reads per vertex. The plate keeps pointers to all of it until the
// next Project.
func (p *Plate) Project(f *Figure, m *Mesh, fr *Frame, v *View, ru Ruling) {}

// Point carries one world point to the plate. ok is false nearer than Near.
func (v *View) Point(x, y, z float32) (px, py, distance float32, ok bool) { return }

// Fill draws depth and identity of every triangle.
func (p *Plate) Fill(look Look) {}

// Outline draws contours, borders, creases and mesh edges into the ink.
func (p *Plate) Outline(st *Style, look Look) {}

// Print lays colour, lines and ink on the filled pixels.
func (p *Plate) Print(st *Style, look Look) {}

// Hidden tells whether something drawn lies nearer at a pixel than distance
// (metres), less slack (a share of it).
func (p *Plate) Hidden(x, y, distance, slack float32) bool { return false }
