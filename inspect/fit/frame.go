package fit

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// grid is how many cubes a figure is high: an arm of a slender person is four wide.
const grid = 110

// airShare of the height is bridged between shells that belong together.
const airShare = 0.04

// figure is a body in its own frame: x to its left from the mirror plane, y up from its
// lowest point, z to its front; metres.
type figure struct {
	left, up, front space.Vec
	from            space.Vec // of the frame, world
	points          []float32
	triangles       []uint32
	height          float64
	solid           *geom.Solid
	levels          []level
	watch           *geom.Watch
}

// newFigure puts a body into its frame and on the grid; cubes along its height.
func newFigure(b *Body, cubes int, watch *geom.Watch) (*figure, error) {
	f := &figure{up: b.Up, front: b.Front, triangles: b.Triangles, watch: watch}
	f.left = f.up.Cross(f.front)
	box := geom.EmptyBox()
	own := make([]float32, len(b.Points))
	for v := range len(b.Points) / 3 {
		p := space.At(b.Points, v)
		for c, d := range [3]space.Vec{f.left, f.up, f.front} {
			own[3*v+c] = float32(p.Dot(d))
		}
	}
	for _, v := range b.Triangles {
		if p := space.At(own, v); space.Finite(p) {
			box.Add(p)
		}
	}
	if box.IsEmpty() {
		return nil, &Refusal{Why: NoShape}
	}
	middle := b.Plane.Offset * b.Plane.Normal.Dot(f.left) // left is the normal or its opposite
	shift := space.Vec{middle, box.Min[1], (box.Min[2] + box.Max[2]) / 2}
	f.from = f.left.Mul(shift[0]).Add(f.up.Mul(shift[1])).Add(f.front.Mul(shift[2]))
	for v := range len(own) / 3 {
		for c := range 3 {
			own[3*v+c] -= float32(shift[c])
		}
	}
	f.points = own
	size := box.Size()
	f.height = size[1]
	long := max(size[0], size[1], size[2])
	if !(f.height > 0) {
		return nil, &Refusal{Why: NoShape}
	}
	if long > 4*f.height { // it lies, or creeps
		return nil, &Refusal{Why: NoLegs}
	}
	f.solid = geom.NewInner(own, b.Triangles, int(float64(cubes)*long/f.height+.5), watch)
	if watch.Err() != nil {
		return nil, &Refusal{Why: Ended}
	}
	if f.solid == nil {
		return nil, &Refusal{Why: NoShape}
	}
	f.solid.Bridge(airShare * f.height)
	f.levels = newLevels(f.solid)
	return f, nil
}

// world carries a place of the frame back.
func (f *figure) world(p space.Vec) space.Vec {
	return f.from.Add(f.left.Mul(p[0])).Add(f.up.Mul(p[1])).Add(f.front.Mul(p[2]))
}

// own carries a place of the world into the frame.
func (f *figure) own(p space.Vec) space.Vec {
	d := p.Sub(f.from)
	return space.Vec{d.Dot(f.left), d.Dot(f.up), d.Dot(f.front)}
}

// root is the cube of the solid nearest to the middle of all that lies near the plane: the
// trunk, whatever hangs on it.
func (f *figure) root() int32 {
	var sum space.Vec
	n := 0.0
	for k, in := range f.solid.In {
		if p := f.solid.At(k); in && math.Abs(p[0]) < .12*f.height {
			sum, n = sum.Add(p), n+1
		}
	}
	if n == 0 {
		return -1
	}
	return f.nearest(sum.Mul(1 / n))
}

// nearest is the cube of the solid nearest to a place, −1: there is none.
func (f *figure) nearest(at space.Vec) int32 {
	best, square := int32(-1), math.Inf(1)
	for k, in := range f.solid.In {
		if in {
			d := f.solid.At(k).Sub(at)
			if q := d.Dot(d); q < square {
				best, square = int32(k), q
			}
		}
	}
	return best
}

func mirrored(p space.Vec) space.Vec { return space.Vec{-p[0], p[1], p[2]} }

// sided carries a place from the left to a side: 1 left, −1 right.
func sided(p space.Vec, side float64) space.Vec { return space.Vec{p[0] * side, p[1], p[2]} }

func mix(a, b space.Vec, share float64) space.Vec { return a.Add(b.Sub(a).Mul(share)) }
