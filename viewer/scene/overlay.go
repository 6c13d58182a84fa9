package scene

import (
	"slices"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/marks"
)

// Anchor is a place on the figure: a mesh vertex, which follows the pose, a point
// that a node carries along, or else a point of the world at rest.
type Anchor struct {
	Surface int32       // place in Rig.Surfaces; −1: none
	Vertex  uint32      // of that surface's mesh
	Node    rig.Node    // used without a surface; −1: none
	Point   space.Vec32 // in the node's own space; in the world without one
}

// OnMesh, OnNode, BesideNode and InWorld make anchors. The point beside a node is in
// the node's own space.
func OnMesh(surface int, v rig.Vertex) Anchor {
	return Anchor{Surface: int32(surface), Vertex: uint32(v), Node: rig.None}
}
func OnNode(n rig.Node) Anchor { return Anchor{Surface: -1, Node: n} }
func BesideNode(n rig.Node, p space.Vec) Anchor {
	return Anchor{Surface: -1, Node: n, Point: space.Vec32{float32(p[0]), float32(p[1]), float32(p[2])}}
}
func InWorld(p space.Vec) Anchor {
	return Anchor{Surface: -1, Node: rig.None, Point: space.Vec32{float32(p[0]), float32(p[1]), float32(p[2])}}
}

// Line joins anchors from one to the next.
type Line struct {
	Path   []Anchor
	Closed bool
	Frame  bool // thin, in ink: the frame of a plane, a help line; else bold, in the grade's colour
	Within bool // lies inside the figure: drawn as if nothing lay before it
}

// Spots are single places of one mark. Middles and joints lie inside the figure:
// they are drawn as if nothing lay before them.
type Spots struct {
	Mark  marks.Spot
	Place []Anchor
}

// Overlay is what a finding inks over the figure.
type Overlay struct {
	Number int   // of the finding
	Grade  uint8 // as check.Grade
	Lines  []Line
	Spots  []Spots
}

// pins are the vertices that the overlay hangs on, carried by themselves, so that
// the coarse copy need not have them.
type pins struct {
	built bool
	fig   *figure         // nil: no vertex is asked for
	place map[spot]uint32 // vertex → its place in fig
}

// SetOverlay hands over what is inked over the figure; nil takes it away. The next
// Draw uses it.
func (s *Scene) SetOverlay(o *Overlay) {
	s.overlay, s.pins, s.drawn = o, pins{}, false
}

// Overlay is what is inked over the figure; nil: nothing.
func (s *Scene) Overlay() *Overlay { return s.overlay }

// pin finds the drawn vertices of all anchors. A vertex that stands for a welded
// one is not drawn itself; then the drawn one in its place is taken.
func (s *Scene) pin() {
	s.pins = pins{built: true, place: map[spot]uint32{}}
	var list []uint32
	twins := map[int]map[space.Vec32]uint32{}
	add := func(a Anchor) {
		if a.Surface < 0 {
			return
		}
		q := spot{int(a.Surface), rig.Vertex(a.Vertex)}
		if _, known := s.pins.place[q]; known {
			return
		}
		i := s.fig.vertex(q.surface, q.vertex)
		if i < 0 {
			i = s.twin(twins, q)
		}
		if i >= 0 {
			s.pins.place[q] = uint32(i)
			list = append(list, uint32(i))
		}
	}
	for i := range s.overlay.Lines {
		for _, a := range s.overlay.Lines[i].Path {
			add(a)
		}
	}
	for i := range s.overlay.Spots {
		for _, a := range s.overlay.Spots[i].Place {
			add(a)
		}
	}
	if len(list) == 0 {
		return
	}
	slices.Sort(list)
	list = slices.Compact(list)
	for q, i := range s.pins.place {
		at, _ := slices.BinarySearch(list, i)
		s.pins.place[q] = uint32(at)
	}
	s.pins.fig = some(s.rig, s.fig.prepared.pick(list), s.Bends)
}

// twin is a drawn vertex of the same surface at the same stored place; −1: none.
func (s *Scene) twin(known map[int]map[space.Vec32]uint32, q spot) int {
	if q.surface < 0 || q.surface >= len(s.rig.Surfaces) {
		return -1
	}
	m := &s.rig.Meshes[s.rig.Surfaces[q.surface].Mesh]
	if int(q.vertex) >= m.Vertices() {
		return -1
	}
	if known[q.surface] == nil {
		at := map[space.Vec32]uint32{}
		p := s.fig.prepared
		for part, sf := range p.Surface {
			if int(sf) != q.surface {
				continue
			}
			for i := p.First[part]; i < p.end(part); i++ {
				at[space.At32(m.Positions, p.Source[i])] = i
			}
		}
		known[q.surface] = at
	}
	if i, ok := known[q.surface][space.At32(m.Positions, q.vertex)]; ok {
		return int(i)
	}
	return -1
}

// drawOverlay inks lines and spots over the figure: strong where they are seen,
// thin and broken where something lies before them.
func (s *Scene) drawOverlay(pen marks.Pen, st *State) {
	o := s.overlay
	if o == nil {
		return
	}
	if !s.pins.built {
		s.pin()
	}
	if s.pins.fig != nil {
		s.pins.fig.move(st, false)
	}
	in := marks.Inked{Grade: o.Grade}
	for i := range o.Lines {
		l := &o.Lines[i]
		var path []marks.Seen
		n := len(l.Path)
		for k := range n {
			path = append(path, s.seen(st, l.Path[k]))
		}
		if l.Closed && n > 2 {
			path = append(path, path[0])
		}
		in.Lines = append(in.Lines, marks.InkedLine{Path: path, Frame: l.Frame, Within: l.Within})
	}
	for i := range o.Spots {
		for _, a := range o.Spots[i].Place {
			if q := s.seen(st, a); q.OK {
				in.Spots = append(in.Spots, marks.InkedSpot{Seen: q, Mark: o.Spots[i].Mark})
			}
		}
	}
	pen.Ink(&in)
}

// seen is where an anchor stands on the page.
func (s *Scene) seen(st *State, a Anchor) marks.Seen {
	at := space.Vec{float64(a.Point[0]), float64(a.Point[1]), float64(a.Point[2])}
	switch {
	case a.Surface >= 0:
		i, ok := s.pins.place[spot{int(a.Surface), rig.Vertex(a.Vertex)}]
		if !ok || s.pins.fig == nil {
			return marks.Seen{}
		}
		at = space.Double(space.At32(s.pins.fig.pos, i))
	case a.Node >= 0:
		if int(a.Node) >= len(s.now.pose.World) {
			return marks.Seen{}
		}
		at = s.now.pose.World[a.Node].Point(at)
	}
	return spotted(&st.Camera, at)
}
