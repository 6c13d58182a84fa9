// Package marks draws everything on the plate that is not surface: bones and
// joints, the staff, the floor rose, pointers and the loupe. One drawing language:
// ring, stem and tick mean joint, bone and twist side here, in the card's chain
// and in the ledger.
//
// All places are page pixels; a Pen turns them into pixels of a plate that may be
// supersampled.
package marks

import (
	"math"
	"strconv"
	"strings"

	"rigloupe/viewer/ramp"
	"rigloupe/viewer/raster"
)

// Pen draws in page pixels on a plate, in the colours of one paper.
type Pen struct {
	Plate *raster.Plate
	Paper *ramp.Paper
}

// Sizes of type, page pixels (tokens.css).
const (
	tickType = 11
	fineType = 12
)

func (p Pen) line(x0, y0, x1, y1, w float32, c uint32) {
	u := p.Plate.Unit
	p.Plate.Line(x0*u, y0*u, x1*u, y1*u, w*u, c, 1)
}

func (p Pen) faint(x0, y0, x1, y1, w float32, c uint32, alpha float32) {
	u := p.Plate.Unit
	p.Plate.Line(x0*u, y0*u, x1*u, y1*u, w*u, c, alpha)
}

func (p Pen) dashed(x0, y0, x1, y1, w, on, off float32, c uint32) {
	u := p.Plate.Unit
	p.Plate.Dashed(x0*u, y0*u, x1*u, y1*u, w*u, on*u, off*u, c, 1)
}

func (p Pen) ring(x, y, r, w float32, c uint32) {
	u := p.Plate.Unit
	p.Plate.Ring(x*u, y*u, r*u, w*u, c, 1)
}

func (p Pen) disc(x, y, r float32, c uint32, alpha float32) {
	u := p.Plate.Unit
	p.Plate.Disc(x*u, y*u, r*u, c, alpha)
}

// polygon takes x, y, x, y … in page pixels.
func (p Pen) polygon(c uint32, xy ...float32) {
	for i := range xy {
		xy[i] *= p.Plate.Unit
	}
	p.Plate.Polygon(xy, c, 1)
}

// text writes with its capitals' middle at y, on a casing of the paper.
func (p Pen) text(x, y, size float32, s string, c uint32, a raster.Anchor) {
	u := p.Plate.Unit
	base := y + size*.36 // capitals are size/1.4 high
	p.Plate.Halo(x*u, base*u, size*u, s, p.Paper.Paper, .9, 2*u, a)
	p.Plate.Text(x*u, base*u, size*u, s, c, 1, a)
}

// bold writes twice, half a page pixel apart: the plate has one weight of type.
func (p Pen) bold(x, y, size float32, s string, c uint32, a raster.Anchor) {
	u := p.Plate.Unit
	base := y + size*.36
	p.Plate.Halo(x*u, base*u, size*u, s, p.Paper.Paper, .9, 2*u, a)
	p.Plate.Text(x*u-.25*u, base*u, size*u, s, c, 1, a)
	p.Plate.Text(x*u+.25*u, base*u, size*u, s, c, 1, a)
}

// Divider draws the part of a line between two halves that lies in one of them (w page
// pixels wide, the free room from top to bottom), and the half's name beside it.
func (p Pen) Divider(w, top, bottom int, right bool, name string) {
	x, at, a := float32(w), float32(w)-10, raster.Right
	if right {
		x, at, a = 0, 10, raster.Left
	}
	p.line(x, float32(top), x, float32(bottom), 2, p.Paper.Ink)
	p.bold(at, float32(bottom)-10, fineType, name, p.Paper.Ink, a)
}

// Shelf is Divider for halves that lie on top of each other: h page pixels high, the free
// room from left to right.
func (p Pen) Shelf(h, left, right int, below bool, name string) {
	y, at := float32(h), float32(h)-10
	if below {
		y, at = 0, 12
	}
	p.line(float32(left), y, float32(right), y, 2, p.Paper.Ink)
	p.bold(float32(left)+10, at, fineType, name, p.Paper.Ink, raster.Left)
}

// Round answers the largest of 1 and the steps (rising, under 10), × 10^k, that is
// not above v.
func Round(v float64, steps ...float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return 1
	}
	k := math.Floor(math.Log10(v) + 1e-9)
	p := power(int(k))
	best := p
	for _, s := range steps {
		if s*p <= v*(1+1e-9) {
			best = s * p
		}
	}
	return best
}

// RoundUp answers the smallest of 1, 2, 5 × 10^k that is not below v.
func RoundUp(v float64) float64 {
	p := Round(v)
	for _, s := range [...]float64{1, 2, 5} {
		if s*p >= v*(1-1e-9) {
			return s * p
		}
	}
	return 10 * p
}

// power is 10^k without math.Pow, whose last digit may differ between platforms.
func power(k int) float64 {
	f, _ := strconv.ParseFloat("1e"+strconv.Itoa(max(-300, min(300, k))), 64)
	return f
}

// Metres writes a length with the digits that step asks for: "1.5", "0.25".
func Metres(v, step float64) string {
	digits := 0
	for s := step; digits < 6 && math.Abs(s-math.Round(s)) > 1e-6*s; digits++ {
		s *= 10
	}
	return number(v, digits)
}

// number writes v with a true minus sign and thousands parted by a narrow space.
func number(v float64, digits int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', digits, 64)
	whole, frac, dotted := strings.Cut(s, ".")
	var b strings.Builder
	if v < 0 && strings.ContainsAny(s, "123456789") {
		b.WriteString("−")
	}
	for i, d := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 && len(whole) > 4 {
			b.WriteRune('\u202f')
		}
		b.WriteRune(d)
	}
	if dotted {
		b.WriteString("." + frac)
	}
	return b.String()
}

// Length writes a length in the unit people use for it: "50 mm", "1.86 m".
func Length(metres float64) string {
	switch a := math.Abs(metres); {
	case a == 0:
		return "0 m"
	case a < .0009995:
		return significant(metres*1e6) + " µm"
	case a < .9995:
		return significant(metres*1e3) + " mm"
	case a < 9995:
		return significant(metres) + " m"
	}
	return number(metres/1e3, 0) + " km"
}

// significant writes three digits and drops zeros at the end.
func significant(v float64) string {
	digits := 2
	switch a := math.Abs(v); {
	case a >= 99.95:
		digits = 0
	case a >= 9.995:
		digits = 1
	}
	s := number(v, digits)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

func sqrt(x float32) float32 { return float32(math.Sqrt(float64(x))) }
