package bridge

import (
	"fmt"
	"math"
	"strings"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/scene"
)

// Apply lays the change over a state. ratio is picture pixels a CSS pixel. Clock,
// view and camera are the stage's own and left alone. An unknown word is an error
// that lists the known ones; nothing has changed then.
func (s *Show) Apply(st *scene.State, r *rig.Rig, ratio float64) error {
	n := *st
	if s.Paper != nil {
		switch *s.Paper {
		case "day", "night":
			n.Night = *s.Paper == "night"
		default:
			return fmt.Errorf("paper %q: want day or night", *s.Paper)
		}
	}
	if s.Lens != nil {
		lens, ok := scene.LensNamed(*s.Lens)
		if !ok {
			return fmt.Errorf("lens %q: want one of %s", *s.Lens, strings.Join(LensNames(), ", "))
		}
		n.Lens = lens
	}
	if s.Method != nil {
		switch *s.Method {
		case "linear":
			n.Method = deform.Linear
		case "dual":
			n.Method = deform.Dual
		default:
			return fmt.Errorf("method %q: want linear or dual", *s.Method)
		}
	}
	if s.Move != nil {
		n.Move = scene.Move{}
		if j := rig.Node(within(s.Move.Joint, nodes(r))); j >= 0 && s.Move.Axis != "" {
			n.Move = scene.Move{Joint: j, Axis: s.Move.Axis, Degrees: turned(s.Move.Degrees)}
		}
	}
	if s.Degrees != nil && n.Move.Axis != "" {
		n.Move.Degrees = turned(*s.Degrees)
	}
	set(&n.Split, s.Split)
	if s.Halves != nil {
		if len(s.Halves) != 2 {
			return fmt.Errorf("halves holds %d texts, want 2", len(s.Halves))
		}
		n.Halves = [2]string(s.Halves)
	}
	if s.OtherClip != nil {
		n.OtherClip = rig.Clip(max(rig.None, *s.OtherClip))
	}
	if s.Inset != nil {
		if len(s.Inset) != 4 {
			return fmt.Errorf("inset holds %d numbers, want 4: top, right, bottom, left", len(s.Inset))
		}
		for i, v := range s.Inset {
			n.Inset[i] = whole(v * ratio)
		}
	}
	if s.Joint != nil {
		n.Joint = rig.Node(within(*s.Joint, nodes(r)))
	}
	if s.Clip != nil {
		n.Clip = rig.Clip(within(*s.Clip, clips(r)))
	}
	if s.Seconds != nil && !math.IsNaN(*s.Seconds) {
		n.Seconds = *s.Seconds
	}
	set(&n.Bones, s.Bones)
	set(&n.Pointers, s.Pointers)
	set(&n.Loupe, s.Loupe)
	set(&n.Staff, s.Staff)
	set(&n.Sum, s.Sum)
	if s.Terms != nil {
		n.Terms = max(0, *s.Terms)
	}
	if s.Chosen != nil {
		c, err := s.Chosen.choice(r)
		if err != nil {
			return err
		}
		n.Chosen = c
	}
	if s.Hover != nil {
		c, err := s.Hover.choice(r)
		if err != nil {
			return err
		}
		n.Hover = c
	}
	if s.PointerList != nil {
		n.PointerList = make([]scene.Pointer, 0, len(s.PointerList))
		for i := range s.PointerList {
			k, err := s.PointerList[i].key(r)
			if err != nil {
				return fmt.Errorf("key %d: %w", i, err)
			}
			n.PointerList = append(n.PointerList, k)
		}
	}
	*st = n
	return nil
}

// LensNames are the words for all lenses, in the order of the page.
func LensNames() (names []string) {
	for _, l := range scene.Lenses() {
		names = append(names, l.String())
	}
	return names
}

func set(to, from *bool) {
	if from != nil {
		*to = *from
	}
}

func (c *Chosen) choice(r *rig.Rig) (scene.Choice, error) {
	out := scene.Choice{Node: rig.None, Surface: -1}
	switch c.Kind {
	case "", "none":
	case "joint":
		if out.Node = rig.Node(within(or(c.Node, -1), nodes(r))); out.Node >= 0 {
			out.Kind = scene.OnJoint
		}
	case "vertex":
		surface, v := vertex(r, c.Surface, c.Primitive, c.Vertex)
		if surface >= 0 {
			out.Kind, out.Surface, out.Vertex = scene.OnVertex, surface, v
		}
	case "finding":
		out.Kind, out.Number = scene.OnFinding, or(c.Number, 0)
		out.Node = rig.Node(within(or(c.Node, -1), nodes(r)))
		out.Surface, out.Vertex = vertex(r, c.Surface, c.Primitive, c.Vertex)
		if len(c.Point) == 3 {
			out.Point = [3]float64(c.Point)
		}
		if c.Extent > 0 && !math.IsInf(c.Extent, 0) {
			out.Extent = c.Extent
		}
		out.Placed = out.Surface >= 0 || out.Node >= 0 || len(c.Point) == 3
	default:
		return out, fmt.Errorf("chosen %q: want joint, vertex, finding or none", c.Kind)
	}
	return out, nil
}

func (k *Pointer) key(r *rig.Rig) (scene.Pointer, error) {
	out := scene.Pointer{Number: k.Number, Node: rig.Node(within(or(k.Node, -1), nodes(r)))}
	switch k.Grade {
	case "note":
		out.Grade = 1
	case "flaw":
		out.Grade = 2
	case "stop":
		out.Grade = 3
	default:
		return out, fmt.Errorf("grade %q: want stop, flaw or note", k.Grade)
	}
	out.Surface, out.Vertex = vertex(r, k.Surface, k.Primitive, k.Vertex)
	if len(k.Point) == 3 {
		out.Point = [3]float64(k.Point)
	}
	return out, nil
}

// Place is the place in the scene's own terms. ok is false when the figure has
// nothing of the kind.
func (p *Place) Place(r *rig.Rig) (out scene.Place, ok bool) {
	out = scene.Place{Surface: -1, Node: rig.None, Extent: p.Extent}
	if len(p.Point) == 3 {
		copy(out.Point[:], p.Point)
	}
	if p.Surface != nil && len(p.Vertices) > 0 {
		for i := range p.Vertices {
			if s, v := vertex(r, p.Surface, p.Primitive, &p.Vertices[i]); s >= 0 {
				out.Surface = s
				out.Vertices = append(out.Vertices, v)
			}
		}
		if out.Surface >= 0 {
			return out, true
		}
	}
	if out.Node = rig.Node(within(or(p.Node, -1), nodes(r))); out.Node >= 0 {
		return out, true
	}
	return out, len(p.Point) == 3
}

// Vertex is a vertex of a mesh from what a message says; see Chosen. Surface is −1
// when there is none.
func Vertex(r *rig.Rig, surface, primitive, v *int) (int, rig.Vertex) {
	return vertex(r, surface, primitive, v)
}

func vertex(r *rig.Rig, surface, primitive, v *int) (int, rig.Vertex) {
	if r == nil || surface == nil || v == nil || *surface < 0 || *surface >= len(r.Surfaces) || *v < 0 {
		return -1, 0
	}
	m := &r.Meshes[r.Surfaces[*surface].Mesh]
	at := *v
	if primitive != nil {
		if *primitive < 0 || *primitive >= len(m.Primitives) || at >= m.Primitives[*primitive].Count {
			return -1, 0
		}
		at += m.Primitives[*primitive].First
	}
	if at >= m.Vertices() {
		return -1, 0
	}
	return *surface, rig.Vertex(at)
}

func or(p *int, other int) int {
	if p == nil {
		return other
	}
	return *p
}

// within answers i when there is such a place, else −1.
func within(i, n int) int {
	if i < 0 || i >= n {
		return rig.None
	}
	return i
}

func nodes(r *rig.Rig) int {
	if r == nil {
		return 0
	}
	return len(r.Nodes)
}

func clips(r *rig.Rig) int {
	if r == nil {
		return 0
	}
	return len(r.Clips)
}

// turned is an angle of a move: at most half a turn either way; what is no number is 0.
func turned(degrees float64) float64 {
	if math.IsNaN(degrees) {
		return 0
	}
	return min(180, max(-180, degrees))
}

// whole rounds; what is no number is 0.
func whole(v float64) int {
	if !(math.Abs(v) < 1e9) {
		return 0
	}
	return int(math.Round(v))
}

// CameraOf tells a camera and the window it was made for.
func CameraOf(c camera.Camera, w camera.Window) Camera {
	out := Camera{
		Target: c.Target[:], Yaw: c.Yaw, Pitch: c.Pitch, Distance: c.Distance, Scale: c.Scale, CX: c.CX, CY: c.CY,
		Width: w.Width, Height: w.Height,
	}
	for _, v := range w.Inset {
		out.Inset = append(out.Inset, float64(v))
	}
	return out
}

// Camera answers a camera told before, brought to the window of now. ok is false
// when it holds no sound camera.
func (c *Camera) Camera(now camera.Window) (out camera.Camera, ok bool) {
	if len(c.Target) != 3 || len(c.Inset) != 4 || !(c.Distance > 0) || !(c.Scale > 0) || c.Width <= 0 || c.Height <= 0 {
		return out, false
	}
	out = camera.Camera{Yaw: c.Yaw, Pitch: c.Pitch, Distance: c.Distance, Scale: c.Scale, CX: c.CX, CY: c.CY}
	copy(out.Target[:], c.Target)
	then := camera.Window{Width: c.Width, Height: c.Height}
	for i, v := range c.Inset {
		then.Inset[i] = whole(v)
	}
	return out.Moved(then, now), true
}
