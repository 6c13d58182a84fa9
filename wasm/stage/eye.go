package stage

import (
	"math"
	"time"

	"rigloupe/viewer/camera"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
)

// eye is how the camera gets from one view to the next, and what it shows. Every
// command builds on aim, where the eye is going, and never on where a glide has got to:
// so commands that follow each other end in the same view with motion and without.
type eye struct {
	glide      camera.Glide
	glideStart time.Duration
	gliding    bool

	whole  bool // the whole figure is shown: another room fits it again
	posed  pose // what it was fitted in
	before *seat
	trail  []seat // where the eye was before each change, the last one last
}

// pose is what moves the figure: a room that changes must not fit it to another moment.
type pose struct {
	state scene.State // clip, time, move and method are read
	set   bool
}

// seat is where the eye was before a place was shown.
type seat struct {
	camera camera.Camera
	window camera.Window
	split  bool
	beside bool
	whole  bool
	posed  pose
}

// aim is where the eye is going, or is.
func (s *show) aim() camera.Camera {
	if s.gliding {
		return s.glide.To
	}
	return s.state.Camera
}

// look puts the eye somewhere at once.
func (s *show) look(c camera.Camera) {
	s.state.Camera, s.gliding, s.whole, s.trail = c, false, true, nil
	s.keepPose()
	s.touch()
}

// keepPose remembers the pose that the whole figure is fitted in.
func (s *show) keepPose() { s.posed = pose{state: s.state, set: true} }

// goTo brings the camera to another view, gliding unless less motion is asked for.
func (s *show) goTo(c camera.Camera) {
	s.touch()
	if s.reduced || s.state.Camera.Scale == 0 {
		s.state.Camera, s.gliding = c, false
		return
	}
	s.glide = camera.Glide{From: s.state.Camera, To: c, Seconds: camera.GlideSeconds}
	s.glideStart, s.gliding = s.now, true
}

// glideOn brings a glide to the moment.
func (s *show) glideOn() {
	if !s.gliding {
		return
	}
	var done bool
	s.state.Camera, done = s.glide.At((s.now - s.glideStart).Seconds())
	s.gliding = !done
	s.touch()
}

// seen shows the whole figure from a side.
func (s *show) seen(from camera.From) {
	s.keepView()
	s.whole, s.before = true, nil
	s.keepPose()
	s.goTo(s.scene.View(&s.state, from))
}

// frameAll shows the whole figure from where the eye is.
func (s *show) frameAll() {
	if s.scene == nil {
		return
	}
	s.keepView()
	c := s.aim()
	s.whole, s.before = true, nil
	s.keepPose()
	s.goTo(s.scene.Whole(&s.state, c.Yaw, c.Pitch))
}

// frame brings a place to the front and tells whether there is one. Where the eye was
// is kept for the way back, however many places follow.
func (s *show) frame(p *bridge.Place) bool {
	if s.scene == nil {
		return false
	}
	place, ok := p.Place(s.rig)
	if !ok {
		return false
	}
	s.keepView()
	if s.before == nil {
		s.before = new(s.seat())
	}
	st := s.state
	st.Camera = s.aim()
	s.whole = false
	s.goTo(s.scene.ViewOf(&st, place))
	return true
}

// goBack goes where the eye was before a place was shown; false: no place was.
func (s *show) goBack() bool {
	b := s.before
	if b == nil || s.scene == nil {
		return false
	}
	s.keepView()
	s.before = nil
	s.sit(b)
	return true
}

// seat is where the eye is, or is going.
func (s *show) seat() seat {
	return seat{camera: s.aim(), window: s.state.Window(), split: s.state.Split, beside: s.state.Beside, whole: s.whole, posed: s.posed}
}

// sit brings the eye to a seat, in the room of now.
func (s *show) sit(b *seat) {
	s.whole, s.posed = b.whole, b.posed
	c := b.camera
	if s.whole && (b.window != s.state.Window() || b.split != s.state.Split || b.beside != s.state.Beside) {
		c = s.fitted(c) // the room is another
	} else {
		c = moved(c, b.window, s.state.Window(), b.split, s.state.Split, s.state.Beside || b.beside)
	}
	s.goTo(c)
}

// mostTrail is how many changes of the view can be taken back.
const mostTrail = 50

// keepView remembers where the eye is, before a change of the view begins: one drag is one.
func (s *show) keepView() {
	if s.scene == nil {
		return
	}
	now := s.seat()
	if n := len(s.trail); n > 0 && s.trail[n-1].camera == now.camera {
		return
	}
	s.trail = append(s.trail, now)
	s.trail = s.trail[max(0, len(s.trail)-mostTrail):]
}

// undoView goes where the eye was before the last change; false: none is left.
func (s *show) undoView() bool {
	for s.scene != nil && len(s.trail) > 0 {
		b := s.trail[len(s.trail)-1]
		s.trail = s.trail[:len(s.trail)-1]
		if b.camera == s.aim() {
			continue // a press that changed nothing
		}
		s.sit(&b)
		return true
	}
	return false
}

// move takes the camera where a hand on the pad wants it.
func (s *show) move(c camera.Camera) {
	if s.scene == nil {
		return
	}
	s.state.Camera, s.gliding = c, false
	s.touch()
}

// turn carries the eye round its target by a drag in CSS pixels.
func (s *show) turn(dx, dy float64) { s.move(s.aim().Turn(dx, dy)) }

// shift moves the figure with a drag in CSS pixels.
func (s *show) shift(dx, dy float64) {
	s.whole = false
	s.move(s.aim().Shift(dx*s.ratio, dy*s.ratio))
}

// near enlarges about a CSS pixel; without one about the target.
func (s *show) near(factor, x, y float64) {
	st := s.state
	st.Camera = s.aim()
	at, down := st.Camera.CX, st.Camera.CY
	if !math.IsNaN(x) && !math.IsNaN(y) {
		at, down = st.Across(x*s.ratio, y*s.ratio)
	}
	s.whole = false
	s.move(st.Camera.Near(factor, at, down))
}

// fitted is c with the whole figure in the room of now, in the pose it was fitted in.
func (s *show) fitted(c camera.Camera) camera.Camera {
	st := s.state
	if p := &s.posed.state; s.posed.set {
		st.Clip, st.Seconds, st.Move, st.Method = p.Clip, p.Seconds, p.Move, p.Method
	}
	return s.scene.Whole(&st, c.Yaw, c.Pitch)
}

// fit fits the whole figure again, where that is what is shown.
func (s *show) fit() {
	if s.scene == nil || !s.whole {
		return
	}
	c := s.fitted(s.aim())
	if s.gliding {
		s.glide.To = c
	} else {
		s.state.Camera = c
	}
}

// refit follows the window, its insets and the split: the whole figure is fitted again,
// any other view keeps its share of the room.
func (s *show) refit(before camera.Window, split bool) { s.refitBeside(before, split, s.state.Beside) }

// refitBeside is refit where a figure beside this one came or goes.
func (s *show) refitBeside(before camera.Window, split, beside bool) {
	now := s.state.Window()
	if s.scene == nil || before == now && split == s.state.Split {
		return
	}
	s.state.Camera = moved(s.state.Camera, before, now, split, s.state.Split, beside)
	if s.gliding {
		s.glide.From, s.glide.To = moved(s.glide.From, before, now, split, s.state.Split, beside), moved(s.glide.To, before, now, split, s.state.Split, beside)
	}
	s.fit()
}

// moved is a camera for another room.
func moved(c camera.Camera, before, now camera.Window, wasSplit, isSplit, beside bool) camera.Camera {
	if before != now {
		c = c.Moved(before, now)
	}
	if wasSplit != isSplit {
		c = scene.Halved(c, now, isSplit, beside)
	}
	return c
}

// side names the side that the eye looks from, or is going to; "" for any other.
func (s *show) side() string {
	if s.scene == nil {
		return camera.ThreeQuarter.String()
	}
	if from, ok := s.scene.Side(s.aim()); ok {
		return from.String()
	}
	return ""
}
