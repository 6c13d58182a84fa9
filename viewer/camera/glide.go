package camera

import "math"

// GlideSeconds is how long the camera takes from one view to the next;
// a reader who asks for less motion gets 0, so To at once.
const GlideSeconds = .2

// Glide is a passage from one camera to another.
type Glide struct {
	From, To Camera
	Seconds  float64
}

// At is the camera some seconds after the start: a pure function, so a picture
// of a glide can be asked for again. Turning goes the shorter way round.
func (g *Glide) At(seconds float64) (c Camera, done bool) {
	if !(seconds < g.Seconds) {
		return g.To, true
	}
	t := max(0, seconds/g.Seconds)
	t = t * t * (3 - 2*t)
	a, b := &g.From, &g.To
	c.Target = a.Target.Mul(1 - t).Add(b.Target.Mul(t))
	c.Yaw = wrap(a.Yaw + wrap(b.Yaw-a.Yaw)*t)
	c.Pitch = a.Pitch + (b.Pitch-a.Pitch)*t
	c.Distance = geometric(a.Distance, b.Distance, t)
	c.Scale = geometric(a.Scale, b.Scale, t)
	c.CX, c.CY = a.CX+(b.CX-a.CX)*t, a.CY+(b.CY-a.CY)*t
	return c, false
}

// geometric goes in equal factors: nearing looks even.
func geometric(a, b, t float64) float64 {
	if a <= 0 || b <= 0 {
		return b
	}
	return a * math.Pow(b/a, t)
}
