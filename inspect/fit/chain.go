package fit

import (
	"fmt"
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Chain proposes joints along the longest way through a shape, at even distances from the
// thicker end to the other: for a snake, a tail, a rope. The error is a *Refusal.
func Chain(points []float32, triangles []uint32, joints int, watch *geom.Watch) ([]Joint, error) {
	s := geom.NewInner(points, triangles, grid, watch)
	if watch.Err() != nil {
		return nil, &Refusal{Why: Ended}
	}
	if s == nil {
		return nil, &Refusal{Why: NoShape}
	}
	f := &figure{solid: s}
	box := geom.BoxOf(points)
	size := box.Size()
	s.Bridge(airShare * max(size[0], size[1], size[2]))
	first := f.nearest(space.Vec{(box.Min[0] + box.Max[0]) / 2, (box.Min[1] + box.Max[1]) / 2, (box.Min[2] + box.Max[2]) / 2})
	if first < 0 {
		return nil, &Refusal{Why: NoShape}
	}
	// The farthest from anywhere is one end, the farthest from there the other.
	end := func(from int32) (int32, []float32) {
		far, _ := s.Distances([]int32{from})
		best := from
		for k, d := range far {
			if !math.IsInf(float64(d), 0) && d > far[best] {
				best = int32(k)
			}
		}
		return best, far
	}
	a, _ := end(first)
	b, far := end(a)
	path, area := f.bands(far, 1.5*s.Cell, int(float64(far[b])/(1.5*s.Cell))+2)
	if len(path) < 4 || joints < 2 {
		return nil, &Refusal{Why: NoShape}
	}
	near, away := 0.0, 0.0
	for i, x := range area {
		if i < len(area)/2 {
			near += x
		} else {
			away += x
		}
	}
	if away > near {
		for i, k := 0, len(path)-1; i < k; i, k = i+1, k-1 {
			path[i], path[k] = path[k], path[i]
		}
	}
	var out []Joint
	for i := range joints {
		// The last joint stands before the end: its bone reaches it.
		x := float64(i) / float64(joints) * float64(len(path)-1)
		k := min(int(x), len(path)-2)
		out = append(out, Joint{fmt.Sprintf("chain%d", i+1), i - 1, mix(path[k], path[k+1], x-float64(k)), .6})
	}
	return out, nil
}
