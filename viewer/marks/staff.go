package marks

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/viewer/camera"
	"rigloupe/viewer/raster"
)

// Staff is a levelling rod beside the figure with its height pointed out. It
// measures along the upright through Foot: what is level with a mark on the page
// and stands on that upright is that high.
type Staff struct {
	Foot        mgl64.Vec3 // on the floor, world metres: zero
	Low, High   float64    // of the figure's body, metres above zero
	WholeLow    float64    // of all that is shown, gear as well
	WholeHigh   float64
	X           float32 // left edge of the rod, page pixels
	Top, Bottom float32 // page pixels it may take
	Reach       float32 // page pixels: where the pointing line to the figure ends
	Untold      bool    // the height is not known yet: a rod alone
}

// leastBlock is how many pixels one block of the rod must have. Blocks are powers
// of ten (decimetres for a person), so a block has up to ten times that.
const leastBlock = 14

// Staff draws the rod. Seen steeply from above or below it would tell nothing, so
// it is left out there. It answers the block in metres, 0 when not drawn.
func (p Pen) Staff(s *Staff, c *camera.Camera) float64 {
	if !(s.High > s.Low) || math.Cos(c.Pitch) < .6 {
		return 0
	}
	level := func(h float64) (float64, bool) {
		_, y, _, ok := c.Pixel(s.Foot.Add(mgl64.Vec3{0, h, 0}))
		return y, ok
	}
	y0, ok0 := level(s.Low)
	y1, ok1 := level(s.High)
	if !ok0 || !ok1 || !(y0 > y1) {
		return 0
	}
	perMetre := (y0 - y1) / (s.High - s.Low)
	block := Round(leastBlock / perMetre)
	if block*perMetre < leastBlock*(1-1e-9) {
		block *= 10
	}
	// Blocks within the page; the rod ends one block above the figure and its gear.
	tip := max(s.High, s.WholeHigh)
	end := math.Ceil(tip/block-1e-6) + .0
	if end*block-tip < block*.2 {
		end++
	}
	first := math.Floor(min(0, s.Low)/block + .3)
	for first < end {
		if y, ok := level((first + 1) * block); ok && y < float64(s.Bottom) {
			break
		}
		first++
	}
	for end > first {
		if y, ok := level((end - 1) * block); ok && y > float64(s.Top) {
			break
		}
		end--
	}
	if end-first < 1 || end-first > 4000 {
		return 0
	}
	const wide = 5
	yOf := func(n float64) float32 {
		y, _ := level(n * block)
		return min(s.Bottom, max(s.Top, float32(y)))
	}
	for n := first; n < end; n++ {
		a, b := yOf(n), yOf(n+1)
		colour := p.Paper.Ink
		if math.Mod(math.Abs(n), 2) == 1 {
			colour = p.Paper.Sheet
		}
		p.polygon(colour, s.X, a, s.X+wide, a, s.X+wide, b, s.X, b)
	}
	top, foot := yOf(end), yOf(first)
	p.line(s.X-.5, top, s.X-.5, foot, 1, p.Paper.Ink)
	p.line(s.X+wide+.5, top, s.X+wide+.5, foot, 1, p.Paper.Ink)
	p.line(s.X-.5, top, s.X+wide+.5, top, 1, p.Paper.Ink)
	p.line(s.X-.5, foot, s.X+wide+.5, foot, 1, p.Paper.Ink)
	every := 5.
	if block*perMetre > 60 {
		every = 1
	}
	var heads [2]float32
	heads[0], heads[1] = float32(math.Inf(1)), float32(math.Inf(1))
	if !s.Untold {
		heads[0] = s.point(p, level, s.High)
	}
	if !s.Untold && math.Abs(s.Low) > .005*(s.High-s.Low) { // it floats or sinks: show from where its height counts
		heads[1] = s.point(p, level, s.Low)
	}
	said, gear, whole := s.labels(level, heads[0])
	if s.Untold {
		whole = ""
	}
	for n := math.Ceil(first/every) * every; n <= end; n += every {
		y, _ := level(n * block)
		if float32(y) < s.Top || float32(y) > s.Bottom {
			continue
		}
		p.line(s.X+wide+1, float32(y), s.X+wide+7, float32(y), 1, p.Paper.Ink)
		if math.Abs(y-float64(heads[0])) < 18 || whole != "" && math.Abs(y-float64(gear)) < 11 {
			continue
		}
		label := Metres(n*block, every*block)
		if n == 0 {
			label += " m"
		}
		p.text(s.X+wide+10, float32(y), tickType, label, p.Paper.Ink2, raster.Left)
	}
	if heads[0] > s.Top-12 && heads[0] < s.Bottom {
		p.bold(s.X+wide+10, said, fineType, Length(s.High-s.Low), p.Paper.Ink, raster.Left)
		p.text(s.X+wide+10, gear, tickType, whole, p.Paper.Ink, raster.Left)
	}
	return block
}

// labels answers where the body's height stands, and where what is said of the gear, at
// the gear's own level if there is room: page pixels. high is the body's top.
func (s *Staff) labels(level func(float64) (float64, bool), high float32) (body, gear float32, whole string) {
	body, whole = high-8, s.withGear()
	if body < s.Top+4 {
		body = high + 9
		return body, body + 12, whole
	}
	top, _ := level(s.WholeHigh)
	if gear = min(body-12, float32(top)); gear < s.Top+4 {
		gear = high + 9
	}
	return body, gear, whole
}

// leastGear of the body's height: what sticks out by less is no height of its own.
const leastGear = .005

// withGear says how high the figure is with what it holds and wears; "": as high as its
// body.
func (s *Staff) withGear() string {
	whole, body := s.WholeHigh-s.WholeLow, s.High-s.Low
	if !(whole-body > leastGear*body) {
		return ""
	}
	return Length(whole) + " with gear"
}

// point marks a height on the rod: a pointer and a dotted line to the figure.
func (s *Staff) point(p Pen, level func(float64) (float64, bool), h float64) float32 {
	yy, _ := level(h)
	y := float32(yy)
	if y < s.Top-1 || y > s.Bottom+1 {
		return y
	}
	for x := s.X + 12; x < s.Reach; x += 4 {
		p.faint(x, y, x+.6, y, .9, p.Paper.Ink, .8)
	}
	p.polygon(p.Paper.Ink, s.X-2, y, s.X-9, y-4, s.X-9, y+4)
	return y
}
