package scene

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A finding may tell its place as a point of the rest pose. What points at it must go
// along when the figure moves: with the joint whose origin it is, else with the vertex
// next to it.

// held is what a point of the rest pose hangs on. One that is far from everything stays
// where it is.
type held struct {
	node    rig.Node // ≥ 0: this joint carries it
	local   space.Vec
	surface int // ≥ 0: this vertex takes it along
	vertex  rig.Vertex
	from    space.Vec // from that vertex to the point, world, at rest
}

// Within these shares of the figure's size a point is a joint's origin, or belongs to a
// vertex.
const (
	atJoint  = .004
	atVertex = .1
)

// hold finds what points hang on, those that are not known yet; the figure stands at rest
// afterwards if there were any. Call it before the figure is posed.
func (s *Scene) hold(points ...space.Vec) {
	var rest []rig.Affine
	for _, p := range points {
		if _, known := s.held[p]; known || !space.Finite(p) {
			continue
		}
		if rest == nil {
			rest = s.rig.RestWorld()
			st := State{Clip: rig.None}
			s.fig.move(&st, false)
		}
		if s.held == nil {
			s.held = map[space.Vec]held{}
		}
		s.held[p] = s.holdOf(p, rest)
	}
}

func (s *Scene) holdOf(p space.Vec, rest []rig.Affine) held {
	h := held{node: rig.None, surface: -1}
	size := s.floor.box.Size()
	whole := max(size[0], size[1], size[2])
	at, near := space.Vec(p), math.Inf(1)
	for _, n := range s.bones.nodes {
		if d := at.Sub(rest[n].Origin()).Len(); d < near {
			near = d
			h.node = n
		}
	}
	i := nearest(s.fig.pos, at)
	if h.node >= 0 && (near <= atJoint*whole || i < 0) {
		if back, ok := rest[h.node].Inverse(); ok {
			h.local = back.Point(p)
			return h
		}
	}
	h.node = rig.None
	if i < 0 {
		return h
	}
	q := space.Double(space.At32(s.fig.pos, i))
	if at.Sub(q).Len() > atVertex*whole {
		return h
	}
	for part, surface := range s.fig.prepared.Surface {
		if i >= int(s.fig.prepared.First[part]) && i < int(s.fig.prepared.end(part)) {
			h.surface, h.vertex, h.from = int(surface), rig.Vertex(s.fig.prepared.Source[i]), at.Sub(q)
		}
	}
	return h
}

// heldAt is where a point of the rest pose is in the pose of world; vertex answers the
// place of a vertex in that pose.
func (s *Scene) heldAt(p space.Vec, world []rig.Affine, vertex func(int, rig.Vertex) (space.Vec32, bool)) space.Vec {
	h, known := s.held[p]
	switch {
	case !known:
	case h.node >= 0 && int(h.node) < len(world):
		return space.Vec(world[h.node].Point(h.local))
	case h.surface >= 0:
		if q, ok := vertex(h.surface, h.vertex); ok {
			return space.Double(q).Add(h.from)
		}
	}
	return space.Vec(p)
}

// points are the points of the rest pose that a state points at.
func (st *State) points() (out []space.Vec) {
	add := func(surface int, n rig.Node, p space.Vec) {
		if surface < 0 && n < 0 {
			out = append(out, p)
		}
	}
	for i := range st.PointerList {
		k := &st.PointerList[i]
		add(k.Surface, k.Node, k.Point)
	}
	if c := &st.Chosen; c.Kind == OnFinding && c.Placed {
		add(c.Surface, c.Node, c.Point)
	}
	return out
}
