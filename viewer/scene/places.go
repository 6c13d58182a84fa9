package scene

import (
	"slices"
	"strconv"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/raster"
)

// marks draws pointers and loupe over everything.
func (s *Scene) marks(pen marks.Pen, st *State, look raster.Look) {
	x0, y0, x1, y1 := st.Window().Free()
	free := marks.Box{X0: float32(x0), Y0: float32(y0), X1: float32(x1), Y1: float32(y1)}
	var taken []marks.Box
	if st.hasStaff() {
		taken = append(taken, marks.Box{X0: free.X0, Y0: free.Y0, X1: free.X0 + 52, Y1: free.Y1})
	}
	loupe, isOn := s.loupe(st, free)
	if isOn {
		taken = append(taken, loupe.Taken())
	} else if _, _, x, y, ok := s.chosenAt(st); ok {
		pen.Probed(x, y)
	}
	s.pointers = s.pointers[:0]
	if st.Pointers {
		s.layPointers(st, free, taken)
		pen.Pointers(s.pointers)
	}
	sum := s.written(st)
	if sum != nil {
		pen.Way(s.way(sum, st, &st.Camera))
	}
	if isOn {
		pen.Sight(&loupe)
		pen.Glass(&loupe, s.enlarged(st, &loupe, look, sum))
	}
}

func (s *Scene) layPointers(st *State, free marks.Box, taken []marks.Box) {
	for i := range st.PointerList {
		if len(s.pointers) == marks.MostPointers {
			break
		}
		k := &st.PointerList[i]
		at, ok := s.placeOf(st, k.Surface, k.Vertex, k.Node, k.Point)
		if !ok {
			continue
		}
		x, y, depth, ok := st.Camera.Pixel(at)
		px, py := float32(x), float32(y)
		if !ok || px < free.X0 || px > free.X1 || py < free.Y0 || py > free.Y1 {
			continue
		}
		u := s.plate.Unit
		s.pointers = append(s.pointers, marks.Pointer{
			X: px, Y: py, Number: k.Number, Grade: k.Grade,
			Hot: st.Chosen.Kind == OnFinding && st.Chosen.Number == k.Number ||
				st.Hover.Kind == OnFinding && st.Hover.Number == k.Number,
			Behind: k.Node < 0 && s.plate.Hidden(px*u, py*u, float32(depth), .01),
		})
	}
	middle, _, _, ok := st.Camera.Pixel(space.Vec(s.floor.box.Center()))
	if !ok {
		middle = float64(free.X0+free.X1) / 2
	}
	u := s.plate.Unit
	marks.LayPointers(s.pointers, free, float32(middle), taken, func(x, y float32) bool {
		_, ok := s.plate.Pick(int(x*u), int(y*u))
		return ok
	})
}

// placeOf is where a vertex, a node or a point of the rest pose is in the pose of the state.
func (s *Scene) placeOf(st *State, surface int, v rig.Vertex, n rig.Node, point space.Vec) (space.Vec, bool) {
	at := space.Vec(point)
	switch {
	case surface >= 0:
		q, ok := s.vertex(st, surface, v)
		switch {
		case ok:
			at = space.Double(q)
		case point == [3]float64{}: // no triangle uses it, and nothing else tells its place
			return at, false
		}
	case n >= 0:
		if int(n) >= len(s.now.pose.World) {
			return at, false
		}
		at = s.now.pose.World[n].Origin()
	default:
		at = s.heldAt(point, s.now.pose.World, func(surface int, v rig.Vertex) (space.Vec32, bool) { return s.vertex(st, surface, v) })
	}
	sum := at[0] + at[1] + at[2]
	return at, sum-sum == 0
}

// spot names one vertex of a surface.
type spot struct {
	surface int
	vertex  rig.Vertex
}

// vertex is where a mesh vertex is in the pose of the state. One that the coarse
// copy does not have is carried by itself.
func (s *Scene) vertex(st *State, surface int, v rig.Vertex) (at space.Vec32, ok bool) {
	if i := s.now.vertex(surface, v); i >= 0 {
		return space.At32(s.now.pos, i), true
	}
	whole := s.fig.vertex(surface, v)
	if s.now == s.fig || whole < 0 {
		return at, false
	}
	if !slices.Contains(s.wanted, spot{surface, v}) {
		if len(s.wanted) > 100 {
			s.wanted = s.wanted[:0]
		}
		s.wanted = append(s.wanted, spot{surface, v})
		var list []uint32
		for _, w := range s.wanted {
			list = append(list, uint32(s.fig.vertex(w.surface, w.vertex)))
		}
		slices.Sort(list)
		s.spots = some(s.rig, s.fig.prepared.pick(list), s.Bends)
	}
	s.spots.move(st, false)
	i := s.spots.vertex(surface, v)
	if i < 0 {
		return at, false
	}
	return space.At32(s.spots.pos, i), true
}

// chosenPlace is what is looked at closely: the vertex that is chosen, or the place of the
// finding that is; its own, or else where its pointer points.
func chosenPlace(st *State) (place Choice, ok bool) {
	c := &st.Chosen
	switch {
	case c.Kind == OnVertex:
		return *c, true
	case c.Kind != OnFinding:
		return place, false
	case c.Placed:
		return *c, true
	}
	for i := range st.PointerList {
		if k := &st.PointerList[i]; k.Number == c.Number {
			return Choice{Kind: OnFinding, Number: k.Number, Surface: k.Surface, Vertex: k.Vertex, Node: k.Node, Point: k.Point, Placed: true}, true
		}
	}
	return place, false
}

// chosenAt is where the chosen place lies, in the world and on the page.
func (s *Scene) chosenAt(st *State) (c Choice, at space.Vec, x, y float32, ok bool) {
	if c, ok = chosenPlace(st); !ok {
		return c, at, 0, 0, false
	}
	if at, ok = s.placeOf(st, c.Surface, c.Vertex, c.Node, c.Point); !ok {
		return c, at, 0, 0, false
	}
	px, py, _, ok := st.Camera.Pixel(at)
	return c, at, float32(px), float32(py), ok
}

// loupe places the glass for the chosen vertex: low in the free rectangle, right of
// the figure, or at its left when the place lies far out there or under the glass.
func (s *Scene) loupe(st *State, free marks.Box) (l marks.Loupe, ok bool) {
	if !st.Loupe {
		return l, false
	}
	if l.R = marks.LoupeRadius(free); l.R == 0 {
		return l, false
	}
	c, at, x, y, ok := s.chosenAt(st)
	if !ok {
		return l, false
	}
	l.AtX, l.AtY = x, y
	if l.AtX < free.X0 || l.AtX > free.X1 || l.AtY < free.Y0 || l.AtY > free.Y1 {
		return l, false
	}
	beside := float32(0) // the figure ends here
	b := &s.floor.box
	for i := range 8 {
		q := space.Vec(b.Min)
		for k := range 3 {
			if i>>k&1 == 1 {
				q[k] = b.Max[k]
			}
		}
		if x, _, _, ok := st.Camera.Pixel(q); ok {
			beside = max(beside, float32(x))
		}
	}
	left := free.X0 + l.R + 76
	l.X = min(free.X1-l.R-18, max(beside+l.R+12, l.AtX+2.5*l.R))
	l.Y = free.Y1 - l.R - 30
	near := l.R * 1.35
	if abs(l.AtX-l.X) < near && abs(l.AtY-l.Y) < near || l.AtX+2*l.R < (free.X0+free.X1)/2 && l.AtY+1.5*l.R < l.Y {
		l.X = left
	}
	l.Probed = true
	switch {
	case c.Surface >= 0:
		l.Left = "vertex " + say.Whole(int(c.Vertex))
		if n, w, ok := s.strongest(st, c.Surface, c.Vertex); ok {
			l.Right = shorten(s.nodeName(n), 18) + " " + strconv.FormatFloat(float64(w), 'f', 2, 32)
		}
	case c.Node >= 0 && int(c.Node) < len(s.rig.Nodes):
		l.Left = shorten(s.nodeName(c.Node), 24)
	}
	l.Scale = st.Camera.PixelsPerMetre(at)
	l.Zoom = s.zoom(c, float64(l.R), l.Scale)
	return l, true
}

// zoom is how much the loupe enlarges. A vertex that is chosen is looked at as through a
// glass in the hand, and the camera brings it nearer; the place of a finding fills the
// glass by itself, since the camera stays far enough off to show the limb.
func (s *Scene) zoom(c Choice, radius, scale float64) float32 {
	if c.Kind != OnFinding || !(scale > 0) {
		return marks.Zoom
	}
	across := c.Extent
	if least := finest * s.height(); !(across >= least) { // a point, or not told
		across = least
	}
	// The glass shows a place with as much again around it.
	return float32(min(16, max(2.5, radius/(across*scale))))
}

// finest is how much of the figure's height the loupe shows at least across half its
// glass: a few edges of a figure of 10,000 vertices.
const finest = .022

// strongest is the influence the loupe writes: that of the lens's joint while it
// shows one, else the largest.
func (s *Scene) strongest(st *State, surface int, v rig.Vertex) (n rig.Node, w float32, ok bool) {
	n = rig.None
	s.holds(surface, v, func(joint rig.Node, weight float32) {
		switch {
		case st.Lens == Influence && st.Joint >= 0:
			if joint == st.Joint {
				n, w = joint, w+weight
			}
		case weight > w:
			n, w = joint, weight
		}
	})
	if n < 0 && st.Lens == Influence && st.Joint >= 0 && int(st.Joint) < len(s.rig.Nodes) {
		return st.Joint, 0, true
	}
	return n, w, n >= 0
}

// holds visits the influences of one mesh vertex as stored, zero ones left out.
func (s *Scene) holds(surface int, v rig.Vertex, visit func(rig.Node, float32)) {
	if surface < 0 || surface >= len(s.rig.Surfaces) {
		return
	}
	sf := &s.rig.Surfaces[surface]
	m := &s.rig.Meshes[sf.Mesh]
	if sf.Skin < 0 || int(sf.Skin) >= len(s.rig.Skins) || v < 0 || (int(v)+1)*m.K > len(m.Weights) {
		return
	}
	skin := &s.rig.Skins[sf.Skin]
	for k := int(v) * m.K; k < (int(v)+1)*m.K; k++ {
		if n := jointNode(s.rig, skin, int(m.Joints[k])); n >= 0 && m.Weights[k] != 0 {
			visit(n, m.Weights[k])
		}
	}
}

// enlarged draws the round under the loupe, its middle the place itself.
func (s *Scene) enlarged(st *State, l *marks.Loupe, look raster.Look, sum *deform.Written) *raster.Plate {
	u := s.plate.Unit
	side := int(2*l.R*u) + 4
	switch {
	case s.glass == nil:
		s.glass = raster.New(side, side)
	case s.glass.W != side:
		s.glass.Resize(side, side)
	}
	s.glass.Unit = u
	s.glass.Pave(s.paper.Well)
	c := st.Camera
	mid := float64(side) / 2 / float64(u)
	zoom := float64(l.Zoom)
	// The same eye through a longer lens: the line of sight keeps its place.
	c.CX, c.CY = mid+(c.CX-float64(l.AtX))*zoom, mid+(c.CY-float64(l.AtY))*zoom
	c.Scale *= zoom
	look.Edges, look.Lines = s.now == s.fig, false
	s.surface(s.glass, &c, look)
	if sum != nil {
		(marks.Pen{Plate: s.glass, Paper: s.paper}).Way(s.way(sum, st, &c))
	}
	return s.glass
}

// shorten cuts a name that is too long for its place.
func shorten(name string, most int) string {
	r := []rune(name)
	if len(r) <= most {
		return name
	}
	return string(r[:most-1]) + "…"
}
