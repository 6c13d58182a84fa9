package scene

import (
	"strconv"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/marks"
)

// Sum writes out the skinning sum of a mesh vertex in the pose of a state; false:
// there is no such vertex.
func (s *Scene) Sum(st *State, surface int, v rig.Vertex) (*deform.Written, bool) {
	if s.summed == nil {
		s.summed = deform.NewPose(s.rig)
	}
	s.Bends.Stand(s.summed, st)
	return deform.Sum(s.rig, s.summed, surface, v, st.Method)
}

// written is the sum whose way is drawn; nil: none.
func (s *Scene) written(st *State) *deform.Written {
	if !st.Sum || st.Chosen.Kind != OnVertex {
		return nil
	}
	w, ok := s.Sum(st, st.Chosen.Surface, st.Chosen.Vertex)
	if !ok {
		return nil
	}
	return w
}

// way lays a written sum on the page as one eye sees it.
func (s *Scene) way(w *deform.Written, st *State, c *camera.Camera) *marks.Way {
	out := &marks.Way{Rest: spotted(c, w.Rest), Place: spotted(c, w.Place), Done: min(max(0, st.Terms), len(w.Terms))}
	out.Steps = append(out.Steps, out.Rest)
	for i := range w.Terms {
		t := &w.Terms[i]
		out.Ends = append(out.Ends, marks.End{Seen: spotted(c, t.Alone), Letter: Letter(i), Side: s.side(t.Joint)})
		out.Steps = append(out.Steps, spotted(c, t.Stands))
	}
	// What the weights miss of 1, or have too much, pulls to the origin or from it.
	out.Steps = append(out.Steps, spotted(c, w.Stored))
	return out
}

// Letter names the terms of a sum: A, B, C …
func Letter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return strconv.Itoa(i + 1)
}

// spotted is where a place of the world stands on the page.
func spotted(c *camera.Camera, at space.Vec) marks.Seen {
	x, y, depth, ok := c.Pixel(at)
	sum := x + y + depth
	return marks.Seen{X: float32(x), Y: float32(y), Depth: float32(depth), OK: ok && sum-sum == 0 && x*x+y*y < 1e10}
}
