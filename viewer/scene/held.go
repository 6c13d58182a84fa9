package scene

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// A finding may tell its place as a point of the rest pose. What points at it must go
// along when the figure moves: with the joint whose origin it is, else with the vertex
// next to it.

// held is what a point of the rest pose hangs on. One that is far from everything stays
// where it is.
type held struct {
	node    rig.Node // ≥ 0: this joint carries it
	local   [3]float64
	surface int // ≥ 0: this vertex takes it along
	vertex  rig.Vertex
	from    mgl64.Vec3 // from that vertex to the point, world, at rest
}

// Within these shares of the figure's size a point is a joint's origin, or belongs to a
// vertex.
const (
	atJoint  = .004
	atVertex = .1
)

// hold finds what points hang on, those that are not known yet; the figure stands at rest
// afterwards if there were any. Call it before the figure is posed.
func (s *Scene) hold(points ...[3]float64) {
	var rest []rig.Affine
	for _, p := range points {
		if _, known := s.held[p]; known || !finite64(p) {
			continue
		}
		if rest == nil {
			rest = s.rig.RestWorld()
			st := State{Clip: rig.None}
			s.fig.move(&st, false)
		}
		if s.held == nil {
			s.held = map[[3]float64]held{}
		}
		s.held[p] = s.holdOf(p, rest)
	}
}

func finite64(p [3]float64) bool {
	sum := p[0] + p[1] + p[2]
	return sum-sum == 0
}

func (s *Scene) holdOf(p [3]float64, rest []rig.Affine) held {
	h := held{node: rig.None, surface: -1}
	size := s.floor.box.Size()
	whole := max(size[0], size[1], size[2])
	at, near := mgl64.Vec3(p), math.Inf(1)
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
	q := double(vec(s.fig.pos, uint32(i)))
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
func (s *Scene) heldAt(p [3]float64, world []rig.Affine, vertex func(int, rig.Vertex) ([3]float32, bool)) mgl64.Vec3 {
	h, known := s.held[p]
	switch {
	case !known:
	case h.node >= 0 && int(h.node) < len(world):
		return mgl64.Vec3(world[h.node].Point(h.local))
	case h.surface >= 0:
		if q, ok := vertex(h.surface, h.vertex); ok {
			return double(q).Add(h.from)
		}
	}
	return mgl64.Vec3(p)
}

// points are the points of the rest pose that a state points at.
func (st *State) points() (out [][3]float64) {
	add := func(surface int, n rig.Node, p [3]float64) {
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
