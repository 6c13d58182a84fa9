package raster

// Marks are laid over the picture in pixels (not page pixels), x right, y down,
// pixel centres at .5. alpha is 0 … 1.

// Line lays an anti-aliased stroke with round ends, w pixels wide.
func (p *Plate) Line(x0, y0, x1, y1, w float32, c uint32, alpha float32) {}

// Dashed lays on/off lengths, beginning with on at x0, y0.
func (p *Plate) Dashed(x0, y0, x1, y1, w, on, off float32, c uint32, alpha float32) {}

// Polyline joins points x, y, x, y …; joints are not laid twice.
func (p *Plate) Polyline(xy []float32, w float32, c uint32, alpha float32, closed bool) {}

// Ring is a circle line w wide about radius r.
func (p *Plate) Ring(x, y, r, w float32, c uint32, alpha float32) {}

// Disc is a filled circle.
func (p *Plate) Disc(x, y, r float32, c uint32, alpha float32) {}

// Polygon fills the points x, y, x, y … by the even-odd rule, edges smoothed.
func (p *Plate) Polygon(xy []float32, c uint32, alpha float32) {}

// Anchor is the place of a text relative to its point.
type Anchor uint8

const (
	Left Anchor = iota
	Middle
	Right
)

// Text writes s with its baseline at y; size is the height of capitals and
// digits times 1.4, as type sizes go (11 or 12 page pixels × Unit). It returns
// the width. Signs the face does not hold become a box.
func (p *Plate) Text(x, y, size float32, s string, c uint32, alpha float32, a Anchor) float32 {
	return 0
}

// Halo lays a casing of colour c, grow pixels wide, under a text to come.
func (p *Plate) Halo(x, y, size float32, s string, c uint32, alpha, grow float32, a Anchor) {}

// TextWidth is the width Text would take.
func TextWidth(size float32, s string) float32 { return 0 }

// Inset copies a round of q (its middle, radius r pixels of q) to x, y: the loupe.
func (p *Plate) Inset(q *Plate, x, y, r float32) {}
