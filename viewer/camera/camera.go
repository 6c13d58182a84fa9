// Package camera is the eye that looks at a figure: an orbit round a target,
// through a long lens. Nearing changes the lens, not the place of the eye, so
// the eye never enters the figure and its form hardly changes by perspective.
//
// World space is glTF's: metres, +Y up, a figure faces +Z, its left is +X.
// Pixels run right and down from the upper left corner of the window; the
// centre of the first one lies at 0.5, 0.5.
package camera

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Camera is plain data: two equal ones give the same picture.
type Camera struct {
	Target   mgl64.Vec3 // what it turns round, world metres
	Yaw      float64    // radians; 0: the eye is on the +Z side, π/2: on the +X side
	Pitch    float64    // radians; above 0: the eye looks down
	Distance float64    // metres from the eye to the target
	Scale    float64    // pixels a metre at the target
	CX, CY   float64    // pixel on which the target lies
}

// steepest keeps the eye off the poles, where left and right would swap.
const steepest = 89 * math.Pi / 180

// Axes are right, up and towards the eye, all unit, in world space.
func (c *Camera) Axes() (x, y, z mgl64.Vec3) {
	sy, cy := math.Sincos(c.Yaw)
	sp, cp := math.Sincos(c.Pitch)
	return mgl64.Vec3{cy, 0, -sy}, mgl64.Vec3{-sy * sp, cp, -cy * sp}, mgl64.Vec3{sy * cp, sp, cy * cp}
}

// Eye is where the camera stands.
func (c *Camera) Eye() mgl64.Vec3 {
	_, _, z := c.Axes()
	return c.Target.Add(z.Mul(c.Distance))
}

// Focal is the distance of the picture plane in pixels.
func (c *Camera) Focal() float64 { return c.Scale * c.Distance }

// Pixel projects a world point. depth is metres from the eye along the line of
// sight; ok is false when the point lies behind the eye.
func (c *Camera) Pixel(p mgl64.Vec3) (x, y, depth float64, ok bool) {
	right, up, back := c.Axes()
	d := p.Sub(c.Target)
	depth = c.Distance - d.Dot(back)
	if !(depth > 1e-6*c.Distance) {
		return c.CX, c.CY, depth, false
	}
	k := c.Focal() / depth
	return c.CX + d.Dot(right)*k, c.CY - d.Dot(up)*k, depth, true
}

// World is the point under a pixel at a depth (metres from the eye along the
// line of sight): Pixel the other way round.
func (c *Camera) World(x, y, depth float64) mgl64.Vec3 {
	right, up, back := c.Axes()
	k := depth / c.Focal()
	return c.Target.
		Add(right.Mul((x - c.CX) * k)).
		Add(up.Mul((c.CY - y) * k)).
		Add(back.Mul(c.Distance - depth))
}

// PixelsPerMetre is the scale at a world point, 0 behind the eye.
func (c *Camera) PixelsPerMetre(p mgl64.Vec3) float64 {
	if _, _, depth, ok := c.Pixel(p); ok {
		return c.Focal() / depth
	}
	return 0
}

// turnPerPixel: a drag across 600 pixels is half a turn.
const turnPerPixel = math.Pi / 600

// Turn carries the eye round the target by a drag of dx, dy pixels: the figure
// follows the pointer.
func (c Camera) Turn(dx, dy float64) Camera {
	c.Yaw = wrap(c.Yaw - dx*turnPerPixel)
	c.Pitch = min(steepest, max(-steepest, c.Pitch+dy*turnPerPixel))
	return c
}

// Near enlarges by factor; the point under pixel x, y at the target's depth
// stays there. Limits keep the scale within what float32 pixels can tell apart.
func (c Camera) Near(factor, x, y float64) Camera {
	if !(factor > 0) || math.IsInf(factor, 0) {
		return c
	}
	before := c.World(x, y, c.Distance)
	// 2,000 times the distance in pixels: 1/50 mm a pixel on a 1.8 m figure.
	c.Scale = min(2e5/c.Distance, max(2/c.Distance, c.Scale*factor))
	c.Target = c.Target.Add(before.Sub(c.World(x, y, c.Distance)))
	return c
}

// Shift moves the target so that the figure follows a drag of dx, dy pixels.
func (c Camera) Shift(dx, dy float64) Camera {
	right, up, _ := c.Axes()
	c.Target = c.Target.Sub(right.Mul(dx / c.Scale)).Add(up.Mul(dy / c.Scale))
	return c
}

func wrap(a float64) float64 { return math.Remainder(a, 2*math.Pi) }
