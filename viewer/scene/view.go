package scene

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
)

// Place is something to bring to the front.
type Place struct {
	Surface  int // < 0: none
	Vertices []rig.Vertex
	Node     rig.Node  // None
	Point    space.Vec // world, rest; beside vertices: for those that are not drawn
	Extent   float64   // metres across; 0: by the place itself
	Row      int       // of a finding that stands in several places, the one it belongs to, from 0
}

// View is a camera that fits the whole figure as posed in st, with the floor rose,
// seen from a side.
func (s *Scene) View(st *State, from camera.From) camera.Camera {
	yaw, pitch := camera.Direction(from, s.facing())
	return s.Whole(st, yaw, pitch)
}

// Side names the side that a camera sees the figure from; ok is false for any other.
func (s *Scene) Side(c camera.Camera) (from camera.From, ok bool) { return c.Side(s.facing()) }

// Whole is a camera that fits the whole figure as posed in st, with the floor rose,
// seen from yaw and pitch.
func (s *Scene) Whole(st *State, yaw, pitch float64) camera.Camera {
	w, dx, dy := st.fitted()
	if st.hasStaff() {
		w.Inset[3] += staffRoom
		w.Inset[0] += staffAbove
	}
	f := &s.floor
	at := space.Vec(f.box.Center())
	c := camera.Aim(at, f.box.Diagonal()/2, w)
	c.Yaw, c.Pitch = yaw, pitch
	s.fig.move(st, false)
	points := make([]float32, 0, len(s.fig.pos)+600)
	points = append(points, s.fig.pos...)
	for _, p := range s.jointPlaces(s.fig.pose.World) {
		// A root far below or a control far out would push the figure into a corner.
		if len(s.fig.pos) == 0 {
			points = append(points, float32(p[0]), float32(p[1]), float32(p[2]))
		}
	}
	if f.isEmpty {
		points = append(points, camera.Corners(f.box.Min, f.box.Max)...)
	}
	// A clip may walk away from the rose: then it is left behind.
	if far := s.away(points); far < 2*f.rose.Radius() {
		points = append(points, f.rose.Points()...)
	}
	c = camera.Fit(c, w, points)
	c.CX, c.CY = c.CX+dx, c.CY+dy
	return c
}

// away is how far the middle of points lies from the rose's, on the floor.
func (s *Scene) away(points []float32) float64 {
	b := geom.BoxOf(points)
	if b.IsEmpty() {
		return 0
	}
	m, c := b.Center(), s.floor.rose.Centre
	x, z := m[0]-c[0], m[2]-c[2]
	return math.Sqrt(x*x + z*z)
}

// ViewOf is a camera that brings a place to the front: turned towards the eye where it
// looks away, and as near as the whole limb it belongs to allows, so that one still knows
// where it is; what is small is enlarged by the loupe. The camera turns round the place.
func (s *Scene) ViewOf(st *State, place Place) camera.Camera { return s.viewOf(st, place, true) }

// ViewFrom brings a place to the front as ViewOf does, but from a side that is asked for,
// also where the place looks away.
func (s *Scene) ViewFrom(st *State, place Place, from camera.From) camera.Camera {
	seen := *st
	seen.Camera = s.View(st, from)
	return s.viewOf(&seen, place, false)
}

// viewOf is ViewOf; turn: towards a place that looks away.
func (s *Scene) viewOf(st *State, place Place, turn bool) camera.Camera {
	whole := s.View(st, camera.ThreeQuarter)
	c := st.Camera
	if c.Scale == 0 {
		c = whole
	}
	if place.Node < 0 {
		s.hold(space.Vec(place.Point))
	}
	s.fig.move(st, true)
	at, normal, ok := s.middleOf(place)
	if !ok {
		return c
	}
	c.Target, c.Distance = at, whole.Distance
	// A ring round a limb looks all ways: its normals cancel, and what is left tells nothing.
	if l := normal.Len(); turn && l > .4 {
		normal = normal.Mul(1 / l)
		if _, _, back := c.Axes(); back.Dot(normal) < .5 { // more than 60° away
			if math.Abs(normal[1]) < .95 {
				c.Yaw = math.Atan2(normal[0], normal[2])
			}
			c.Pitch = min(.7, max(-.7, math.Asin(min(1, max(-1, normal[1])))))
		}
	}
	const air = .13 // for what the limb hangs on, and for pointers and their numbers
	w, dx, dy := st.fitted()
	c = camera.FitRound(c, w, s.around(place, at), air)
	if most := nearestView * whole.Scale; c.Scale > most {
		x0, y0, x1, y1 := w.Free()
		k := most / c.Scale
		c.Scale, c.CX, c.CY = most, (x0+x1)/2+(c.CX-(x0+x1)/2)*k, (y0+y1)/2+(c.CY-(y0+y1)/2)*k
	}
	c.CX, c.CY = c.CX+dx, c.CY+dy
	return c
}

// middleOf is the middle of a place as the figure is posed, and the mean of its normals,
// zero where there is none. ok is false when the figure has no such place.
func (s *Scene) middleOf(place Place) (at, normal space.Vec, ok bool) {
	if place.Surface >= 0 && len(place.Vertices) > 0 {
		n := 0.
		for _, v := range place.Vertices {
			if i := s.fig.vertex(place.Surface, v); i >= 0 && space.Finite32(space.At32(s.fig.pos, i)) {
				at = at.Add(space.Double(space.At32(s.fig.pos, i)))
				normal = normal.Add(space.Double(space.At32(s.fig.normal, i)))
				n++
			}
		}
		if n > 0 {
			return at.Mul(1 / n), normal.Mul(1 / n), true
		}
		if place.Point == (space.Vec{}) { // no triangle uses them, and nothing else tells where
			return at, normal, false
		}
	}
	world := s.fig.pose.World
	if place.Node >= 0 && int(place.Node) < len(world) {
		return world[place.Node].Origin(), normal, true
	}
	return s.heldAt(space.Vec(place.Point), world, func(surface int, v rig.Vertex) (at space.Vec32, ok bool) {
		i := s.fig.vertex(surface, v)
		if i < 0 {
			return at, false
		}
		return space.At32(s.fig.pos, i), true
	}), normal, true
}

// Posed is where a place is in the pose of a state, metres, world: its vertices one by one,
// not a number for those that no triangle uses; else its node, else its point.
func (s *Scene) Posed(st *State, place Place) (out []space.Vec) {
	s.fig.move(st, false)
	if place.Surface >= 0 && len(place.Vertices) > 0 {
		for _, v := range place.Vertices {
			at := space.Vec{math.NaN(), math.NaN(), math.NaN()}
			if i := s.fig.vertex(place.Surface, v); i >= 0 {
				at = space.Double(space.At32(s.fig.pos, i))
			}
			out = append(out, at)
		}
		return out
	}
	if at, _, ok := s.middleOf(place); ok {
		out = append(out, at)
	}
	return out
}

// nearestView is how much larger than the whole figure a place is shown at most: gear on a
// hand may make a limb of what is hardly known by itself.
const nearestView = 2.2

// limb is the least part of the figure that a place is shown with, as a share of the
// figure's size: a finger alone could be any of ten.
const limb = .3

// around are the points (3·N, world, as posed) that have to be in sight with a place: it
// and the limb it belongs to, which is the smallest branch of the tree that is a limb at
// least; the whole figure where there is none.
func (s *Scene) around(place Place, at space.Vec) []float32 {
	var out []float32
	for _, v := range place.Vertices {
		if i := s.fig.vertex(place.Surface, v); i >= 0 {
			out = append(out, s.fig.pos[3*i:3*i+3]...)
		}
	}
	if e := place.Extent / 2; e > 0 && e-e == 0 {
		out = append(out, camera.Corners(at.Sub(space.Vec{e, e, e}), at.Add(space.Vec{e, e, e}))...)
	}
	out = append(out, float32(at[0]), float32(at[1]), float32(at[2]))
	size := s.floor.box.Size()
	least := limb * max(size[0], size[1], size[2])
	hold := s.fig.holders()
	start := place.Node
	if start < 0 {
		start = s.holderOf(hold, place, at)
	}
	if start < 0 {
		return s.allOf(out)
	}
	world := s.fig.pose.World
	boxes := make([]geom.Box, len(s.rig.Nodes))
	for i := range boxes {
		boxes[i] = geom.EmptyBox()
	}
	for _, n := range s.bones.nodes {
		boxes[n].Add(world[n].Origin())
	}
	for i, n := range hold {
		if p := space.At32(s.fig.pos, i); n >= 0 && space.Finite32(p) {
			boxes[n].Add(space.Vec{float64(p[0]), float64(p[1]), float64(p[2])})
		}
	}
	in := make([]bool, len(s.rig.Nodes))
	for n := start; ; n = s.rig.Nodes[n].Parent {
		box := geom.EmptyBox()
		clear(in)
		stack := []rig.Node{n}
		for len(stack) > 0 {
			m := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if in[m] {
				continue
			}
			in[m] = true
			if !boxes[m].IsEmpty() {
				box.Add(boxes[m].Min)
				box.Add(boxes[m].Max)
			}
			stack = append(stack, s.rig.Nodes[m].Children...)
		}
		if b := box.Size(); !box.IsEmpty() && max(b[0], b[1], b[2]) >= least {
			break
		}
		if s.rig.Nodes[n].Parent < 0 {
			return s.allOf(out)
		}
	}
	for _, n := range s.bones.nodes {
		if o := world[n].Origin(); in[n] {
			out = append(out, float32(o[0]), float32(o[1]), float32(o[2]))
		}
	}
	for i, n := range hold {
		if n >= 0 && in[n] {
			out = append(out, s.fig.pos[3*i:3*i+3]...)
		}
	}
	return out
}

// allOf adds the whole figure to points.
func (s *Scene) allOf(points []float32) []float32 {
	points = append(points, s.fig.pos...)
	if len(s.fig.pos) == 0 {
		for _, p := range s.jointPlaces(s.fig.pose.World) {
			points = append(points, float32(p[0]), float32(p[1]), float32(p[2]))
		}
	}
	return points
}

// holderOf is the joint that most of a place hangs on: most of its vertices, or the
// vertex nearest to its point. None: nothing is there.
func (s *Scene) holderOf(hold []rig.Node, place Place, at space.Vec) rig.Node {
	count := map[rig.Node]int{}
	best := rig.Node(rig.None)
	for _, v := range place.Vertices {
		if i := s.fig.vertex(place.Surface, v); i >= 0 && hold[i] >= 0 {
			n := hold[i]
			count[n]++
			if best < 0 || count[n] > count[best] {
				best = n
			}
		}
	}
	if best >= 0 || len(hold) == 0 {
		return best
	}
	if i := nearest(s.fig.pos, at); i >= 0 {
		return hold[i]
	}
	return best
}

// holders is the node that each drawn vertex hangs on most: its strongest joint, else the
// node of its surface.
func (f *figure) holders() []rig.Node {
	out := make([]rig.Node, len(f.pos)/3)
	most := make([]float32, len(out))
	for part := range f.prepared.Surface {
		n := f.rig.Surfaces[part].Node
		for i := f.prepared.First[part]; i < f.prepared.end(part); i++ {
			out[i] = n
		}
	}
	f.eachWeight(func(v int, n rig.Node, w float32) {
		if w > most[v] {
			most[v], out[v] = w, n
		}
	})
	return out
}

// nearest is the drawn vertex nearest to a point; −1: there is none.
func nearest(pos []float32, at space.Vec) int {
	best, found := math.Inf(1), -1
	for i := 0; i+2 < len(pos); i += 3 {
		x, y, z := float64(pos[i])-at[0], float64(pos[i+1])-at[1], float64(pos[i+2])-at[2]
		if d := x*x + y*y + z*z; d < best {
			best, found = d, i/3
		}
	}
	return found
}
