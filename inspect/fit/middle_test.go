package fit

import (
	"testing"

	"rigloupe/inspect/space"
)

// box is a closed box between two corners, behind what there is.
func box(points []float32, triangles []uint32, lo, hi space.Vec) ([]float32, []uint32) {
	n := uint32(len(points) / 3)
	for i := range 8 {
		p := lo
		for c := range 3 {
			if i>>c&1 == 1 {
				p[c] = hi[c]
			}
		}
		points = append(points, float32(p[0]), float32(p[1]), float32(p[2]))
	}
	for _, v := range []uint32{0, 2, 1, 1, 2, 3, 4, 5, 6, 5, 7, 6, 0, 1, 4, 1, 5, 4, 2, 6, 3, 3, 6, 7, 0, 4, 2, 2, 4, 6, 1, 3, 5, 3, 7, 5} {
		triangles = append(triangles, n+v)
	}
	return points, triangles
}

// TestMiddle: worked by hand. An arm of 0.1 m before a trunk of 0.3 m: seen from before, what
// lies nearest to where the point was is meant; within the trunk a buckle makes no stretch of
// its own; a body turned inside out has the same middle; beside both there is nothing.
func TestMiddle(t *testing.T) {
	points, triangles := box(nil, nil, space.Vec{-.5, 0, -.15}, space.Vec{.5, 1, .15})
	points, triangles = box(points, triangles, space.Vec{-.5, 0, .5}, space.Vec{.5, 1, .6})
	points, triangles = box(points, triangles, space.Vec{-.1, .4, -.1}, space.Vec{.1, .6, .05})
	for range 2 {
		for _, c := range []struct {
			x, y, near, want float64
			ok               bool
		}{
			{.02, .51, 0, 0, true}, {.02, .51, .14, 0, true}, {.02, .51, .45, .55, true}, {.02, .51, .3, 0, true}, {.02, .51, .35, .55, true},
			{.3, .2, 9, .55, true}, {.3, .2, -9, 0, true}, {.7, .2, 0, 0, false},
		} {
			at, ok := Middle(points, triangles, space.Vec{c.x, c.y, 4}, space.Vec{0, 0, -1}, space.Vec{0, 0, c.near})
			if ok != c.ok || ok && (at.Sub(space.Vec{c.x, c.y, c.want}).Len() > 1e-6) {
				t.Errorf("at %v, %v near %v: %v %v, want %v", c.x, c.y, c.near, at, ok, c.want)
			}
		}
		for i := 0; i < len(triangles); i += 3 {
			triangles[i], triangles[i+1] = triangles[i+1], triangles[i]
		}
	}
}
