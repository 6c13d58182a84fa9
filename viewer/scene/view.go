package scene

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
)

// Place is something to bring to the front.
type Place struct {
	Surface  int // < 0: none
	Vertices []rig.Vertex
	Node     rig.Node   // None
	Point    mgl64.Vec3 // world, rest; beside vertices: for those that are not drawn
	Extent   float64    // metres across; 0: by the place itself
}

// View is a camera that fits the whole figure as posed in st, with the floor rose,
// seen from a side.
func (s *Scene) View(st *State, from camera.From) camera.Camera {
	w, dx := st.fitted()
	if st.hasStaff() {
		w.Inset[3] += staffRoom
		w.Inset[0] += staffAbove
	}
	f := &s.floor
	at := mgl64.Vec3(f.box.Center())
	half := f.box.Diagonal() / 2
	c := camera.Look(from, s.facing(), at, half, w)
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
	c.CX += dx
	return c
}

// Fit aims and enlarges a camera so that points fill the room of the state: of a split
// picture one half's.
func (s *Scene) Fit(st *State, c camera.Camera, points []float32) camera.Camera {
	w, dx := st.fitted()
	c = camera.Fit(c, w, points)
	c.CX += dx
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

// ViewOf is a camera that brings a place to the middle, near enough to judge it
// and far enough to know where it is, and turned towards the eye where it looks
// away.
func (s *Scene) ViewOf(st *State, place Place) camera.Camera {
	whole := s.View(st, camera.ThreeQuarter)
	c := st.Camera
	if c.Scale == 0 {
		c = whole
	}
	s.fig.move(st, true)
	at, normal, across := place.Point, mgl64.Vec3{}, place.Extent
	switch {
	case place.Surface >= 0 && len(place.Vertices) > 0:
		sum, n := mgl64.Vec3{}, 0.
		for _, v := range place.Vertices {
			if i := s.fig.vertex(place.Surface, v); i >= 0 && finite(vec(s.fig.pos, uint32(i))) {
				sum = sum.Add(double(vec(s.fig.pos, uint32(i))))
				normal = normal.Add(double(vec(s.fig.normal, uint32(i))))
				n++
			}
		}
		if n == 0 && place.Point == (mgl64.Vec3{}) {
			return c
		}
		if n == 0 { // no triangle uses them
			break
		}
		at = sum.Mul(1 / n)
		if across == 0 {
			for _, v := range place.Vertices {
				if i := s.fig.vertex(place.Surface, v); i >= 0 {
					if d := double(vec(s.fig.pos, uint32(i))).Sub(at).Len(); !math.IsInf(d, 0) {
						across = max(across, 2*d)
					}
				}
			}
		}
	case place.Node >= 0 && int(place.Node) < len(s.fig.pose.World):
		at = s.fig.pose.World[place.Node].Origin()
		if p := s.rig.Nodes[place.Node].Parent; p >= 0 && across == 0 {
			across = 2 * at.Sub(s.fig.pose.World[p].Origin()).Len()
		}
	}
	// Never nearer than a quarter of the figure: the place must stay known.
	size := max(s.floor.box.Size()[0], s.height(), s.floor.box.Size()[2])
	across = min(size, max(across*1.6, .25*size))
	w, dx := st.fitted()
	x0, y0, x1, y1 := w.Free()
	c.CX, c.CY = (x0+x1)/2+dx, (y0+y1)/2
	c.Target, c.Distance = at, whole.Distance
	c.Scale = min(x1-x0, y1-y0) * .8 / across
	if l := normal.Len(); l > 1e-9 {
		normal = normal.Mul(1 / l)
		if _, _, back := c.Axes(); back.Dot(normal) < .5 { // more than 60° away
			if math.Abs(normal[1]) < .95 {
				c.Yaw = math.Atan2(normal[0], normal[2])
			}
			c.Pitch = min(.7, max(-.7, math.Asin(min(1, max(-1, normal[1])))))
		}
	}
	return c
}

func double(v [3]float32) mgl64.Vec3 {
	return mgl64.Vec3{float64(v[0]), float64(v[1]), float64(v[2])}
}
