package geom

import (
	"math"

	"rigloupe/inspect/space"
)

// Ball answers a ball that holds points (3·V): the middle of their box and the
// distance of the farthest. Points that are not finite are left out; ok is false
// when none is left.
func Ball(points []float32) (centre space.Vec, radius float64, ok bool) {
	b := BoxOf(points)
	if b.IsEmpty() {
		return centre, 0, false
	}
	centre = b.Center()
	square := 0.0
	for v := range len(points) / 3 {
		d := space.At(points, v).Sub(centre)
		if s := d.Dot(d); s > square && !math.IsInf(s, 0) {
			square = s
		}
	}
	return centre, math.Sqrt(square), true
}
