package marks

import "rigloupe/viewer/raster"

// Joint is one joint on the page. Joints stand in a slice; Parent is the place of
// the one above it there, −1: none, or none that is shown.
type Joint struct {
	X, Y   float32
	OK     bool // in front of the eye
	Parent int
	Side   int8 // +1 left: unbroken; −1 right: dashed; 0 centre: ink
	Show   bool
	Chain  bool // of the chosen chain: heavier and cased
	Chosen bool
	Hover  bool
	Small  bool // one of a crowd: drawn smaller

	// TwistX, TwistY point to the twist side of the stem that comes down to this
	// joint: a unit axis of the joint above, square to the stem, as seen on the
	// page (so it shortens as it turns towards the eye).
	TwistX, TwistY float32

	Name string // written beside a hovered joint
}

// Measures of bones, page pixels (tokens.css: --bone, --ring, --tick).
const (
	stemWidth   = 1.15
	chainWidth  = 2.25
	ringPlain   = 2.7
	ringSmall   = 2
	ringChain   = 4
	ringChosen  = 5.5
	tickLength  = 5
	tickChain   = 7
	leastStem   = 2  // shorter stems are not drawn
	leastTicked = 14 // shorter stems carry no tick
)

// Bones draws stems, ticks and rings through the body. A casing in the figure's
// colour dims the engraving under each, so they stay readable on any surface.
func (p Pen) Bones(js []Joint) {
	for pass := range 2 { // the chosen chain lies on top
		on := pass == 1
		for i := range js {
			if j := &js[i]; p.stemShown(js, j) && stemOn(js, j) == on {
				p.stem(&js[j.Parent], j, on)
			}
		}
		for i := range js {
			if j := &js[i]; j.Show && j.OK && (j.Chain || j.Chosen || j.Hover) == on {
				p.joint(j)
			}
		}
	}
	for i := range js {
		if j := &js[i]; j.Hover && j.OK && j.Name != "" {
			p.bold(j.X+9, j.Y-9, fineType, j.Name, p.Paper.Ink, raster.Left)
		}
	}
}

func (p Pen) stemShown(js []Joint, j *Joint) bool {
	return j.Show && j.OK && j.Parent >= 0 && js[j.Parent].Show && js[j.Parent].OK
}

func stemOn(js []Joint, j *Joint) bool {
	q := &js[j.Parent]
	return j.Chain && (q.Chain || q.Chosen)
}

// Colour of a side.
func (p Pen) colour(side int8) uint32 {
	switch {
	case side > 0:
		return p.Paper.Left
	case side < 0:
		return p.Paper.Right
	}
	return p.Paper.Ink
}

func (j *Joint) radius() float32 {
	switch {
	case j.Chosen:
		return ringChosen
	case j.Chain || j.Hover:
		return ringChain
	case j.Small:
		return ringSmall
	}
	return ringPlain
}

// stem runs from ring to ring, with a tick at 0.4 of its length.
func (p Pen) stem(a, b *Joint, on bool) {
	dx, dy := b.X-a.X, b.Y-a.Y
	l := sqrt(dx*dx + dy*dy)
	if !(l >= leastStem) || l > 1e5 {
		return
	}
	c, w, casing, alpha := p.colour(b.Side), float32(stemWidth), float32(2.2), float32(.62)
	if on {
		c, w, casing, alpha = p.Paper.Ink, chainWidth, 3.4, 1
	}
	ra, rb := min(a.radius(), l*.4), min(b.radius(), l*.4)
	x0, y0, x1, y1 := a.X+dx*ra/l, a.Y+dy*ra/l, b.X-dx*rb/l, b.Y-dy*rb/l
	p.faint(x0, y0, x1, y1, w+casing, p.Paper.Figure, alpha)
	tick := l > leastTicked
	var tx, ty, ex, ey float32
	if tick {
		n := float32(tickLength)
		if on {
			n = tickChain
		}
		tx, ty = a.X+dx*.4, a.Y+dy*.4
		ex, ey = tx+b.TwistX*n, ty+b.TwistY*n
		p.faint(tx, ty, ex, ey, w+casing, p.Paper.Figure, alpha)
	}
	if b.Side < 0 && !on {
		p.dashed(x0, y0, x1, y1, w, 4.5, 2.5, c)
	} else {
		p.line(x0, y0, x1, y1, w, c)
	}
	if tick {
		p.line(tx, ty, ex, ey, w, c)
	}
}

func (p Pen) joint(j *Joint) {
	r, w, c := j.radius(), float32(1.2), p.colour(j.Side)
	if j.Chain || j.Chosen || j.Hover {
		w, c = 2, p.Paper.Ink
	}
	fill := p.Paper.Sheet
	if j.Chosen {
		fill = p.Paper.BrassLeaf
	}
	p.disc(j.X, j.Y, r+w*.5+1.1, p.Paper.Figure, .8)
	p.disc(j.X, j.Y, r, fill, 1)
	p.ring(j.X, j.Y, r, w, c)
}
