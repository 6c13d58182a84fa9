// Package scene turns a rig and a state into pixels. The page, the golden tests
// and the command line share it, so they show the same picture.
package scene

import (
	"reflect"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/ramp"
	"rigloupe/viewer/raster"
)

// Scene draws one rig. It keeps buffers between pictures; it is not safe for
// several goroutines.
type Scene struct {
	decode   Decoder // of the rig's own pictures; nil: they stay plain until they are handed over
	rig      *rig.Rig
	Bends    *Bends  // the moves it can show
	roles    *Fields // what names tell; stands in for fields that are missing
	fields   *Fields
	measured *Field // of the lens Measured; nil: none
	overlay  *Overlay
	pins     pins
	held     map[space.Vec]held // what points of the rest pose hang on
	summed   *deform.Pose       // for sums written out, made when one is asked for
	fig      *figure            // all of it
	now      *figure            // what the last picture shows: fig or its coarse copy
	spots    *figure            // single vertices, while now does not have them
	wanted   []spot             // which
	bones    *skeleton
	floor    floor
	painted  bool                             // materials and texture places are set
	pictures map[int]*Texture                 // by place in Rig.Images
	textures map[wrappedImage]*raster.Texture // made of them; nil entries: there is none
	category []uint8

	plate, glass *raster.Plate // plate: of the view at hand
	out          []uint32      // the plate halved
	shown        []uint32      // the last picture: out or the plate's own
	paper        *ramp.Paper
	style        *raster.Style
	sheets       [2]*ramp.Paper
	styles       [2]*raster.Style
	pointers     []marks.Pointer // as laid in the view at hand

	left int // triangles that the picture at hand leaves out

	last     State
	drawn    bool // last and shown are a picture
	samples  int  // a side, of the last picture
	views    []view
	beside   *Scene                // another figure for the right half; nil: none
	level    bool                  // each stands on its own floor
	alike    bool                  // its vertices are this one's
	partners map[rig.Node]rig.Node // its nodes by node of this one; nil: they bear the same numbers
}

// New makes a scene. p and f may be nil and come later: until then the figure is
// drawn without lines and outline, and sides go by names.
func New(r *rig.Rig, p *Prepared, f *Fields) *Scene {
	s, _ := Begin(r, p, nil)
	s.SetFields(f)
	return s
}

// Begin makes a scene as New does, and looks up between its steps: the page has to
// answer meanwhile. look may be nil; its error ends the work.
func Begin(r *rig.Rig, p *Prepared, look func() error) (*Scene, error) {
	s := &Scene{rig: r}
	s.Bends = NewBends(r)
	s.roles = RoleFields(r, s.Bends.roles)
	if look != nil {
		if err := look(); err != nil {
			return nil, err
		}
	}
	s.SetFields(nil)
	return s, s.Dress(p, look)
}

// SetPrepared hands over what Prepare worked out; the next Draw uses it.
func (s *Scene) SetPrepared(p *Prepared) { s.Dress(p, nil) } // without a look nothing ends it

// Dress is SetPrepared that looks up between its steps; ended, the scene stays as it
// was.
func (s *Scene) Dress(p *Prepared, look func() error) error {
	if look == nil {
		look = func() error { return nil }
	}
	fig, err := newFigure(s.rig, p, s.Bends, s.fig, look)
	if err != nil {
		return err
	}
	fig.wear()
	s.fig = fig
	s.now, s.spots, s.wanted = s.fig, nil, nil
	s.painted, s.drawn = false, false
	s.pins, s.held = pins{}, nil
	s.setFloor()
	return nil
}

// SetFields hands over the examiner's fields; the next Draw uses them.
func (s *Scene) SetFields(f *Fields) {
	s.fields = f
	s.bones = newSkeleton(s.rig, s.side)
	s.drawn = false
	s.setStaff()
	if s.fig != nil {
		s.fig.values.set = false
		if s.fig.coarse != nil {
			s.fig.coarse.values.set = false
		}
	}
}

func (s *Scene) side(n rig.Node) int8 {
	if f := s.fields; f != nil && int(n) < len(f.Side) {
		return f.Side[n]
	}
	return s.roles.Side[n]
}

// facing is the direction the figure faces, zero where unknown.
func (s *Scene) facing() space.Vec {
	if f := s.fields; f != nil && f.Facing != (space.Vec{}) {
		return f.Facing
	}
	return s.roles.Facing
}

func (s *Scene) assign(parent []int) []uint8 { return ramp.Assign(parent, len(s.ink(false).Category)) }

// ink is one of the two papers, made once.
func (s *Scene) ink(night bool) *ramp.Paper {
	i := 0
	if night {
		i = 1
	}
	if s.sheets[i] == nil {
		p := ramp.Day()
		if night {
			p = ramp.Night()
		}
		s.sheets[i] = p
		s.styles[i] = raster.NewStyle(raster.Colours{
			Night: night, Paper: p.Paper, Figure: p.Figure, Ink: p.Ink, Rule: p.Rule,
			Ramp: p.Ramp, Press: p.Press, Category: p.Category, Count: p.Count,
		})
	}
	return s.sheets[i]
}

// Picture is what Draw answers. Pix stays valid until the next Draw.
type Picture struct {
	Pix     []uint32 // RGBA, 8 bits each, as bytes lie in memory (little endian); opaque
	W, H    int
	Left    int  // triangles that are left out: too many layers lie over each other
	Changed bool // false: the same pixels as the last picture, nothing was drawn
}

// superLimit is the most pixels of a page that are drawn 2×2: the buffers take 17
// bytes a sample, so 2.4 million pixels (1920×1200) make 160 MB.
const superLimit = 2400000

// Draw draws the state, or answers the last picture when nothing changed. A
// camera that is zero stands for the whole figure, three-quarter.
func (s *Scene) Draw(state *State) Picture {
	st := *state
	st.Width, st.Height = min(16384, max(1, st.Width)), min(16384, max(1, st.Height))
	if st.Camera.Scale == 0 {
		st.Camera = s.View(&st, camera.ThreeQuarter)
	}
	if s.drawn && reflect.DeepEqual(st, s.last) {
		return Picture{Pix: s.shown, W: st.Width, H: st.Height, Left: s.left}
	}
	s.last = st
	s.last.PointerList = slices.Clone(st.PointerList) // the caller may change its own
	s.paper = s.ink(st.Night)
	s.style = s.styles[0]
	if st.Night {
		s.style = s.styles[1]
	}

	s.left = 0
	s.hold(st.points()...)
	s.samples = 1
	if !st.Moving && st.Width*st.Height <= superLimit {
		s.samples = 2
	}
	if st.Split {
		s.split(&st)
	} else {
		s.only(&st)
	}
	s.drawn = true
	return Picture{Pix: s.shown, W: st.Width, H: st.Height, Left: s.left, Changed: true}
}

// figureLook sets what the surface shows and how carefully it is drawn.
func (s *Scene) figureLook(st *State) raster.Look {
	s.now = s.fig
	// A texture stretched over a coarse copy would smear across its seams.
	if st.Moving && s.fig.coarse != nil && st.Lens != Painted {
		s.now = s.fig.coarse
	}
	f := s.now
	f.values.fill(s, f, st)
	if st.Lens == Painted && !s.painted {
		f.static.Materials = s.paint(s.paper.Figure)
		f.static.UV = coordinates(s.rig, f.prepared)
		s.painted = true
	}
	if m := f.static.Materials; len(m) > 0 { // the bare figure's colour goes with the paper
		m[len(m)-1].Colour = s.paper.Figure
	}
	look := raster.Engraved(f.values.surface)
	look.Lines = f.prepared.S != nil
	if len(f.static.Edge) == 0 {
		look.Outline, look.Creases = false, false
	}
	if st.Moving && len(s.fig.static.Tri)/3 > heavy {
		look.Creases, look.Contacts = false, false
		look.Lines = look.Lines && s.now != s.fig // in full there is no time for them
	}
	return look
}

// surface draws the figure on a plate.
func (s *Scene) surface(p *raster.Plate, c *camera.Camera, look raster.Look) {
	f := s.now
	if len(f.static.Tri) == 0 {
		return
	}
	frame := raster.Frame{Pos: f.pos, Normal: f.normal}
	if look.Lines {
		frame.Slope = f.slope
	}
	switch look.Surface {
	case raster.Value, raster.TwoSided:
		frame.Lens = f.values.value
	case raster.Category, raster.Count:
		frame.Category = f.values.category
	}
	view := c.View(float64(p.Unit))
	ruling := raster.Rule(float32(c.Scale)*p.Unit, s.style.Pitch*p.Unit)
	static := &f.static
	if f.values.material != nil {
		flagged := f.static
		flagged.Mesh.Material, flagged.Materials = f.values.material, s.flagMaterials()
		if f.values.open != nil {
			flagged.Open = f.values.open
		}
		static = &flagged
	}
	p.Draw(static, &static.Mesh, &frame, &view, ruling, s.style, look)
	s.left = max(s.left, p.Left)
}

// nodes are the joints that are chosen and under the pointer.
func (s *Scene) nodes(st *State) (chosen, hover rig.Node) {
	chosen, hover = rig.None, rig.None
	if st.Chosen.Kind == OnJoint || st.Chosen.Kind == OnFinding {
		chosen = st.Chosen.Node
	}
	if chosen < 0 && st.Lens == Influence {
		chosen = st.Joint
	}
	if st.Hover.Kind == OnJoint {
		hover = st.Hover.Node
	}
	return chosen, hover
}

// Box is what is drawn at rest, in world metres: surfaces, else joints.
func (s *Scene) Box() geom.Box {
	p := s.fig.prepared
	box := geom.EmptyBox()
	if p.Low[0] <= p.High[0] && len(p.Source) > 0 { // the box is known
		box = geom.Box{Min: p.Low, Max: p.High}
	} else if len(p.Source) > 0 {
		st := State{Clip: rig.None}
		s.fig.move(&st, false)
		box = geom.BoxOf(s.fig.pos)
	}
	if box.IsEmpty() {
		for _, p := range s.jointPlaces(s.rig.RestWorld()) {
			box.Add(p)
		}
	}
	return box
}
