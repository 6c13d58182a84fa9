package scene

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/marks"
)

// floor is what the figure stands on and is measured against, at rest.
type floor struct {
	box     geom.Box
	height  float64 // of all that is shown
	rose    marks.Rose
	staff   marks.Staff
	isEmpty bool // nothing to show at all
}

// person is the height an empty plate is laid out for, metres.
const person = 1.8

// setFloor lays rose and staff. The floor is the world's own, y = 0, unless the
// figure's lowest point is farther from it than 15 % of its height (a hand, a
// head, a figure whose origin is its middle): then it lies under the figure.
func (s *Scene) setFloor() {
	f := &s.floor
	*f = floor{box: s.Box()}
	if f.box.IsEmpty() || !isFinite(f.box) {
		f.isEmpty = true
		f.box = geom.Box{Min: space.Vec{-.3, 0, -.3}, Max: space.Vec{.3, person, .3}}
	}
	size := f.box.Size()
	f.height = size[1]
	wide := max(size[0], size[2])
	ground := 0.
	if math.Abs(f.box.Min[1]) > .15*max(size[1], .5*wide) {
		ground = f.box.Min[1]
	}
	// Its middle is the world's own where that lies under the figure.
	mid := [2]float64{}
	for i, k := range [2]int{0, 2} {
		lo, hi := f.box.Min[k], f.box.Max[k]
		if lo > 0 || hi < 0 {
			mid[i] = (lo + hi) / 2
		}
	}
	f.rose = marks.Rose{
		Centre: space.Vec{mid[0], ground, mid[1]},
		Step:   marks.RoseStep(max(size[1], .6*wide)),
	}
	f.staff = marks.Staff{
		Foot: space.Vec{(f.box.Min[0] + f.box.Max[0]) / 2, ground, (f.box.Min[2] + f.box.Max[2]) / 2},
	}
	s.setStaff()
}

// setStaff measures the body, where the examiner told it from its gear; else all that is
// shown.
func (s *Scene) setStaff() {
	f := &s.floor
	ground := f.staff.Foot[1]
	f.staff.Low, f.staff.High = f.box.Min[1]-ground, f.box.Max[1]-ground
	f.staff.WholeLow, f.staff.WholeHigh = f.staff.Low, f.staff.High
	if s.fields == nil {
		return
	}
	if b := s.fields.Stands; b[1] > b[0] {
		f.staff.Low, f.staff.High = b[0]-ground, b[1]-ground
	}
}

func isFinite(b geom.Box) bool {
	for k := range 3 {
		if d := b.Max[k] - b.Min[k]; d-d != 0 || math.Abs(b.Min[k]) > 1e15 || math.Abs(b.Max[k]) > 1e15 {
			return false
		}
	}
	return true
}

// height of the figure at rest, metres.
func (s *Scene) height() float64 {
	if s.floor.height > 0 {
		return s.floor.height
	}
	return max(s.floor.box.Size()[0], s.floor.box.Size()[2], 1e-6)
}

// staffRoom is what the staff and its figures take from the free rectangle at the
// left, page pixels; staffLeast is how wide that must be for a staff.
const (
	staffRoom  = 64
	staffAbove = 12 // for the height written over the figure's top
	staffLeast = 420
)

func (st *State) hasStaff() bool {
	w, _, _ := st.fitted()
	x0, _, x1, _ := w.Free()
	return st.Staff && x1-x0 >= staffLeast
}

// drawStaff lays the rod over the figure: nearer, it would be covered.
func (f *floor) drawStaff(pen marks.Pen, st *State) {
	if !st.hasStaff() || f.isEmpty || f.height <= 0 {
		return
	}
	x0, y0, x1, y1 := st.Window().Free()
	s := f.staff
	s.Untold = st.Unmeasured
	s.X = float32(x0 + 18)
	s.Top, s.Bottom = float32(y0+4), float32(y1-4)
	// The pointing line ends short of the figure's top.
	s.Reach = float32(x1)
	if x, _, _, ok := st.Camera.Pixel(s.Foot.Add(space.Vec{0, s.High, 0})); ok {
		s.Reach = float32(min(x1, max(x0+60, x-44)))
	}
	pen.Staff(&s, &st.Camera)
}

// jointPlaces are the origins of the drawn joints.
func (s *Scene) jointPlaces(world []rig.Affine) (out []space.Vec) {
	for _, n := range s.bones.nodes {
		if o := world[n].Origin(); !math.IsNaN(o[0]+o[1]+o[2]) && !math.IsInf(o[0]+o[1]+o[2], 0) {
			out = append(out, o)
		}
	}
	return out
}
