package scene

import (
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Hit is what lies under a pixel of the last picture.
type Hit struct {
	Kind     Kind       // OnFinding (a pointer), OnJoint, OnVertex or Nothing
	Number   int        // of the pointer
	Node     rig.Node   // joint, or None
	Surface  int        // −1: none
	Triangle int        // of the surface's mesh
	Vertex   rig.Vertex // corner of that triangle nearest to the pixel
	Point    space.Vec  // on the surface, world, as posed

	Other bool     // Node is one of the figure beside this one that is not its own: of another file, or new on trial
	Owner rig.Node // with Other: the node of this figure that it stands for, or None
	Name  string   // with Other: of Node
}

// ringReach is how far from a joint's middle a click still means it, page pixels.
const ringReach = 8

// Pick tells what lies under a page pixel. Pointers come before joints, joints before
// the surface, when pointers or bones are shown.
func (s *Scene) Pick(x, y int) Hit {
	h := Hit{Node: rig.None, Surface: -1}
	if !s.drawn || x < 0 || y < 0 || x >= s.last.Width || y >= s.last.Height {
		return h
	}
	v, x, y := s.at(x, y)
	if s.last.Beside && v.left+v.top > 0 {
		if s.partners != nil {
			return s.pickForeign(v, x, y)
		}
		return s.pickTrial(v, x, y)
	}
	fx, fy := float32(x)+.5, float32(y)+.5
	for i := range v.pointers {
		if b := v.pointers[i].Label(); v.pointers[i].Laid && fx >= b.X0 && fx <= b.X1 && fy >= b.Y0 && fy <= b.Y1 {
			h.Kind, h.Number = OnFinding, v.pointers[i].Number
			return h
		}
	}
	if s.last.Bones {
		if j := ringAt(v, x, y); j >= 0 {
			h.Kind, h.Node = OnJoint, s.bones.nodes[j]
		}
	}
	s.now.under(v, x, y, s.samples, &h)
	return h
}

// under fills in what of a figure's surface lies under a pixel of its view.
func (f *figure) under(v *view, x, y, samples int, h *Hit) {
	hit, ok := v.plate.Pick(x*samples+samples/2, y*samples+samples/2)
	tri, p := hit.Tri, f.prepared
	if !ok || int(tri) >= len(p.TriSource) {
		return
	}
	if h.Kind == Nothing {
		h.Kind = OnVertex
	}
	h.Surface = int(p.Surface[p.Part[tri]])
	h.Triangle = int(p.TriSource[tri])
	h.Point = v.state.Camera.World(float64(x)+.5, float64(y)+.5, float64(hit.Distance))
	// The nearest corner on the page.
	least := math.Inf(1)
	for _, v := range p.Tri[3*tri : 3*tri+3] {
		if d := space.Double(space.At32(f.pos, v)).Sub(h.Point).Len(); d < least {
			least, h.Vertex = d, rig.Vertex(p.Source[v])
		}
	}
}

// pickTrial tells what of this figure the figure on trial shows under a pixel of its half: the
// joint of the same place and name, and of a surface of the same shape the vertex. A joint that
// only the trial has is named, and stands for none.
func (s *Scene) pickTrial(v *view, x, y int) Hit {
	h := Hit{Node: rig.None, Surface: -1}
	o := s.beside
	if n := ringAt(v, x, y); s.last.Bones && n >= 0 {
		h.Kind, h.Node = OnJoint, o.bones.nodes[n]
		name := o.rig.Nodes[h.Node].Name
		if int(h.Node) >= len(s.rig.Nodes) || s.rig.Nodes[h.Node].Name != name {
			h.Other, h.Owner, h.Name = true, rig.None, name
		}
	}
	if s.alike && o.now != nil {
		o.now.under(v, x, y, s.samples, &h)
	}
	return h
}

// pickForeign tells which joint of a figure of another file lies under a pixel of its half.
func (s *Scene) pickForeign(v *view, x, y int) Hit {
	h := Hit{Node: rig.None, Surface: -1}
	if n := ringAt(v, x, y); s.last.Bones && n >= 0 {
		h.Kind, h.Other, h.Node = OnJoint, true, s.beside.bones.nodes[n]
		h.Owner, h.Name = s.owner(h.Node), s.beside.rig.Nodes[h.Node].Name
	}
	return h
}

// ringAt is the joint of a view, as laid, whose ring lies nearest to a pixel; −1: none does.
func ringAt(v *view, x, y int) int {
	best, at := float32(ringReach*ringReach), -1
	for j := range v.bones {
		m := &v.bones[j]
		dx, dy := m.X-float32(x)-.5, m.Y-float32(y)-.5
		if d := dx*dx + dy*dy; m.Show && m.OK && d < best {
			best, at = d, j
		}
	}
	return at
}

// Hold is one joint's hold on a vertex.
type Hold struct {
	Node   rig.Node
	Name   string
	Weight float32
}

// Probe is all there is about one vertex.
type Probe struct {
	Surface        int
	Vertex         rig.Vertex // in the mesh
	Node           rig.Node   // that carries the surface
	Mesh           rig.Mesh
	Primitive      rig.Primitive
	Element        int         // of the primitive's POSITION accessor
	Position       space.Vec32 // as stored, mesh space
	Posed          space.Vec32 // world, in the pose of the last picture, by linear blend where it was split
	IsDrawn        bool        // a triangle uses it; else Posed is zero
	Influences     []Hold      // as stored, strongest first
	Sum            float32
	Partner        rig.Vertex // on the other side, −1
	PartnerSurface int        // −1
	Mismatch       float32    // of weights, NaN: none
	Distance       float32    // to the mirrored place, metres, NaN: none
}

// Probe reads a vertex in the pose of the last picture; false: there is none.
func (s *Scene) Probe(surface int, v rig.Vertex) (Probe, bool) {
	if surface < 0 || surface >= len(s.rig.Surfaces) {
		return Probe{}, false
	}
	sf := &s.rig.Surfaces[surface]
	m := &s.rig.Meshes[sf.Mesh]
	if v < 0 || int(v) >= m.Vertices() {
		return Probe{}, false
	}
	nan := float32(math.NaN())
	p := Probe{
		Surface: surface, Vertex: v, Node: sf.Node, Mesh: sf.Mesh, Primitive: rig.None,
		Position: space.At32(m.Positions, v), Partner: rig.None, PartnerSurface: -1, Mismatch: nan, Distance: nan,
	}
	for i := range m.Primitives {
		if pr := &m.Primitives[i]; int(v) >= pr.First && int(v) < pr.First+pr.Count {
			p.Primitive, p.Element = rig.Primitive(i), int(v)-pr.First
			break
		}
	}
	if s.drawn {
		s.now.move(&s.views[0].state, false) // of a split picture the left half
		p.Posed, p.IsDrawn = s.vertex(&s.views[0].state, surface, v)
	}
	s.holds(surface, v, func(n rig.Node, w float32) {
		p.Sum += w
		h := Hold{Node: n, Name: s.rig.Nodes[n].Name, Weight: w}
		i := len(p.Influences)
		p.Influences = append(p.Influences, h)
		for ; i > 0 && p.Influences[i-1].Weight < w; i-- {
			p.Influences[i] = p.Influences[i-1]
		}
		p.Influences[i] = h
	})
	if f := s.fields; f != nil {
		if x, ok := at(f.SurfaceMismatch, surface, v); ok {
			p.Distance = x
		}
		if x, ok := at(f.WeightMismatch, surface, v); ok {
			p.Mismatch = x
		}
		if x, ok := at(f.MirrorPartner, surface, v); ok && x >= 0 {
			p.Partner, p.PartnerSurface = rig.Vertex(x), surface
			if q, ok := at(f.MirrorSurface, surface, v); ok && q >= 0 {
				p.PartnerSurface = int(q)
			}
		}
	}
	return p, true
}

func at[E any](field [][]E, surface int, v rig.Vertex) (e E, ok bool) {
	if surface < len(field) && int(v) < len(field[surface]) {
		return field[surface][v], true
	}
	return e, false
}
