package marks

import (
	"math"
	"strconv"

	"rigloupe/viewer/raster"
)

// Pointer points from a place on the figure to the mark and number of a finding.
type Pointer struct {
	X, Y   float32 // the place, page pixels
	Number int
	Grade  uint8 // 1 note, 2 flaw, 3 stop
	Hot    bool  // chosen or under the pointer
	Behind bool  // the place lies on the far side

	// Set by LayPointers.
	LX, LY float32 // middle of the mark
	Dir    float32 // −1: the number stands left of the mark, 1: right
	Laid   bool    // false: no room was found
}

// Box is a rectangle on the page.
type Box struct{ X0, Y0, X1, Y1 float32 }

func (b Box) meets(o Box) bool { return b.X0 < o.X1 && o.X0 < b.X1 && b.Y0 < o.Y1 && o.Y0 < b.Y1 }
func (b Box) within(o Box) bool {
	return b.X0 >= o.X0 && b.Y0 >= o.Y0 && b.X1 <= o.X1 && b.Y1 <= o.Y1
}

// MostPointers are shown at once.
const MostPointers = 9

// Label is the rectangle of a laid pointer's mark and number.
func (k *Pointer) Label() Box {
	w := float32(12 + 7*len(strconv.Itoa(k.Number)))
	if k.Dir < 0 {
		return Box{k.LX - 8 - w, k.LY - 9, k.LX + 8, k.LY + 9}
	}
	return Box{k.LX - 8, k.LY - 9, k.LX + 8 + w, k.LY + 9}
}

// LayPointers finds a place for each pointer, the first ones first: a short pointing line
// away from middle x, off the figure where there is room, over no other pointer, no
// other line and nothing in taken. covered tells whether the figure is drawn at a
// page pixel. The answer depends on nothing but what is handed in.
func LayPointers(pointers []Pointer, free Box, middle float32, taken []Box, covered func(x, y float32) bool) {
	for i := range pointers {
		k := &pointers[i]
		k.Laid = false
		best := float32(math.MaxFloat32)
		out := float32(1)
		if k.X < middle {
			out = -1
		}
		var found Pointer
		for _, length := range [...]float32{44, 62, 84, 110, 140, 176, 220, 270} {
			// Cheaper than looking: a longer line never beats a good short one.
			if length > best {
				break
			}
			for _, degrees := range [...]float32{-14, 12, -34, 32, -58, 56, -80, 78} {
				for _, side := range [...]float32{out, -out} {
					s, c := math.Sincos(float64(degrees) * math.Pi / 180)
					try := *k
					try.LX, try.LY, try.Dir = k.X+side*length*float32(c)+side*9, k.Y+length*float32(s), side
					cost := length + absolute(degrees)*.25
					if side != out {
						cost += 60
					}
					box := try.Label()
					if !box.within(free) || cost >= best {
						continue
					}
					if cost += try.over(box, pointers[:i], taken, covered); cost < best {
						best, found = cost, try
					}
				}
			}
		}
		if best < 900 {
			*k = found
			k.Laid = true
		}
	}
}

// over is what a place costs: 1000 for covering a pointer or something taken, less
// for crossing lines and for lying on the figure.
func (k *Pointer) over(box Box, before []Pointer, taken []Box, covered func(x, y float32) bool) (cost float32) {
	for _, t := range taken {
		if box.meets(t) {
			return 1000
		}
	}
	for i := range before {
		b := &before[i]
		if !b.Laid {
			continue
		}
		if l := b.Label(); box.meets(l) {
			return 1000
		} else if through(k.X, k.Y, k.LX, k.LY, l) {
			return 1000
		}
		if through(b.X, b.Y, b.LX, b.LY, box) {
			return 1000
		}
		if cross(k.X, k.Y, k.LX, k.LY, b.X, b.Y, b.LX, b.LY) {
			cost += 130
		}
	}
	if covered != nil {
		for _, x := range [...]float32{box.X0, (box.X0 + box.X1) / 2, box.X1} {
			for _, y := range [...]float32{box.Y0 + 2, box.Y1 - 2} {
				if covered(x, y) {
					cost += 34
				}
			}
		}
		// The line over the figure is better short too.
		for t := float32(.25); t < 1; t += .25 {
			if covered(k.X+(k.LX-k.X)*t, k.Y+(k.LY-k.Y)*t) {
				cost += 5
			}
		}
	}
	return cost
}

// through tells whether a line passes a box, by its middle third points: enough
// for lines a few boxes long.
func through(x0, y0, x1, y1 float32, b Box) bool {
	for i := range 16 {
		t := float32(i) / 15
		x, y := x0+(x1-x0)*t, y0+(y1-y0)*t
		if x > b.X0 && x < b.X1 && y > b.Y0 && y < b.Y1 {
			return true
		}
	}
	return false
}

// cross tells whether two line pieces cross.
func cross(ax, ay, bx, by, cx, cy, dx, dy float32) bool {
	side := func(px, py, qx, qy, rx, ry float32) float32 { return (qx-px)*(ry-py) - (qy-py)*(rx-px) }
	return side(ax, ay, bx, by, cx, cy)*side(ax, ay, bx, by, dx, dy) < 0 &&
		side(cx, cy, dx, dy, ax, ay)*side(cx, cy, dx, dy, bx, by) < 0
}

func absolute(x float32) float32 {
	if x < 0 {
		return -x
	}
	return x
}

// Pointers draws the pointers that LayPointers found room for.
func (p Pen) Pointers(pointers []Pointer) {
	for i := range pointers {
		k := &pointers[i]
		if !k.Laid {
			continue
		}
		w := float32(1)
		if k.Hot {
			w = 1.8
		}
		// The line ends at the mark's rim.
		dx, dy := k.LX-k.X, k.LY-k.Y
		l := max(1, sqrt(dx*dx+dy*dy))
		ex, ey := k.LX-dx/l*9, k.LY-dy/l*9
		p.line(k.X, k.Y, ex, ey, w+2.6, p.Paper.Paper)
		p.line(k.X, k.Y, ex, ey, w, p.Paper.Ink)
		if k.Behind { // an open end: the place is not on this side
			p.disc(k.X, k.Y, 2.6, p.Paper.Figure, 1)
			p.ring(k.X, k.Y, 2.6, 1, p.Paper.Ink)
		} else {
			p.disc(k.X, k.Y, 1.4+w*.3, p.Paper.Ink, 1)
		}
	}
	for i := range pointers {
		k := &pointers[i]
		if !k.Laid {
			continue
		}
		p.disc(k.LX, k.LY, 8, p.Paper.Paper, 1)
		p.Grade(k.Grade, k.LX, k.LY)
		size, a := float32(fineType), raster.Left
		if k.Hot {
			size = 14
		}
		if k.Dir < 0 {
			a = raster.Right
		}
		p.bold(k.LX+k.Dir*10, k.LY, size, strconv.Itoa(k.Number), p.Paper.Ink, a)
	}
}

// Grade draws the mark of a grade: shape first, colour second. Stop is a barred
// square, flaw a lozenge half inked, note a caret.
func (p Pen) Grade(grade uint8, x, y float32) {
	const r = 5.5
	switch grade {
	case 3:
		p.polygon(p.Paper.Stop, x-r+.5, y-r+.5, x+r-.5, y-r+.5, x+r-.5, y+r-.5, x-r+.5, y+r-.5)
		p.polygon(p.Paper.Paper, x-3, y-1, x+3, y-1, x+3, y+1, x-3, y+1)
	case 2:
		p.polygon(p.Paper.Paper, x, y-r, x+r, y, x, y+r, x-r, y)
		p.polygon(p.Paper.Flaw, x, y-r, x, y+r, x-r, y)
		for _, q := range [...][4]float32{{0, -r, r, 0}, {r, 0, 0, r}, {0, r, -r, 0}, {-r, 0, 0, -r}} {
			p.line(x+q[0], y+q[1], x+q[2], y+q[3], 1.5, p.Paper.Flaw)
		}
	default:
		p.line(x-r+.8, y+r-2, x, y-r+2, 2, p.Paper.Note)
		p.line(x, y-r+2, x+r-.8, y+r-2, 2, p.Paper.Note)
	}
}
