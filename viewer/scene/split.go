package scene

import (
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/ramp"
	"rigloupe/viewer/raster"
)

// view is one drawing of the figure: the whole picture, or one half of a split one.
// What a click needs to know of it stays here.
type view struct {
	left     int   // page pixels of the picture left of it
	top      int   // and above it
	state    State // of this view alone: its own size, camera and method
	plate    *raster.Plate
	paved    *ramp.Paper // paper the plate is paved with
	pointers []marks.Pointer
	bones    []marks.Joint
	out      []uint32 // the plate halved, of a half
}

// stacked tells that the halves lie on top of each other: two figures side by side in a
// room higher than it is wide would both be small.
func (st *State) stacked() bool {
	x0, y0, x1, y1 := st.Window().Free()
	return st.Beside && y1-y0 > x1-x0
}

// halves are the two states of a split picture. The line between them stands in the
// middle of the free rectangle; each half has the same camera, its middle moved.
func (st *State) halves() (out [2]State, middle int) {
	x0, y0, x1, y1 := st.Window().Free()
	if st.stacked() {
		return st.stack()
	}
	middle = min(st.Width-1, max(1, int((x0+x1)/2)))
	w := [2]camera.Window{
		{Width: middle, Height: st.Height, Inset: [4]int{int(y0), 0, st.Height - int(y1), int(x0)}},
		{Width: st.Width - middle, Height: st.Height, Inset: [4]int{int(y0), st.Width - int(x1), st.Height - int(y1), 0}},
	}
	for i := range out {
		h := *st
		h.Split = false
		if !st.Beside {
			h.Method = []deform.Method{deform.Linear, deform.Dual}[i]
		}
		h.Width, h.Height, h.Inset = w[i].Width, w[i].Height, w[i].Inset
		out[i] = h
	}
	// Whole pixels apart, so that what does not differ is the same pixel by pixel.
	a, _, b, _ := w[0].Free()
	out[0].Camera.CX += (a+b)/2 - (x0+x1)/2
	out[1].Camera.CX = out[0].Camera.CX - a
	return out, middle
}

// stack is halves for two that lie on top of each other; middle is counted down.
func (st *State) stack() (out [2]State, middle int) {
	x0, y0, x1, y1 := st.Window().Free()
	middle = min(st.Height-1, max(1, int((y0+y1)/2)))
	left, right := int(x0), st.Width-int(x1)
	w := [2]camera.Window{
		{Width: st.Width, Height: middle, Inset: [4]int{int(y0), right, 0, left}},
		{Width: st.Width, Height: st.Height - middle, Inset: [4]int{0, right, st.Height - int(y1), left}},
	}
	for i := range out {
		out[i] = *st
		out[i].Split = false
		out[i].Width, out[i].Height, out[i].Inset = w[i].Width, w[i].Height, w[i].Inset
	}
	_, a, _, b := w[0].Free()
	out[0].Camera.CY += (a+b)/2 - (y0+y1)/2
	out[1].Camera.CY = out[0].Camera.CY - a
	return out, middle
}

// fitted is the window that a view of the whole figure has to fit into, and how far
// its middle lies left of and above the picture's.
func (st *State) fitted() (w camera.Window, dx, dy float64) {
	if !st.Split {
		return st.Window(), 0, 0
	}
	h, _ := st.halves()
	x0, y0, x1, y1 := st.Window().Free()
	a, c, b, d := h[0].Window().Free()
	return h[0].Window(), (x0+x1)/2 - (a+b)/2, (y0+y1)/2 - (c+d)/2
}

// Across takes a page pixel to the one where the camera of the state would have it,
// were the picture not split.
func (st *State) Across(x, y float64) (float64, float64) {
	if !st.Split {
		return x, y
	}
	h, middle := st.halves()
	if st.stacked() {
		i, top := 0, 0.
		if y >= float64(middle) {
			i, top = 1, float64(middle)
		}
		return x, y - top + st.Camera.CY - h[i].Camera.CY
	}
	i, left := 0, 0.
	if x >= float64(middle) {
		i, left = 1, float64(middle)
	}
	return x - left + st.Camera.CX - h[i].Camera.CX, y
}

// Halved is the camera after the picture was split (on) or made whole again: the
// figure keeps its share of the room it has. beside: two figures are set side by side.
func Halved(c camera.Camera, w camera.Window, on, beside bool) camera.Camera {
	x0, y0, x1, y1 := w.Free()
	wide, high := (x1-x0)/2, y1-y0
	if beside && high > 2*wide {
		wide, high = x1-x0, high/2
	}
	k := min(wide, high) / min(x1-x0, y1-y0)
	if !on {
		k = 1 / k
	}
	c.Scale *= k
	c.CX, c.CY = (x0+x1)/2+(c.CX-(x0+x1)/2)*k, (y0+y1)/2+(c.CY-(y0+y1)/2)*k
	return c
}

// only draws one view over the whole picture.
func (s *Scene) only(st *State) {
	s.take(1)
	v := &s.views[0]
	v.left, v.top = 0, 0
	s.draw(v, st)
	if s.samples == 2 {
		s.out = room(s.out, st.Width*st.Height)
		s.plate.Halve(s.out)
		s.shown = s.out
	} else {
		s.shown = s.plate.Pix
	}
}

// split draws the two halves and puts them side by side.
func (s *Scene) split(st *State) {
	s.take(2)
	s.out = room(s.out, st.Width*st.Height)
	states, middle := st.halves()
	stacked := st.stacked()
	for i := range states {
		v, h := &s.views[i], &states[i]
		v.left, v.top = i*middle, 0
		if stacked {
			v.left, v.top = 0, i*middle
		}
		who, names := s.draws(i, h), [2]string{"linear blend", "dual quaternion"}
		if st.Beside {
			names = s.under(st)
		}
		who.draw(v, h)
		s.left = max(s.left, who.left)
		pen := marks.Pen{Plate: who.plate, Paper: s.paper}
		if stacked {
			pen.Shelf(h.Height, h.Inset[3], h.Width-h.Inset[1], i == 1, names[i])
		} else {
			pen.Divider(h.Width, h.Inset[0], h.Height-h.Inset[2], i == 1, names[i])
		}
		pix := who.plate.Pix
		if s.samples == 2 {
			v.out = room(v.out, h.Width*h.Height)
			who.plate.Halve(v.out)
			pix = v.out
		}
		for y := range h.Height {
			copy(s.out[(v.top+y)*st.Width+v.left:], pix[y*h.Width:(y+1)*h.Width])
		}
	}
	s.shown = s.out
}

// take sees to it that there are so many views.
func (s *Scene) take(n int) {
	if len(s.views) > n { // the half is not needed: its plate is large
		s.views = s.views[:n:n]
	}
	for len(s.views) < n {
		s.views = append(s.views, view{})
	}
}

// draw draws one view.
func (s *Scene) draw(v *view, st *State) {
	s.enter(v, st.Width*s.samples, st.Height*s.samples)
	v.state = *st
	look := s.figureLook(st)
	s.now.move(st, true)
	s.now.values.strained(s.now, st)
	c := &st.Camera
	pen := marks.Pen{Plate: s.plate, Paper: s.paper}
	pen.Rose(&s.floor.rose, c)
	s.surface(s.plate, c, look)
	s.floor.drawStaff(pen, st)
	if st.Bones {
		chosen, hover := s.nodes(st)
		pen.Bones(s.bones.lay(s.rig, s.now.pose.World, c, chosen, hover))
	}
	s.drawOverlay(pen, st)
	s.marks(pen, st, look)
	v.pointers, v.bones = append(v.pointers[:0], s.pointers...), append(v.bones[:0], s.bones.marks...)
}

// enter makes a view the one at hand, its plate of the given size and empty.
func (s *Scene) enter(v *view, w, h int) {
	switch {
	case v.plate == nil:
		v.plate = raster.New(w, h)
		v.paved = nil
	case v.plate.W != w || v.plate.H != h:
		v.plate.Resize(w, h)
		v.paved = nil
	}
	s.plate = v.plate
	s.plate.Unit = float32(s.samples)
	if v.paved != s.paper {
		s.plate.Pave(s.paper.Paper)
		v.paved = s.paper
		return
	}
	s.plate.Wipe()
}

// at is the view under a page pixel, posed as it was drawn, and the pixel in it.
func (s *Scene) at(x, y int) (*view, int, int) {
	i, _ := slices.BinarySearchFunc(s.views, x+1, func(v view, x int) int { return v.left - x })
	v := &s.views[max(0, i-1)]
	if len(s.views) > 1 && s.views[1].top > 0 {
		v = &s.views[0]
		if y >= s.views[1].top {
			v = &s.views[1]
		}
	}
	s.now.move(&v.state, false)
	return v, x - v.left, y - v.top
}

func room(s []uint32, n int) []uint32 {
	if cap(s) < n {
		return make([]uint32, n)
	}
	return s[:n]
}
