package marks

import (
	"math"

	"rigloupe/viewer/raster"
)

// Loupe is a round of surface enlarged, with its edges drawn.
type Loupe struct {
	X, Y     float32 // middle of the glass
	R        float32 // its radius
	AtX, AtY float32 // the place on the figure
	Zoom     float32 // how much larger than on the page
	Scale    float64 // pixels a metre on the page at the place
	Probed   bool    // mark the middle: a vertex
	Left     string  // written below the glass
	Right    string
}

// Zoom of the loupe.
const Zoom = 4.2

// LoupeRadius is the glass's radius for a free rectangle, 0 where there is no
// room for one.
func LoupeRadius(free Box) float32 {
	w, h := free.X1-free.X0, free.Y1-free.Y0
	if w < 420 || h < 340 {
		return 0
	}
	return min(84, .14*min(w, h*1.2))
}

// Taken is the rectangle that the loupe and its caption cover.
func (l *Loupe) Taken() Box { return Box{l.X - l.R - 6, l.Y - l.R - 6, l.X + l.R + 6, l.Y + l.R + 24} }

// Sight draws the sight lines and the small circle on the figure: under the glass.
func (p Pen) Sight(l *Loupe) {
	r := l.R / l.Zoom
	dx, dy := l.X-l.AtX, l.Y-l.AtY
	d := sqrt(dx*dx + dy*dy)
	if d > l.R-r+1 {
		// Both outer tangents of the two circles.
		a := math.Atan2(float64(dy), float64(dx))
		o := math.Acos(float64((l.R - r) / d))
		for _, sign := range [...]float64{1, -1} {
			s, c := math.Sincos(a + sign*(math.Pi-o))
			p.line(l.AtX+float32(c)*r, l.AtY+float32(s)*r, l.X+float32(c)*l.R, l.Y+float32(s)*l.R, 1, p.Paper.Rule)
		}
	}
	p.ring(l.AtX, l.AtY, r, 3, p.Paper.Sheet)
	p.ring(l.AtX, l.AtY, r, 1.25, p.Paper.Ink)
}

// Glass copies the enlarged picture (its middle is the place) and draws rim,
// ticks, scale bar, the probed vertex and the caption.
func (p Pen) Glass(l *Loupe, q *raster.Plate) {
	u := p.Plate.Unit
	p.disc(l.X, l.Y, l.R, p.Paper.Well, 1)
	p.Plate.Inset(q, l.X*u, l.Y*u, l.R*u)
	p.ring(l.X, l.Y, l.R-4.5, 9, p.Paper.Sheet) // so that the ticks stand on any surface
	p.ring(l.X, l.Y, l.R, 2.5, p.Paper.Ink)
	p.ring(l.X, l.Y, l.R-9, .75, p.Paper.Ink)
	for i := range 72 {
		s, c := math.Sincos(float64(i) * math.Pi / 36)
		n, w := float32(3), float32(.6)
		if i%6 == 0 {
			n, w = 6, 1
		}
		sx, sy := float32(c), float32(s)
		p.line(l.X+sx*(l.R-9), l.Y+sy*(l.R-9), l.X+sx*(l.R-9+n), l.Y+sy*(l.R-9+n), w, p.Paper.Ink)
	}
	if l.Probed {
		p.Probed(l.X, l.Y)
	}
	// A bar of 1, 2 or 5 × 10^k, at most .85 of the radius long.
	if perMetre := l.Scale * float64(l.Zoom); perMetre > 0 && !math.IsInf(perMetre, 0) {
		bar := Round(.85*float64(l.R)/perMetre, 2, 5)
		w, text := float32(bar*perMetre)/2, Length(bar)
		half := max(w, raster.TextWidth(tickType*u, text)/u/2) + 7
		y := l.Y + l.R - 34
		p.polygon(p.Paper.Sheet, l.X-half, y, l.X+half, y, l.X+half, y+21, l.X-half, y+21)
		p.line(l.X-w, y+12, l.X-w, y+17, 1, p.Paper.Ink)
		p.line(l.X-w, y+17, l.X+w, y+17, 1, p.Paper.Ink)
		p.line(l.X+w, y+17, l.X+w, y+12, 1, p.Paper.Ink)
		p.Plate.Text(l.X*u, (y+10.5)*u, tickType*u, text, p.Paper.Ink, 1, raster.Middle)
	}
	// One line below the glass, two where it is too narrow for both.
	y, second := l.Y+l.R+14, l.Y+l.R+14
	if (raster.TextWidth(fineType*u, l.Left)+raster.TextWidth(fineType*u, l.Right))/u > 2*l.R-8 {
		y, second = l.Y+l.R+11, l.Y+l.R+24
	}
	if l.Left != "" {
		p.bold(l.X-l.R+2, y, fineType, l.Left, p.Paper.Ink, raster.Left)
	}
	if l.Right != "" {
		p.text(l.X+l.R, second, fineType, l.Right, p.Paper.Ink2, raster.Right)
	}
}

// Probed rings the vertex that is chosen.
func (p Pen) Probed(x, y float32) {
	p.ring(x, y, 5, 4, p.Paper.Sheet)
	p.ring(x, y, 5, 1.5, p.Paper.Ink)
}
