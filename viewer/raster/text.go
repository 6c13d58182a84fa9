package raster

import (
	"math"
	"strings"
	"sync"
)

// Anchor is the place of a text relative to its point.
type Anchor uint8

const (
	Left Anchor = iota
	Middle
	Right
)

type glyphKey struct {
	r    rune
	size uint16 // quarter pixels a unit
	grow uint16 // of a halo, eighths of a pixel
}

// glyph is a sign's coverage, ready to be laid; x, y is its corner relative to
// the pen on the baseline.
type glyph struct {
	x, y, w, h int
	a          []uint8
}

// Text writes s with its baseline at y; size as type sizes go: capitals and
// digits are size/1.4 high, so 11 or 12 page pixels (× Unit) give 8. Pen and
// baseline keep to whole pixels and sizes to half steps, so that stems stay
// crisp. It returns the width. Signs the face does not hold become a box.
func (p *Plate) Text(x, y, size float32, s string, c uint32, alpha float32, a Anchor) float32 {
	return p.write(x, y, size, s, c, alpha, 0, a)
}

// Halo lays a casing of colour c, grow pixels wide, under a text to come.
func (p *Plate) Halo(x, y, size float32, s string, c uint32, alpha, grow float32, a Anchor) {
	p.write(x, y, size, s, c, alpha, max(grow, .125), a)
}

// TextWidth is the width Text takes, in pixels.
func TextWidth(size float32, s string) float32 {
	u, w := unit(size), float32(0)
	for _, r := range s {
		w += advance(r)
	}
	return w * u
}

// unit is pixels per unit of the face's grid, in half steps.
func unit(size float32) float32 {
	u := float32(int(size/11.5*2+.5)) * .5
	return min(16, max(1, u))
}

func advance(r rune) float32 {
	if g, ok := signs()[r]; ok {
		return g.width
	}
	return box.width
}

func (p *Plate) write(x, y, size float32, s string, c uint32, alpha, grow float32, a Anchor) float32 {
	width := TextWidth(size, s)
	if !sane(x, y, width) {
		return width
	}
	switch a {
	case Middle:
		x -= width * .5
	case Right:
		x -= width
	}
	u := unit(size)
	base, pen := int(math.Floor(float64(y)+.5)), float32(math.Floor(float64(x)+.5))
	k := uint32(min(1, max(0, alpha)) * 257)
	for _, r := range s {
		g := p.glyphOf(r, u, grow)
		p.lay(g, int(pen+.5)+g.x, base+g.y, c, k)
		pen += advance(r) * u
		if pen > float32(p.W) {
			break
		}
	}
	return width
}

// lay prints one glyph's coverage, k/256 strong.
func (p *Plate) lay(g *glyph, x, y int, c, k uint32) {
	x0, x1, y0, y1 := max(0, -x), min(g.w, p.W-x), max(0, -y), min(g.h, p.H-y)
	if x0 >= x1 || y0 >= y1 {
		return
	}
	p.touch(x+x0, y+y0, x+x1-1, y+y1-1, 0)
	for j := y0; j < y1; j++ {
		row := p.Pix[(y+j)*p.W+x : (y+j)*p.W+x+x1]
		for i := x0; i < x1; i++ {
			if q := uint32(g.a[j*g.w+i]); q != 0 {
				row[i] = mix(row[i], c, q*k>>8)
			}
		}
	}
}

// glyphOf draws a sign once and keeps it. The stock is small: a few sizes of a
// few signs; past 2048 (a file of names in every script) it is thrown away.
func (p *Plate) glyphOf(r rune, u, grow float32) *glyph {
	key := glyphKey{r, uint16(u * 4), uint16(grow * 8)}
	if g := p.glyphs[key]; g != nil {
		return g
	}
	if p.glyphs == nil || len(p.glyphs) > 2048 {
		p.glyphs = map[glyphKey]*glyph{}
	}
	o, ok := signs()[r]
	if !ok {
		o = box
	}
	g := &glyph{}
	p.glyphs[key] = g
	reach := stem*u*.5 + grow
	pad := int(reach) + 2
	g.x, g.y = -pad, -int(8*u)-pad
	g.w, g.h = int(o.width*u)+2*pad+1, int(11*u)+2*pad
	g.a = make([]uint8, g.w*g.h)
	m := mask{w: g.w, h: g.h, a: g.a}
	for _, l := range o.strokes {
		if len(l) == 2 { // a dot
			l = []float32{l[0], l[1], l[0], l[1]}
		}
		for i := 0; i+3 < len(l); i += 2 {
			m.line(l[i]*u-float32(g.x), -l[i+1]*u-float32(g.y), l[i+2]*u-float32(g.x), -l[i+3]*u-float32(g.y), reach)
		}
	}
	return g
}

// stem is the pen's width in units. At one pixel a unit it fills one column of
// pixels and leaves a breath beside it.
const stem = 1.12

// sign is a glyph of the face: strokes as points x, y …, y up from the baseline,
// pen centres at halves so that stems fall on pixels.
type sign struct {
	width   float32
	strokes [][]float32
}

var box = sign{6, [][]float32{{.5, .5, 4.5, .5, 4.5, 7.5, .5, 7.5, .5, .5}}}

// signs reads the face once.
var signs = sync.OnceValue(func() map[rune]sign {
	m := map[rune]sign{}
	for line := range strings.Lines(drawing) {
		line = strings.TrimSuffix(line, "\n")
		if line == "" {
			continue
		}
		r := []rune(line)[0]
		m[r] = readSign(line[len(string(r)):])
	}
	m[' '] = sign{width: 3}
	for r, like := range map[rune]rune{
		'\u2212': '-', '\u2013': '-', '\u2010': '-', // minus, en dash, hyphen
		'\u00a0': ' ', '\u202f': ' ', '\u2009': ' ', // spaces
		'\u2019': '\'', '`': '\'', '\u03bc': '\u00b5', '\u00b7': '.',
	} {
		m[r] = m[like]
	}
	return m
})

// readSign reads one drawing: the width, then pen positions of two coordinates,
// x and y, each a digit, or a, b for −2, −1, and + for a half more. A semicolon
// begins a new stroke; ( makes a position the control point of a curve to the
// next one.
func readSign(s string) (g sign) {
	var stroke, bend []float32
	for i := 0; i < len(s); {
		switch c := s[i]; {
		case c == ' ' || c == '(':
			if c == '(' {
				bend = []float32{}
			}
			i++
			continue
		case c == ';':
			g.strokes = append(g.strokes, stroke)
			stroke = nil
			i++
			continue
		case g.width == 0:
			g.width = float32(c - '0')
			i++
			continue
		}
		var at [2]float32
		for k := range at {
			c := s[i]
			at[k] = float32(c) - '0'
			if c >= 'a' {
				at[k] = float32(c) - 'a' - 2
			}
			at[k] += .5
			if i++; i < len(s) && s[i] == '+' {
				at[k] += .5
				i++
			}
		}
		switch {
		case bend != nil && len(bend) == 0:
			bend = at[:]
		case bend != nil:
			stroke = curve(stroke, bend, at)
			bend = nil
		default:
			stroke = append(stroke, at[0], at[1])
		}
	}
	g.strokes = append(g.strokes, stroke)
	return g
}

// curve adds a parabola from the stroke's end by its control point to at.
func curve(stroke, control []float32, at [2]float32) []float32 {
	n := len(stroke)
	x, y := stroke[n-2], stroke[n-1]
	const parts = 5 // chords: letters are a few pixels high
	for k := 1; k <= parts; k++ {
		t := float32(k) / parts
		a, b, c := (1-t)*(1-t), 2*t*(1-t), t*t
		stroke = append(stroke, a*x+b*control[0]+c*at[0], a*y+b*control[1]+c*at[1])
	}
	return stroke
}
