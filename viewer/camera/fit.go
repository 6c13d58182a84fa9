package camera

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/space"
)

// From names a side to look from.
type From uint8

const (
	ThreeQuarter From = iota // from the front, a little to the figure's left and from above
	Front
	Left // the figure's own left side
	Back
)

var fromNames = [...]string{"three-quarter", "front", "left", "back"}

func (f From) String() string { return fromNames[f] }

// FromNamed answers the side of that name.
func FromNamed(name string) (From, bool) {
	for i, n := range fromNames {
		if n == name {
			return From(i), true
		}
	}
	return ThreeQuarter, false
}

// Window is the picture and what lies over its edges.
type Window struct {
	Width, Height int
	Inset         [4]int // pixels covered at the top, right, bottom, left
}

// Free is the rectangle that nothing covers; the whole window when the insets
// leave less than 40 pixels either way.
func (w Window) Free() (x0, y0, x1, y1 float64) {
	x0, y0 = float64(w.Inset[3]), float64(w.Inset[0])
	x1, y1 = float64(w.Width-w.Inset[1]), float64(w.Height-w.Inset[2])
	if x1-x0 < 40 || y1-y0 < 40 {
		return 0, 0, float64(w.Width), float64(w.Height)
	}
	return x0, y0, x1, y1
}

// air is left free on each side of a fitted figure, as a share of the free
// rectangle.
const air = .03

// reach is the eye's distance in half diagonals of what is fitted: a long lens.
const reach = 5.2

// Direction is where the eye stands for a side: yaw and pitch, radians. facing is the
// direction the figure faces in world space, +Z where unknown.
func Direction(from From, facing mgl64.Vec3) (yaw, pitch float64) {
	if f := math.Hypot(facing[0], facing[2]); f > 1e-9 && !math.IsInf(f, 0) {
		yaw = math.Atan2(facing[0], facing[2])
	}
	switch from {
	case ThreeQuarter:
		// 24° and 7°: the far arm of a T-pose still clears the trunk.
		yaw += 24 * math.Pi / 180
		pitch = 7 * math.Pi / 180
	case Front:
		pitch = 2 * math.Pi / 180 // enough to see the floor as a floor
	case Left:
		yaw += math.Pi / 2
		pitch = 2 * math.Pi / 180
	case Back:
		yaw += math.Pi
		pitch = 2 * math.Pi / 180
	}
	return wrap(yaw), pitch
}

// Side names the side that a camera looks from, as Direction has it; ok is false where
// it looks from none of them.
func (c *Camera) Side(facing mgl64.Vec3) (from From, ok bool) {
	const same = 1e-9 // radians: what wrapping and a round trip through the page may cost
	for i := range fromNames {
		yaw, pitch := Direction(From(i), facing)
		if math.Abs(wrap(c.Yaw-yaw)) < same && math.Abs(c.Pitch-pitch) < same {
			return From(i), true
		}
	}
	return ThreeQuarter, false
}

// Look is a camera on a side of the figure, aimed at at, before any fitting; see
// Direction and Aim.
func Look(from From, facing, at mgl64.Vec3, half float64, w Window) Camera {
	c := Aim(at, half, w)
	c.Yaw, c.Pitch = Direction(from, facing)
	return c
}

// Aim is a camera straight before at, before any fitting; half is the radius of what
// will be fitted, metres.
func Aim(at mgl64.Vec3, half float64, w Window) Camera {
	c := Camera{Target: at}
	if !(half > 1e-6) || math.IsInf(half, 0) { // a point, nothing, or not a number
		half = 1
	}
	c.Distance = reach * half
	x0, y0, x1, y1 := w.Free()
	c.CX, c.CY = (x0+x1)/2, (y0+y1)/2
	c.Scale = min(x1-x0, y1-y0) / (2 * half)
	return c
}

// Fit aims and enlarges c so that all points (3·N floats, world) fill the free
// rectangle with air round them. Points that are not finite are left out; with
// none left c is answered as it is.
func Fit(c Camera, w Window, points []float32) Camera {
	x0, y0, x1, y1 := w.Free()
	c.CX, c.CY = (x0+x1)/2, (y0+y1)/2
	right, up, back := c.Axes()
	ax, ay, az := space.Single(right), space.Single(up), space.Single(back)
	// Each round moves the target so that the outermost points lie evenly on both
	// sides; others may then be outermost, so it is done again. The last round only
	// measures.
	const rounds = 5
	for round := range rounds {
		var low, high [2]extreme
		for k := range 2 {
			low[k], high[k] = extreme{tan: math.Inf(1)}, extreme{tan: math.Inf(-1)}
		}
		t := space.Single(c.Target)
		dist := float32(c.Distance)
		for i := 0; i+2 < len(points); i += 3 {
			dx, dy, dz := points[i]-t[0], points[i+1]-t[1], points[i+2]-t[2]
			depth := dist - (dx*az[0] + dy*az[1] + dz*az[2])
			if !(depth > 1e-4*dist) || depth > 1e30 {
				continue
			}
			px := float64((dx*ax[0] + dy*ax[1] + dz*ax[2]) / depth)
			py := float64((dx*ay[0] + dy*ay[1] + dz*ay[2]) / depth)
			if px-px != 0 || py-py != 0 {
				continue
			}
			d := float64(depth)
			if px < low[0].tan {
				low[0] = extreme{px, d}
			}
			if px > high[0].tan {
				high[0] = extreme{px, d}
			}
			if py < low[1].tan {
				low[1] = extreme{py, d}
			}
			if py > high[1].tan {
				high[1] = extreme{py, d}
			}
		}
		if low[0].tan > high[0].tan {
			return c
		}
		if round == rounds-1 {
			focal := min((x1-x0)*(1-2*air)/max(high[0].tan-low[0].tan, 1e-9), (y1-y0)*(1-2*air)/max(high[1].tan-low[1].tan, 1e-9))
			c.Scale = min(focal/c.Distance, 2e5/c.Distance)
			return c
		}
		c.Target = c.Target.Add(right.Mul(middle(low[0], high[0]))).Add(up.Mul(middle(low[1], high[1])))
	}
	return c
}

// FitRound enlarges c so that all points (3·N floats, world) fill the free rectangle with
// air, a share of it, on each side, and keeps its target: what is turned later turns round
// that. Points that are not finite, or lie behind the eye, are left out.
func FitRound(c Camera, w Window, points []float32, air float64) Camera {
	x0, y0, x1, y1 := w.Free()
	right, up, back := c.Axes()
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i := 0; i+2 < len(points); i += 3 {
		d := mgl64.Vec3{float64(points[i]), float64(points[i+1]), float64(points[i+2])}.Sub(c.Target)
		depth := c.Distance - d.Dot(back)
		if !(depth > 1e-4*c.Distance) || depth > 1e30 {
			continue
		}
		for k, tan := range [2]float64{d.Dot(right) / depth, -d.Dot(up) / depth} {
			if tan-tan == 0 {
				low[k], high[k] = min(low[k], tan), max(high[k], tan)
			}
		}
	}
	if low[0] > high[0] {
		return c
	}
	focal := min((x1-x0)*(1-2*air)/max(high[0]-low[0], 1e-9), (y1-y0)*(1-2*air)/max(high[1]-low[1], 1e-9))
	c.Scale = min(focal/c.Distance, 2e5/c.Distance)
	focal = c.Focal()
	c.CX, c.CY = (x0+x1)/2-focal*(low[0]+high[0])/2, (y0+y1)/2-focal*(low[1]+high[1])/2
	return c
}

// extreme is an outermost point: its tangent from the line of sight and depth.
type extreme struct{ tan, depth float64 }

// middle is how far to move so that two points come to lie at opposite tangents.
func middle(a, b extreme) float64 {
	return a.depth * b.depth * (a.tan + b.tan) / (a.depth + b.depth)
}

// Corners are the eight corners of a box as points for Fit.
func Corners(lo, hi [3]float64) []float32 {
	out := make([]float32, 0, 24)
	for i := range 8 {
		p := lo
		for k := range 3 {
			if i>>k&1 == 1 {
				p[k] = hi[k]
			}
		}
		out = append(out, float32(p[0]), float32(p[1]), float32(p[2]))
	}
	return out
}

// Moved is c for another window: the target keeps its place in the middle of the
// free rectangle and the figure its share of the shorter side. There and back it is
// the same camera: by the smaller of both factors it would shrink with every resize.
func (c Camera) Moved(from, to Window) Camera {
	a0, b0, a1, b1 := from.Free()
	x0, y0, x1, y1 := to.Free()
	k := min(x1-x0, y1-y0) / min(a1-a0, b1-b0)
	c.CX, c.CY = (x0+x1)/2+(c.CX-(a0+a1)/2)*k, (y0+y1)/2+(c.CY-(b0+b1)/2)*k
	c.Scale *= k
	return c
}
