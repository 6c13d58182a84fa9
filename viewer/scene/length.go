package scene

import (
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Length is how far apart two vertices are as posed in the last picture, straight, in words; false: one of them is not
// there or not drawn.
func (s *Scene) Length(surface int, v rig.Vertex, toSurface int, to rig.Vertex) (says string, ok bool) {
	p, ok := s.Probe(surface, v)
	q, also := s.Probe(toSurface, to)
	if !ok || !also || !p.IsDrawn || !q.IsDrawn {
		return "", false
	}
	return say.Metres(space.Double(p.Posed).Sub(space.Double(q.Posed)).Len()), true
}
