package scene

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// SetBeside hands over another figure for the right half while a state asks for it; nil
// takes it away. alike: it has the same shape at rest, vertex by vertex. The pictures of
// the file are shared.
func (s *Scene) SetBeside(other *Scene, alike bool) {
	s.beside, s.alike, s.drawn = other, alike, false
	s.partners = nil
	if other != nil {
		for _, t := range s.pictures {
			other.SetTexture(t)
		}
	}
}

// SetForeign is SetBeside for a figure of another file: it has pictures of its own, and
// nodes and clips of it are those of the same name, until SetPartners says otherwise.
func (s *Scene) SetForeign(other *Scene) {
	s.beside, s.alike, s.drawn, s.level = other, false, false, false
	s.partners = map[rig.Node]rig.Node{}
	named := map[string]rig.Node{}
	for n := range other.rig.Nodes {
		name := other.rig.Nodes[n].Name
		if _, twice := named[name]; twice || name == "" {
			named[name] = rig.None
			continue
		}
		named[name] = rig.Node(n)
	}
	for n := range s.rig.Nodes {
		if to, ok := named[s.rig.Nodes[n].Name]; ok && to >= 0 {
			s.partners[rig.Node(n)] = to
		}
	}
}

// Foreign tells that the figure beside this one is of another file.
func (s *Scene) Foreign() bool { return s.beside != nil && s.partners != nil }

// SetForeignTexture is SetTexture for the figure beside this one.
func (s *Scene) SetForeignTexture(t *Texture) {
	s.beside.SetTexture(t)
	s.drawn = false
}

// SetPartners says which node of the other figure, by node of this one, stands for it. They
// are two figures then, and not one at two times: each stands in the middle, on its floor.
func (s *Scene) SetPartners(of map[rig.Node]rig.Node) {
	if s.partners != nil {
		s.partners, s.drawn, s.level = of, false, true
	}
}

// partner is the other figure's node for one of this figure's, None where it has none.
func (s *Scene) partner(n rig.Node) rig.Node {
	if s.partners != nil {
		if to, ok := s.partners[n]; ok && to >= 0 && int(to) < len(s.beside.rig.Nodes) {
			return to
		}
		return rig.None
	}
	if n >= 0 && int(n) < len(s.beside.rig.Nodes) {
		return n
	}
	return rig.None
}

// owner is this figure's node for one of the other's, the lowest where several share it;
// None where there is none.
func (s *Scene) owner(n rig.Node) rig.Node {
	best := rig.Node(rig.None)
	for from, to := range s.partners {
		if to == n && (best < 0 || from < best) {
			best = from
		}
	}
	return best
}

// clipBeside is the clip that the other figure plays while this one plays c.
func (s *Scene) clipBeside(st *State) rig.Clip {
	clips := s.beside.rig.Clips
	if s.partners == nil {
		if int(st.Clip) >= len(clips) {
			return rig.None
		}
		return st.Clip
	}
	if st.OtherClip >= 0 && int(st.OtherClip) < len(clips) {
		return st.OtherClip
	}
	for i := range clips {
		if clips[i].Name == s.rig.Clips[st.Clip].Name {
			return rig.Clip(i)
		}
	}
	return rig.None
}

// Beside is the other figure, nil where there is none.
func (s *Scene) Beside() *Scene { return s.beside }

// DressBeside is Dress for the other figure.
func (s *Scene) DressBeside(p *Prepared, look func() error) error {
	s.drawn = false
	return s.beside.Dress(p, look)
}

// Prepared is what the scene is drawn by.
func (s *Scene) Prepared() *Prepared { return s.fig.prepared }

// draws is who draws a half of a split picture, and in what state: the other figure knows
// nothing of this one's findings, and of its vertices only where they are the same.
func (s *Scene) draws(half int, h *State) *Scene {
	o := s.beside
	if half == 0 || !h.Beside || o == nil {
		return s
	}
	o.paper, o.style, o.samples, o.left = s.paper, s.style, s.samples, 0
	h.Pointers, h.PointerList, h.Sum = false, nil, false
	h.Chosen, h.Hover = s.across(h.Chosen), s.across(h.Hover)
	if h.Lens == Measured {
		h.Lens = Plain
	}
	if h.Clip >= 0 {
		h.Clip = s.clipBeside(h)
	}
	if s.partners != nil {
		h.Joint = s.partner(h.Joint)
		if h.Move.Axis != "" {
			if h.Move.Joint = s.partner(h.Move.Joint); h.Move.Joint < 0 {
				h.Move = Move{}
			}
		}
		if h.Clip >= 0 {
			c := &o.rig.Clips[h.Clip]
			h.Seconds = min(max(c.Start, c.Seconds), max(c.Start, h.Seconds))
		}
	}
	if k := s.larger(); k != 1 { // the same view of a figure so many times as large, about the origin
		h.Camera.Target, h.Camera.Distance, h.Camera.Scale = h.Camera.Target.Mul(k), h.Camera.Distance*k, h.Camera.Scale/k
		h.Chosen.Point, h.Chosen.Extent = h.Chosen.Point.Mul(k), h.Chosen.Extent*k
	}
	if s.level {
		h.Camera.Target = h.Camera.Target.Add(foot(o.Box()).Sub(foot(s.Box()).Mul(s.larger())))
	}
	o.hold(h.points()...)
	return o
}

// asLarge is up to which size, times this figure's, the other one is drawn by the same
// scale: beyond it nothing of it would be in the picture, or it would be a dot.
const asLarge = 2.5

// foot is the middle of a box's floor.
func foot(b geom.Box) space.Vec {
	return space.Vec{(b.Min[0] + b.Max[0]) / 2, b.Min[1], (b.Min[2] + b.Max[2]) / 2}
}

// larger is how many times as large the other figure is, 1 where both can be seen by one
// scale.
func (s *Scene) larger() float64 {
	k := s.beside.Box().Diagonal() / s.Box().Diagonal()
	if !(k > 0) || math.IsInf(k, 0) || k < asLarge && k > 1/asLarge {
		return 1
	}
	return k
}

// under is what stands under this figure and under the one beside it.
func (s *Scene) under(st *State) [2]string {
	words := [2]string{"as it is", "as it would be"}
	if st.Halves != ([2]string{}) {
		words = st.Halves
	}
	if s.beside != nil && s.larger() != 1 {
		words[1] += ", " + say.Quantity(s.larger(), say.Factor) + " as large"
	}
	return words
}

// across is what is chosen here as the other figure has it.
func (s *Scene) across(c Choice) Choice {
	if s.partners != nil && c.Kind == OnJoint {
		if c.Node = s.partner(c.Node); c.Node < 0 {
			return Choice{Node: rig.None, Surface: -1}
		}
		return c
	}
	if c.Node >= 0 && int(c.Node) >= len(s.beside.rig.Nodes) {
		return Choice{Node: rig.None, Surface: -1}
	}
	if s.alike || c.Surface < 0 {
		return c
	}
	if c.Kind != OnFinding || !c.Placed {
		return Choice{Node: rig.None, Surface: -1}
	}
	m := &s.rig.Meshes[s.rig.Surfaces[c.Surface].Mesh]
	if 3*int(c.Vertex)+3 > len(m.Positions) {
		return Choice{Node: rig.None, Surface: -1}
	}
	rest := State{Clip: rig.None}
	s.fig.move(&rest, false)
	at := s.fig.vertex(c.Surface, c.Vertex)
	if at < 0 {
		return Choice{Node: rig.None, Surface: -1}
	}
	c.Surface, c.Node = -1, rig.None
	c.Point = space.Vec{float64(s.fig.pos[3*at]), float64(s.fig.pos[3*at+1]), float64(s.fig.pos[3*at+2])}
	return c
}
