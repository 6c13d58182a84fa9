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
	if other != nil {
		for _, t := range s.pictures {
			other.SetTexture(t)
		}
	}
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
	if h.Clip >= 0 && int(h.Clip) >= len(o.rig.Clips) {
		h.Clip = rig.None
	}
	if k := s.larger(); k != 1 { // the same view of a figure so many times as large, about the origin
		h.Camera.Target, h.Camera.Distance, h.Camera.Scale = h.Camera.Target.Mul(k), h.Camera.Distance*k, h.Camera.Scale/k
		h.Chosen.Point, h.Chosen.Extent = h.Chosen.Point.Mul(k), h.Chosen.Extent*k
	}
	o.hold(h.points()...)
	return o
}

// asLarge is up to which size, times this figure's, the other one is drawn by the same
// scale: beyond it nothing of it would be in the picture, or it would be a dot.
const asLarge = 2.5

// larger is how many times as large the other figure is, 1 where both can be seen by one
// scale.
func (s *Scene) larger() float64 {
	p, q := s.fig.prepared, s.beside.fig.prepared
	k := geom.Box{Min: q.Low, Max: q.High}.Diagonal() / geom.Box{Min: p.Low, Max: p.High}.Diagonal()
	if !(k > 0) || math.IsInf(k, 0) || k < asLarge && k > 1/asLarge {
		return 1
	}
	return k
}

// wouldBe is what stands under the other figure.
func (s *Scene) wouldBe() string {
	if s.beside == nil || s.larger() == 1 {
		return "as it would be"
	}
	return "as it would be, " + say.Quantity(s.larger(), say.Factor) + " as large"
}

// across is what is chosen here as the other figure has it.
func (s *Scene) across(c Choice) Choice {
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
