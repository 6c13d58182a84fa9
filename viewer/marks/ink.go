package marks

// Spot is how a single place is marked. The shape tells what it is, the colour how
// bad.
type Spot uint8

const (
	Dot    Spot = iota // a vertex
	Hollow             // a vertex that lacks something: a partner, a hold
	Cross              // a middle
	Circle             // a joint
)

// Seen is a place on the page and how far it lies from the eye.
type Seen struct {
	X, Y, Depth float32
	OK          bool // before the eye
}

// InkedLine is a run of places joined by strokes; where one is not OK the line
// breaks.
type InkedLine struct {
	Path  []Seen
	Frame bool // thin and in ink: it helps, it is not the fault
	// Within: it lies inside the figure and is drawn as if nothing lay before it.
	Within bool
}

// InkedSpot is one marked place.
type InkedSpot struct {
	Seen
	Mark Spot
}

// Inked is all that a finding inks over the figure.
type Inked struct {
	Grade uint8
	Lines []InkedLine
	Spots []InkedSpot
}

const (
	inkStep  = 3    // page pixels between two looks at what lies before a line
	spotRoom = 7    // page pixels a spot keeps for itself
	inkSlack = .006 // of the distance: a line on the surface is not behind it
)

// Ink draws lines and spots: what is hidden first and faint, then all casings, then
// all strokes, so that crossings stay clean.
func (p Pen) Ink(in *Inked) {
	c := p.gradeColour(in.Grade)
	hidden, shown := p.cut(in)
	for i := range hidden {
		h := &hidden[i]
		// Broken by its own length, so that the dashes stand still on the figure.
		p.dashed(h.x0, h.y0, h.x1, h.y1, 1, 3, 3, h.colour(p, c))
	}
	for i := range in.Spots {
		if q := &in.Spots[i]; p.covered(q) {
			p.ring(q.X, q.Y, 1.6, .8, c)
		}
	}
	for i := range shown {
		h := &shown[i]
		p.line(h.x0, h.y0, h.x1, h.y1, h.width()+2.4, p.Paper.Paper)
	}
	for i := range shown {
		h := &shown[i]
		p.line(h.x0, h.y0, h.x1, h.y1, h.width(), h.colour(p, c))
	}
	taken := map[[2]int32]bool{} // places of a grid: marks that touch would be a blot
	for i := range in.Spots {
		q := &in.Spots[i]
		cell := [2]int32{int32(q.X / spotRoom), int32(q.Y / spotRoom)}
		if within := q.Mark >= Cross; within || !taken[cell] && !p.covered(q) {
			taken[cell] = taken[cell] || !within
			p.spot(q, c)
		}
	}
}

// stretch is a piece of a line that is all seen or all hidden.
type stretch struct {
	x0, y0, x1, y1 float32
	frame          bool
}

func (h *stretch) width() float32 {
	if h.frame {
		return 1
	}
	return 2
}

func (h *stretch) colour(p Pen, grade uint32) uint32 {
	if h.frame {
		return p.Paper.Ink2
	}
	return grade
}

// cut parts the lines where they pass behind something.
func (p Pen) cut(in *Inked) (hidden, shown []stretch) {
	w, h := float32(p.Plate.W)/p.Plate.Unit, float32(p.Plate.H)/p.Plate.Unit
	for i := range in.Lines {
		l := &in.Lines[i]
		for k := 1; k < len(l.Path); k++ {
			a, b := l.Path[k-1], l.Path[k]
			if !a.OK || !b.OK || !onto(&a, &b, w, h) {
				continue
			}
			dx, dy := b.X-a.X, b.Y-a.Y
			n := min(4000, int(sqrt(dx*dx+dy*dy)/inkStep)+1)
			from, was := 0, false
			for j := 0; j <= n; j++ {
				now := was
				if j < n {
					t := (float32(j) + .5) / float32(n)
					// 1/depth is straight across the page, depth is not.
					depth := 1 / ((1-t)/a.Depth + t/b.Depth)
					now = !l.Within && p.behind(a.X+dx*t, a.Y+dy*t, depth)
					if j == 0 {
						was = now
					}
				}
				if j == n || now != was {
					f, g := float32(from)/float32(n), float32(j)/float32(n)
					s := stretch{a.X + dx*f, a.Y + dy*f, a.X + dx*g, a.Y + dy*g, l.Frame}
					if was {
						hidden = append(hidden, s)
					} else {
						shown = append(shown, s)
					}
					from, was = j, now
				}
			}
		}
	}
	return hidden, shown
}

// onto cuts a stretch to the page and a margin, keeping 1/depth straight; false
// when none of it is left (Liang and Barsky 1984).
func onto(a, b *Seen, w, h float32) bool {
	const margin = 8 // pixels: broader than any line
	dx, dy := b.X-a.X, b.Y-a.Y
	lo, hi := float32(0), float32(1)
	for _, e := range [...][2]float32{{-dx, a.X + margin}, {dx, w + margin - a.X}, {-dy, a.Y + margin}, {dy, h + margin - a.Y}} {
		switch p, q := e[0], e[1]; {
		case p == 0:
			if q < 0 {
				return false
			}
		case p < 0:
			lo = max(lo, q/p)
		default:
			hi = min(hi, q/p)
		}
	}
	if lo >= hi && !(dx == 0 && dy == 0) {
		return false
	}
	at := func(t float32) Seen {
		return Seen{a.X + dx*t, a.Y + dy*t, 1 / ((1-t)/a.Depth + t/b.Depth), true}
	}
	*a, *b = at(lo), at(hi)
	return true
}

// covered tells that something lies before a spot; middles and joints are within the
// figure, and nothing covers them.
func (p Pen) covered(q *InkedSpot) bool {
	return q.Mark < Cross && p.behind(q.X, q.Y, q.Depth)
}

func (p Pen) behind(x, y, depth float32) bool {
	u := p.Plate.Unit
	return p.Plate.Hidden(x*u, y*u, depth, inkSlack)
}

func (p Pen) gradeColour(grade uint8) uint32 {
	switch grade {
	case 3:
		return p.Paper.Stop
	case 2:
		return p.Paper.Flaw
	}
	return p.Paper.Note
}

// spot draws one place on a casing of the paper.
func (p Pen) spot(q *InkedSpot, c uint32) {
	switch q.Mark {
	case Hollow:
		p.disc(q.X, q.Y, 3.6, p.Paper.Paper, 1)
		p.ring(q.X, q.Y, 2.4, 1.4, c)
	case Cross:
		for _, w := range [...]float32{4, 1.6} {
			k := c
			if w > 2 {
				k = p.Paper.Paper
			}
			p.line(q.X-5, q.Y, q.X+5, q.Y, w, k)
			p.line(q.X, q.Y-5, q.X, q.Y+5, w, k)
		}
	case Circle:
		p.ring(q.X, q.Y, 7, 3.6, p.Paper.Paper)
		p.ring(q.X, q.Y, 7, 1.6, c)
	default:
		p.disc(q.X, q.Y, 3, p.Paper.Paper, 1)
		p.disc(q.X, q.Y, 1.9, c, 1)
	}
}
