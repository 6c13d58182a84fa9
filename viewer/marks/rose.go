package marks

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/viewer/camera"
	"rigloupe/viewer/raster"
)

// Rose is the drawing on the floor that the figure stands on: three rings a
// Step apart, ticks every 5°, marks towards +x and +z.
type Rose struct {
	Centre mgl64.Vec3 // on the floor, world metres
	Step   float64    // metres between rings: 0.25 for a person
}

// RoseStep is the ring distance for a figure that is size metres tall or wide:
// 1, 2.5 or 5 × 10^k, so that the outer ring is two to five tenths of it.
func RoseStep(size float64) float64 { return Round(size*.17, 2.5, 5) }

// Radius of the outer ring, ticks left out.
func (r *Rose) Radius() float64 { return 3 * r.Step }

// Points are the outer ends of the ticks as 3·N floats, to fit a camera to.
func (r *Rose) Points() []float32 {
	var out []float32
	for i := range 16 {
		s, c := math.Sincos(float64(i) * math.Pi / 8)
		q := r.Centre.Add(mgl64.Vec3{s, 0, c}.Mul(r.Radius() * 1.08))
		out = append(out, float32(q[0]), float32(q[1]), float32(q[2]))
	}
	return out
}

// Rose draws it: under everything else.
func (p Pen) Rose(r *Rose, c *camera.Camera) {
	if _, _, z := c.Axes(); math.Abs(z[1]) < .004 {
		return // seen edge-on there is nothing but a blot
	}
	big := r.Radius()
	at := func(radius, angle float64) (x, y float32, ok bool) {
		s, k := math.Sincos(angle)
		px, py, _, ok := c.Pixel(r.Centre.Add(mgl64.Vec3{s, 0, k}.Mul(radius)))
		return float32(px), float32(py), ok && math.Abs(px) < 1e5 && math.Abs(py) < 1e5
	}
	for n := 1; n <= 3; n++ {
		colour := p.Paper.Hair
		if n == 3 {
			colour = p.Paper.Rule
		}
		x0, y0, ok0 := at(r.Step*float64(n), 0)
		for i := 1; i <= 120; i++ {
			x1, y1, ok1 := at(r.Step*float64(n), float64(i)*math.Pi/60)
			if ok0 && ok1 {
				p.line(x0, y0, x1, y1, 1, colour)
			}
			x0, y0, ok0 = x1, y1, ok1
		}
	}
	for i := range 72 {
		a := float64(i) * math.Pi / 36
		long := .04
		switch {
		case i%18 == 0:
			long = .133
		case i%6 == 0:
			long = .08
		}
		x0, y0, ok0 := at(big, a)
		x1, y1, ok1 := at(big*(1+long), a)
		if ok0 && ok1 {
			p.line(x0, y0, x1, y1, 1, p.Paper.Rule)
		}
	}
	for _, a := range []float64{0, math.Pi / 2} {
		x0, y0, ok0 := at(big, a)
		x1, y1, ok1 := at(big, a+math.Pi)
		if ok0 && ok1 {
			p.line(x0, y0, x1, y1, 1, p.Paper.Hair)
		}
	}
	for _, t := range []struct {
		name  string
		angle float64
	}{{"+z", 0}, {"+x", math.Pi / 2}} {
		if x, y, ok := at(big*.84, t.angle); ok {
			p.text(x+3, y-3, tickType, t.name, p.Paper.Ink2, raster.Left)
		}
	}
	// Rings are 0.25 m apart for a person; for anything else say how wide it is, at
	// the end of an axis that lies farthest left.
	if math.Abs(r.Step-.25) > 1e-9 {
		var lx, ly float32
		for i := range 4 {
			if x, y, ok := at(big*1.16, float64(i)*math.Pi/2); ok && (i == 0 || x < lx) {
				lx, ly = x, y
			}
		}
		p.text(lx, ly, tickType, Length(big), p.Paper.Ink2, raster.Right)
	}
}
