// Package stage draws the figure that the examiner read, on the page's main thread. Two
// programs present it, each thin, with the same pixels: wasm/plain by a 2D canvas, which
// every page starts with, wasm/gpu by Ebitengine, where a graphics processor does the
// work. What is drawn, and when, is decided here.
package stage

import (
	"fmt"
	"math"
	"time"

	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/ramp"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/bridge"
	"rigloupe/wasm/flat"
	"rigloupe/wasm/heap"
)

// stillAfter is how long nothing moves before the picture is refined.
const stillAfter = 120 * time.Millisecond

// mostPixels is the largest picture: 1920×1200, the most that scene refines. On
// larger windows a picture pixel covers more than one CSS pixel.
const mostPixels = 2_400_000

// show is the figure, how it is looked at and where its clip is. Times are since
// some fixed moment, in the presenter's own clock.
type show struct {
	rig   *rig.Rig
	scene *scene.Scene
	state scene.State

	cssW, cssH int // of the window
	ratio      float64

	split bool // what the person asks for: a figure beside this one is shown split anyway

	playing bool
	speed   float64
	back    bool    // a move plays towards the lower end of its range
	asked   float64 // the angle it was asked for: a finding may show beyond the range
	reduced bool    // the person asks for less motion

	eye

	now     time.Duration
	touched time.Duration // when anything changed last
	stale   bool          // the picture is not that of the state
	fine    bool          // it is the refined one
	pic     scene.Picture
	told    bridge.Changed

	frames int           // pictures drawn
	took   time.Duration // the last one
	left   int           // triangles that the last refined one leaves out
	fault  string        // why nothing is drawn any more
	coming bool          // a large figure has made way for one that is not there yet: the last picture stays
}

func newShow() *show {
	s := &show{speed: 1, ratio: 1}
	s.state = scene.State{
		Bones: true, Pointers: true, Loupe: true, Staff: true,
		Joint: rig.None, Clip: rig.None, OtherClip: rig.None,
		Chosen: scene.Choice{Node: rig.None, Surface: -1}, Hover: scene.Choice{Node: rig.None, Surface: -1},
	}
	s.resize(16, 16)
	return s
}

// resize follows the window, in CSS pixels.
func (s *show) resize(w, h int) {
	w, h = max(1, w), max(1, h)
	if w == s.cssW && h == s.cssH {
		return
	}
	before, ratio := s.state.Window(), s.ratio
	s.cssW, s.cssH = w, h
	s.ratio = min(1, math.Sqrt(mostPixels/(float64(w)*float64(h))))
	s.state.Width, s.state.Height = max(1, int(float64(w)*s.ratio)), max(1, int(float64(h)*s.ratio))
	for i, v := range s.state.Inset {
		s.state.Inset[i] = int(math.Round(float64(v) * s.ratio / ratio))
	}
	s.refit(before, s.state.Split)
	s.touch()
}

// touch says that something changed.
func (s *show) touch() { s.touched, s.stale = s.now, true }

// largeParcel is from how many bytes on a figure makes way before another is unpacked: two of
// them would take as much memory again, for good.
const largeParcel = 16 << 20

// makeWay takes a large figure away before one of so many bytes is handed over.
func (s *show) makeWay(bytes int) {
	if s.scene == nil || bytes < largeParcel {
		return
	}
	s.rig, s.scene, s.playing, s.coming = nil, nil, false, true
	heap.Tighten(muchHeld)
}

// muchHeld is from where on memory is kept tight, bytes.
const muchHeld = 64 << 20

// open shows another figure, from the front corner, at rest; sketch may be empty. The
// figure before stays until this one is ready, if it did not make way. look: see scene.Begin.
func (s *show) open(data, sketch []byte, look func() error) error {
	defer func() { s.coming = false }()
	r := &rig.Rig{}
	if err := flat.UnpackLooking(data, r, look); err != nil {
		return err
	}
	var p *scene.Prepared
	if len(sketch) > 0 {
		p = &scene.Prepared{}
		if err := flat.UnpackLooking(sketch, p, look); err != nil {
			return err
		}
	}
	fresh, err := scene.Begin(r, p, look)
	if err != nil {
		return err
	}
	s.rig, s.scene = r, fresh
	st := &s.state
	st.Split, st.Beside, st.OtherClip = s.split, false, rig.None
	st.Joint, st.Clip, st.Seconds, st.Move = rig.None, rig.None, 0, scene.Move{}
	if st.Lens == scene.Measured { // of the figure before
		st.Lens = scene.Plain
	}
	st.Chosen = scene.Choice{Node: rig.None, Surface: -1}
	st.Hover = st.Chosen
	st.PointerList, st.Unmeasured = nil, true
	s.eye = eye{}
	s.look(s.scene.View(st, camera.ThreeQuarter))
	s.playing, s.fault, s.left = false, "", 0
	s.touch()
	return nil
}

// empty takes the figure away.
func (s *show) empty() {
	s.rig, s.scene, s.pic, s.coming = nil, nil, scene.Picture{}, false
	s.playing, s.eye = false, eye{}
	s.touch()
}

func (s *show) prepared(data []byte, look func() error) error {
	p := &scene.Prepared{}
	if err := flat.UnpackLooking(data, p, look); err != nil {
		return err
	}
	if s.scene == nil {
		return fmt.Errorf("there is no figure to draw by it")
	}
	if err := s.scene.Dress(p, look); err != nil {
		return err
	}
	s.touch()
	return nil
}

func (s *show) fields(data []byte, look func() error) error {
	f := &scene.Fields{}
	if err := flat.UnpackLooking(data, f, look); err != nil {
		return err
	}
	if s.scene == nil {
		return fmt.Errorf("there is no figure they belong to")
	}
	s.scene.SetFields(f)
	s.state.Unmeasured = false
	s.touch()
	return nil
}

// field is what the lens of its name shows; it is the lens from now on known by
// that name.
func (s *show) field(data []byte) error {
	f := &scene.Field{}
	if err := flat.Unpack(data, f); err != nil {
		return err
	}
	if s.scene == nil {
		return fmt.Errorf("there is no figure it belongs to")
	}
	s.scene.SetField(f)
	s.touch()
	return nil
}

// overlay is what a finding inks over the figure; no bytes: nothing.
func (s *show) overlay(data []byte) error {
	if s.scene == nil {
		return fmt.Errorf("there is no figure to ink it on")
	}
	if len(data) == 0 {
		s.scene.SetOverlay(nil)
		s.touch()
		return nil
	}
	o := &scene.Overlay{}
	if err := flat.Unpack(data, o); err != nil {
		return err
	}
	s.scene.SetOverlay(o)
	s.touch()
	return nil
}

// trial shows another figure in the right half: as this one would be. Without a sketch it
// has the shape of this one. No data: it goes, and the split is what it was.
func (s *show) trial(data, sketch []byte, look func() error) error {
	if s.scene == nil {
		return fmt.Errorf("there is no figure to set it beside")
	}
	if len(data) == 0 {
		s.beside(nil, false)
		return nil
	}
	r := &rig.Rig{}
	if err := flat.UnpackLooking(data, r, look); err != nil {
		return err
	}
	p, alike := s.scene.Prepared(), len(sketch) == 0
	if !alike {
		p = &scene.Prepared{}
		if err := flat.UnpackLooking(sketch, p, look); err != nil {
			return err
		}
	}
	fresh, err := scene.Begin(r, p, look)
	if err != nil {
		return err
	}
	s.beside(fresh, alike)
	return nil
}

func (s *show) beside(other *scene.Scene, alike bool) {
	before, split := s.state.Window(), s.state.Split
	s.scene.SetBeside(other, alike)
	s.state.Beside = other != nil
	s.state.Split = s.split || other != nil
	s.refitBeside(before, split, true)
	s.fit()
	s.touch()
}

// foreign shows the figure of another file in the right half, drawn by what was prepared
// for it, joint beside the joint of the same name. No data: it goes.
func (s *show) foreign(data, prepared []byte, look func() error) error {
	if s.scene == nil {
		return fmt.Errorf("there is no figure to set it beside")
	}
	if len(data) == 0 {
		s.beside(nil, false)
		return nil
	}
	r, p := &rig.Rig{}, &scene.Prepared{}
	if err := flat.UnpackLooking(data, r, look); err != nil {
		return err
	}
	if err := flat.UnpackLooking(prepared, p, look); err != nil {
		return err
	}
	fresh, err := scene.Begin(r, p, look)
	if err != nil {
		return err
	}
	s.beside(fresh, false)
	s.scene.SetForeign(fresh)
	return nil
}

// trialPrepared is what drawing the other figure needs beyond its sketch.
func (s *show) trialPrepared(data []byte, look func() error) error {
	p := &scene.Prepared{}
	if err := flat.UnpackLooking(data, p, look); err != nil {
		return err
	}
	if s.scene == nil || s.scene.Beside() == nil {
		return nil // it was left meanwhile
	}
	if err := s.scene.DressBeside(p, look); err != nil {
		return err
	}
	s.touch()
	return nil
}

// texture is a picture of the file, decoded.
func (s *show) texture(data []byte, look func() error) error {
	t := &scene.Texture{}
	if err := flat.UnpackLooking(data, t, look); err != nil {
		return err
	}
	if s.scene == nil {
		return fmt.Errorf("there is no figure to paint with it")
	}
	s.scene.SetTexture(t)
	if b := s.scene.Beside(); b != nil && !s.scene.Foreign() {
		b.SetTexture(t)
	}
	s.touch()
	return nil
}

// set lays a change over the state. An unknown word is an error and changes nothing.
func (s *show) set(m *bridge.Show) error {
	var from camera.From
	if m.From != nil {
		var ok bool
		if from, ok = camera.FromNamed(*m.From); !ok {
			return fmt.Errorf("seen from %q: want three-quarter, front, left or back", *m.From)
		}
	}
	asked := m.Split
	if s.state.Beside {
		own := *m
		own.Split, m = nil, &own
	}
	before, split := s.state.Window(), s.state.Split
	measured := m.Lens != nil && s.scene != nil && s.scene.Field() != nil && *m.Lens == s.scene.Field().Name
	if measured {
		own := *m
		own.Lens, m = nil, &own
	}
	if err := m.Apply(&s.state, s.rig, s.ratio); err != nil {
		return err
	}
	if measured {
		s.state.Lens = scene.Measured
	}
	if asked != nil {
		s.split = *asked
	}
	if m.Partners != nil && s.scene != nil && s.scene.Foreign() {
		of := map[rig.Node]rig.Node{}
		for i := 0; i+1 < len(m.Partners); i += 2 {
			of[rig.Node(m.Partners[i])] = rig.Node(m.Partners[i+1])
		}
		s.scene.SetPartners(of)
	}
	s.refit(before, split)
	if m.Speed != nil && *m.Speed > 0 && !math.IsInf(*m.Speed, 0) {
		s.speed = *m.Speed
	}
	if m.ReducedMotion != nil {
		s.reduced = *m.ReducedMotion
	}
	if m.Playing != nil {
		s.playing = *m.Playing
	}
	if m.Move != nil {
		s.back, s.asked = false, s.state.Move.Degrees
	}
	if m.Clip != nil && m.Seconds == nil {
		s.state.Seconds, _ = s.span()
	}
	s.state.Seconds = s.inside(s.state.Seconds)
	if m.From != nil && s.scene != nil {
		s.seen(from)
	}
	if m.Camera != nil && s.scene != nil {
		if c, ok := m.Camera.Camera(s.state.Window()); ok {
			s.look(c)
			s.whole = m.Camera.Whole
			s.fit()
		}
	}
	s.touch()
	return nil
}

// span is where the clip begins and ends, in seconds.
func (s *show) span() (start, end float64) {
	if s.rig == nil || s.state.Clip < 0 || int(s.state.Clip) >= len(s.rig.Clips) {
		return 0, 0
	}
	c := &s.rig.Clips[s.state.Clip]
	return c.Start, max(c.Start, c.Seconds)
}

func (s *show) inside(seconds float64) float64 {
	start, end := s.span()
	return min(end, max(start, seconds))
}

// step goes some frames on or back and stops there.
func (s *show) step(frames, fps float64) {
	if !(fps > 0) {
		fps = 30
	}
	s.playing = false
	s.state.Seconds = s.inside(s.state.Seconds + frames/fps)
	s.touch()
}

// pick tells what lies under a CSS pixel of the picture on show.
func (s *show) pick(x, y float64) scene.Hit {
	if s.scene == nil || s.frames == 0 || x < 0 || y < 0 {
		return scene.Hit{Node: rig.None, Surface: -1}
	}
	return s.scene.Pick(int(x*s.ratio), int(y*s.ratio))
}

// length is how far apart two vertices of the figure are as posed, in words; false: one of
// them is not drawn.
func (s *show) length(surface, v, toSurface, to int) (says string, ok bool) {
	if s.scene == nil {
		return "", false
	}
	return s.scene.Length(surface, rig.Vertex(v), toSurface, rig.Vertex(to))
}

// hover points out what lies under a CSS pixel.
func (s *show) hover(x, y float64) scene.Hit {
	h := s.pick(x, y)
	c := bridge.ChoiceOf(h)
	if c.Kind == scene.Nothing || c.Kind == scene.OnVertex { // the surface itself is not pointed out
		c = scene.Choice{Node: rig.None, Surface: -1}
	}
	if c != s.state.Hover {
		s.state.Hover = c
		s.touch()
	}
	return h
}

// tick brings everything to a moment and draws when there is something new. fresh
// tells that pic has to be shown again. clock times the drawing.
func (s *show) tick(now time.Duration, clock func() time.Duration) (fresh bool) {
	passed := now - s.now
	s.now = now
	if s.fault != "" {
		return false
	}
	if s.coming {
		return false
	}
	if s.scene == nil {
		return s.bare()
	}
	if s.playing {
		s.play(passed.Seconds() * s.speed)
	}
	s.glideOn()
	s.state.Moving = s.playing || s.gliding || now-s.touched < stillAfter
	if !s.stale && (s.state.Moving || s.fine) {
		return false
	}
	start := clock()
	s.pic = s.scene.Draw(&s.state)
	s.took = clock() - start
	s.stale, s.fine = false, !s.state.Moving
	if s.pic.Changed {
		s.frames++
	}
	if s.fine {
		s.left = s.pic.Left
	}
	return s.pic.Changed
}

// bare shows paper and nothing on it.
func (s *show) bare() bool {
	if !s.stale {
		return false
	}
	paper := ramp.Day()
	if s.state.Night {
		paper = ramp.Night()
	}
	pix := make([]uint32, s.state.Width*s.state.Height)
	for i := range pix {
		pix[i] = paper.Paper
	}
	s.pic = scene.Picture{Pix: pix, W: s.state.Width, H: s.state.Height, Changed: true}
	s.stale, s.fine = false, true
	return true
}

// play moves the clip on, round and round. A clip of no length is held.
func (s *show) play(seconds float64) {
	if s.state.Move.Axis != "" {
		s.swing(seconds)
		return
	}
	start, end := s.span()
	if !(end > start) {
		s.playing = false
		s.touch()
		return
	}
	at := s.state.Seconds + seconds
	if at > end {
		at = start + math.Mod(at-start, end-start)
	}
	s.state.Seconds = at
	s.touch()
}

// swingSpeed is how fast a move plays at speed 1, degrees a second.
const swingSpeed = 60

// swing takes the move on to the end of its range, then back to the other.
func (s *show) swing(seconds float64) {
	s.touch()
	t, ok := s.scene.Bends.Turn(s.state.Move)
	if !ok || !(t.Max > t.Min) {
		s.playing = false
		return
	}
	t.Min, t.Max = min(t.Min, s.asked), max(t.Max, s.asked)
	// Fold the way into there and back.
	span, at := t.Max-t.Min, min(t.Max, max(t.Min, s.state.Move.Degrees))-t.Min
	if s.back {
		at = 2*span - at
	}
	at = math.Mod(at+seconds*swingSpeed, 2*span)
	if s.back = at > span; s.back {
		at = 2*span - at
	}
	s.state.Move.Degrees = t.Min + at
}

// turns are the moves of a joint.
func (s *show) turns(n int) []bridge.Turn {
	out := []bridge.Turn{}
	if s.scene == nil {
		return out
	}
	for _, t := range s.scene.Bends.Of(rig.Node(n)) {
		out = append(out, bridge.Turn{Axis: t.Axis, Min: t.Min, Max: t.Max, Source: t.Source})
	}
	return out
}

// idle tells that no frame need come before something is asked for.
func (s *show) idle() bool {
	return s.fault != "" || !s.stale && s.fine && !s.playing && !s.gliding
}

// changed is what the page wants to hear of the last tick; news tells whether it
// differs from what it heard.
func (s *show) changed() (c bridge.Changed, news bool) {
	c = bridge.Changed{
		Seconds: s.state.Seconds, Degrees: s.state.Move.Degrees, Playing: s.playing, Moving: s.state.Moving,
		Left: s.left, From: s.side(), Away: s.before != nil,
	}
	news = c != s.told
	s.told = c
	return c, news
}

// told state, for the page and for tests.
func (s *show) tell() bridge.StageState {
	st := &s.state
	out := bridge.StageState{
		Shown: s.scene != nil, Paper: "day", Lens: st.Lens.String(), Joint: int(st.Joint), Clip: int(st.Clip),
		Seconds: st.Seconds, Method: "linear", Split: st.Split, Beside: st.Beside,
		Move: bridge.Move{Joint: int(st.Move.Joint), Axis: st.Move.Axis, Degrees: st.Move.Degrees}, Playing: s.playing, Speed: s.speed, Moving: st.Moving, Fine: s.fine,
		Frames: s.frames, Left: s.left, DrawMS: float64(s.took.Microseconds()) / 1000, W: st.Width, H: st.Height, Ratio: s.ratio,
		Camera: bridge.CameraOf(st.Camera, st.Window()), Fault: s.fault,
	}
	if st.Lens == scene.Measured && s.scene != nil && s.scene.Field() != nil {
		out.Lens = s.scene.Field().Name
	}
	if st.Night {
		out.Paper = "night"
	}
	if st.Method != 0 {
		out.Method = "dual"
	}
	out.Camera.Whole, out.From, out.Away = s.whole, s.side(), s.before != nil
	return out
}

// legend is what the colours stand for.
func (s *show) legend() bridge.Legend {
	if s.scene == nil {
		return bridge.Legend{Kind: "none", Ticks: []string{}}
	}
	l := s.scene.Legend(&s.state)
	return bridge.Legend{Caption: s.scene.Caption(&s.state), Kind: l.Kind, Unit: l.Unit, Ticks: append([]string{}, l.Ticks...)}
}
