package marks

import "rigloupe/viewer/raster"

// Way is a skinning sum on the figure: from the rest place, every joint pulls the
// vertex its weight's share towards where that joint alone would put it.
type Way struct {
	Rest  Seen   // where the vertex stands at rest
	Ends  []End  // by term
	Steps []Seen // the rest place, then the place after each term, then the sum itself
	Done  int    // terms that are added
	Place Seen   // where the figure is drawn: the sum, or by another blend
}

// End is where one joint alone would put the vertex.
type End struct {
	Seen
	Letter string
	Side   int8 // as Joint
}

const (
	wayStrong = 2.4 // page pixels: terms that are added
	wayThin   = 1.3
	letterGap = 11 // from a mark's middle to its letter's
)

// Way draws a sum over the figure, through it as bones are: help lines first, then
// the dotted way, then the marks, then their letters.
func (p Pen) Way(w *Way) {
	if !w.Rest.OK || len(w.Steps) == 0 {
		return
	}
	for i := range w.Ends {
		if e := &w.Ends[i]; e.OK {
			p.faint(w.Rest.X, w.Rest.Y, e.X, e.Y, 3, p.Paper.Paper, .6)
			p.line(w.Rest.X, w.Rest.Y, e.X, e.Y, .8, p.Paper.Rule)
		}
	}
	for k := 1; k < len(w.Steps); k++ {
		a, b := &w.Steps[k-1], &w.Steps[k]
		if !a.OK || !b.OK {
			continue
		}
		if k <= w.Done || w.Done == len(w.Ends) {
			p.line(a.X, a.Y, b.X, b.Y, 4.6, p.Paper.Paper)
			p.dashed(a.X, a.Y, b.X, b.Y, wayStrong, 2.4, 2.2, p.Paper.Ink)
		} else {
			p.dashed(a.X, a.Y, b.X, b.Y, wayThin, 1.3, 3, p.Paper.Ink2)
		}
	}
	if last := w.Steps[len(w.Steps)-1]; last.OK && w.Place.OK && apart(last, w.Place) > 1 {
		p.line(last.X, last.Y, w.Place.X, w.Place.Y, 3.4, p.Paper.Paper)
		p.line(last.X, last.Y, w.Place.X, w.Place.Y, 1.4, p.Paper.Brass)
	}
	p.disc(w.Rest.X, w.Rest.Y, 4.6, p.Paper.Paper, 1)
	p.ring(w.Rest.X, w.Rest.Y, 3.4, 1.3, p.Paper.Ink2)
	for i := range w.Ends {
		if e := &w.Ends[i]; e.OK {
			c := p.colour(e.Side)
			p.disc(e.X, e.Y, 4.4, p.Paper.Paper, 1)
			if i < w.Done {
				p.disc(e.X, e.Y, 3.2, c, 1)
			} else {
				p.ring(e.X, e.Y, 2.6, 1.3, c)
			}
		}
	}
	for k := 1; k < len(w.Steps); k++ {
		q := &w.Steps[k]
		if !q.OK || k > w.Done && w.Done < len(w.Ends) {
			continue
		}
		r, c := float32(2), p.Paper.Ink
		if k == w.Done || k == len(w.Steps)-1 { // where it stands now
			r, c = 3.2, p.Paper.Brass
		}
		p.disc(q.X, q.Y, r+1.2, p.Paper.Paper, 1)
		p.disc(q.X, q.Y, r, c, 1)
	}
	p.letters(w)
}

// letters stand beside their marks, away from the rest place, over no other letter;
// one that finds no room is left out.
func (p Pen) letters(w *Way) {
	var taken []Box
	for i := range w.Ends {
		e := &w.Ends[i]
		if !e.OK {
			continue
		}
		dx, dy := e.X-w.Rest.X, e.Y-w.Rest.Y
		d := sqrt(dx*dx + dy*dy)
		if d < 1 {
			dx, dy, d = 1, -1, 1.4142135
		}
		ux, uy := dx/d, dy/d
		h := float32(.70710678)
		for _, u := range [...][2]float32{
			{ux, uy}, {h * (ux - uy), h * (ux + uy)}, {h * (ux + uy), h * (uy - ux)}, {-uy, ux}, {uy, -ux},
			{h * (-ux - uy), h * (ux - uy)}, {h * (-ux + uy), h * (-ux - uy)}, {-ux, -uy},
		} {
			x, y := e.X+u[0]*letterGap, e.Y+u[1]*letterGap
			box := Box{x - 6, y - 6, x + 6, y + 6}
			free := true
			for _, t := range taken {
				free = free && !box.meets(t)
			}
			if free {
				taken = append(taken, box)
				p.bold(x, y, fineType, e.Letter, p.colour(e.Side), raster.Middle)
				break
			}
		}
	}
}

func apart(a, b Seen) float32 {
	dx, dy := a.X-b.X, a.Y-b.Y
	return sqrt(dx*dx + dy*dy)
}
