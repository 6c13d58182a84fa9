package exam

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// parts tell body and gear apart; see Body.
type parts struct {
	isBody []bool     // by place in Rig.Surfaces
	on     []rig.Node // by place in Rig.Surfaces: the one node that a stiff surface follows, else None
	body   []int      // shown surfaces of the body
	gear   []int      // shown surfaces that are not
}

// Body answers the places in Rig.Surfaces of the shown surfaces that are the figure
// itself; Gear answers the others: what it holds, wears or stands beside.
//
// A surface that two joints or more move is body. A stiff one, without a skin or
// with all its weight on one joint, is body
//
//   - where no other surface covers what its joint moves: the head of a robot made of
//     parts, or a foot. The joint is the one it follows, or the nearest above that has
//     a role or moves a surface, since a sword hangs on a helper below the hand;
//   - where it lies inside the part it hangs on: eyes, teeth, short hair.
//
// All else stiff is gear in a file whose figure is skinned: a sword, a helmet over a
// head, a cape on one joint, a stage. In a file without a skin all is body, but where
// a figure is recognised: what hangs below one of its parts and reaches out of it, or
// on none of them, is gear. Where nothing says what the figure is, a loose surface
// larger than all that is skinned is body as well; without any skin the one that its
// shape alone tells to be a figure, with what lies within its box, is the body, and
// what it stands beside is gear. Hidden surfaces are neither. Nothing left: all that is shown is body.
func (e *Exam) Body() []int { return e.findParts().body }

// Gear answers the shown surfaces that are not the body; see Body.
func (e *Exam) Gear() []int { return e.findParts().gear }

// Apart answers the gear that hangs on no joint of a body, which nothing says that the
// figure holds or wears: a cart that it stands on. See Gear.
func (e *Exam) Apart() (out []int) {
	roles, on := e.Roles(), make([]bool, len(e.Rig.Nodes))
	for n := range on {
		on[n] = roles.Of[n].Role != "" || roles.Of[n].Helper
	}
	for _, s := range e.Body() {
		if k := e.Rig.Surfaces[s].Skin; k >= 0 {
			for _, n := range e.Rig.Skins[k].Joints {
				on[n] = true
			}
		}
	}
	for _, s := range e.Gear() {
		n := e.Rig.Surfaces[s].Node
		if stiff := e.StiffOn(s); stiff >= 0 {
			n = stiff
		} else if k := e.Rig.Surfaces[s].Skin; k >= 0 && len(e.Rig.Skins[k].Joints) > 0 {
			n = e.Rig.Skins[k].Joints[0]
		}
		for n >= 0 && !on[n] {
			n = e.Rig.Nodes[n].Parent
		}
		if n < 0 {
			out = append(out, s)
		}
	}
	return out
}

// IsBody tells a surface of the body; see Body.
func (e *Exam) IsBody(surface int) bool { return e.findParts().isBody[surface] }

// StiffOn answers the one node that a surface follows as a whole: the joint that has
// all its weight; without a skin the nearest joint at or above its own node, else
// that node. None where several joints move it, or it is not shown.
func (e *Exam) StiffOn(surface int) rig.Node { return e.findParts().on[surface] }

// BodyBox holds the body at rest, world, metres: its shape, whatever its weights are.
func (e *Exam) BodyBox() geom.Box {
	if e.bodyBox == nil {
		b := geom.EmptyBox()
		for _, s := range e.Body() {
			b = b.Union(e.ShapeBox(s))
		}
		e.bodyBox = &b
	}
	return *e.bodyBox
}

// Height is how high the body is at rest, metres: the y extent of BodyBox. Every
// share of the height is one of this.
func (e *Exam) Height() float64 { return e.BodyBox().Size()[1] }

// WholeHeight is the same with gear: the y extent of Box.
func (e *Exam) WholeHeight() float64 { return e.Box().Size()[1] }

// How far a skinned stiff surface may reach out of the part it hangs on and belong to
// it, × the part's diagonal, and how much of it must lie within (common practice, no
// source).
const (
	closeFit = 0.1
	mostOfIt = 0.75
)

// hold is what one surface has on one node.
type hold struct {
	node  rig.Node
	count int
	box   geom.Box
}

// claims are what the body's surfaces hold, by node.
type claims struct {
	count []int
	box   []geom.Box
}

func (c *claims) add(h []hold) {
	for i := range h {
		n := h[i].node
		if c.count[n] == 0 {
			c.box[n] = geom.EmptyBox()
		}
		c.count[n] += h[i].count
		c.box[n] = c.box[n].Union(h[i].box)
	}
}

// stiff is one surface that follows one node.
type stiff struct {
	surface int
	on      rig.Node // what it follows
	part    rig.Node // at or above on: what has a role or moves a surface, None
	below   int      // nodes from part down to on
	skinned bool
	own     []hold
	off     float64 // its middle from the part's node, metres
}

func (e *Exam) findParts() *parts {
	if e.parts != nil {
		return e.parts
	}
	r := e.Rig
	p := &parts{isBody: make([]bool, len(r.Surfaces)), on: make([]rig.Node, len(r.Surfaces)), body: []int{}}
	for i := range p.on {
		p.on[i] = rig.None
	}
	e.parts = p
	c := claims{count: make([]int, len(r.Nodes)), box: make([]geom.Box, len(r.Nodes))}
	joint := r.AtOrAbove(r.Joints())
	dominated := newDominated(len(r.Nodes))
	anySkin, skinned := false, geom.EmptyBox()
	var list []stiff
	for _, s := range e.Shown() {
		surface := r.Surfaces[s]
		if surface.Skin < 0 || r.Meshes[surface.Mesh].K == 0 {
			on := surface.Node
			if n := joint[on]; n >= 0 {
				on = n
			}
			list = append(list, stiff{surface: s, on: on, own: []hold{{on, r.Meshes[surface.Mesh].Vertices(), e.ShapeBox(s)}}})
			p.on[s] = on
			continue
		}
		anySkin, skinned = true, skinned.Union(e.ShapeBox(s))
		own := dominated.of(e, s)
		if len(own) == 1 && e.onlyOn(s, own[0].node) {
			list = append(list, stiff{surface: s, on: own[0].node, skinned: true, own: own})
			p.on[s] = own[0].node
			continue
		}
		if e.dangles(own) {
			continue
		}
		p.isBody[s] = true
		c.add(own)
	}
	e.settle(p, &c, list, anySkin, skinned)
	if !anySkin && len(list) > 1 {
		e.settleStanding(p)
	}
	for _, s := range e.Shown() {
		if p.isBody[s] {
			p.body = append(p.body, s)
		} else {
			p.gear = append(p.gear, s)
		}
	}
	if len(p.body) == 0 {
		p.body, p.gear = e.Shown(), nil
		for _, s := range p.body {
			p.isBody[s] = true
		}
	}
	return p
}

// dangles tells that a surface hangs on one arm or leg by joints that are no part of a body:
// a lantern on a chain is gear in a hand as a sword is. What hangs on trunk and head is not,
// hair and skirts are the figure's own.
func (e *Exam) dangles(own []hold) bool {
	roles := e.Roles()
	if len(own) == 0 || !roles.IsFigure() {
		return false
	}
	on := rig.Node(rig.None)
	for i := range own {
		n := own[i].node
		if roles.Of[n].Role != "" || roles.Of[n].Helper {
			return false
		}
		for n >= 0 && roles.Of[n].Role == "" {
			n = e.Rig.Nodes[n].Parent
		}
		if n < 0 || on >= 0 && n != on || !strings.HasPrefix(roles.Of[n].Role, "left") && !strings.HasPrefix(roles.Of[n].Role, "right") {
			return false
		}
		on = n
	}
	return true
}

// settle decides over the stiff surfaces: those that follow a part itself before those
// that hang below it, skinned ones first, then the one nearest to the part's joint.
func (e *Exam) settle(p *parts, c *claims, list []stiff, anySkin bool, skinned geom.Box) {
	roles := e.Roles()
	known := roles.IsFigure() || roles.Kind != anatomy.NoKind
	covers := make([]bool, len(e.Rig.Nodes)) // some skinned surface has its weight here
	for n := range c.count {
		covers[n] = c.count[n] > 0
	}
	for i := range list {
		covers[list[i].on] = covers[list[i].on] || list[i].skinned
	}
	isJoint := e.Rig.Joints()
	world := e.RestWorld()
	for i := range list {
		s := &list[i]
		s.part = rig.None
		for n, below := s.on, 0; n >= 0; n, below = e.Rig.Nodes[n].Parent, below+1 {
			if covers[n] || roles.Of[n].Role != "" || !known && isJoint[n] {
				s.part, s.below = n, below
				o, m := world[n].Origin(), e.ShapeBox(s.surface).Center()
				s.off = math.Hypot(math.Hypot(m[0]-o[0], m[1]-o[1]), m[2]-o[2])
				break
			}
		}
	}
	slices.SortStableFunc(list, func(a, b stiff) int {
		return cmp.Or(cmp.Compare(a.below, b.below), -cmp.Compare(toInt(a.skinned), toInt(b.skinned)), cmp.Compare(a.off, b.off))
	})
	for i := range list {
		s := &list[i]
		body := false
		switch {
		case s.part < 0: // hangs on nothing of the figure
			body = !anySkin && !known || !known && e.ShapeBox(s.surface).Diagonal() > skinned.Diagonal()
		case c.count[s.part] == 0:
			body = true
		case !anySkin && s.below == 0:
			body = true
		case !anySkin:
			body = !known || c.box[s.part].Holds(e.ShapeBox(s.surface).Center())
		default:
			body = e.within(s, c.box[s.part])
		}
		if body {
			p.isBody[s.surface] = true
			s.own[0].node = s.part
			if s.part < 0 {
				continue
			}
			c.add(s.own)
		}
	}
}

// settleStanding leaves one figure that the surface alone tells the only body of a file in
// which no joint tells any. Where it shares a surface with something else, nothing is
// parted here: see Mirror.
func (e *Exam) settleStanding(p *parts) {
	if roles := e.Roles(); roles.IsFigure() || roles.Kind != anatomy.NoKind {
		return
	}
	f := e.standsAlone()
	if f == nil || slices.ContainsFunc(f.Vertices, func(v []rig.Vertex) bool { return v != nil }) {
		return
	}
	for i := range p.isBody {
		p.isBody[i] = slices.Contains(f.Surfaces, i)
	}
}

// standsAlone is the only figure that the surface alone tells among other things; nil.
func (e *Exam) standsAlone() *Figure {
	if t := e.told(); len(t.figures) == 1 {
		return &t.figures[0]
	}
	return nil
}

// within tells that a stiff surface lies inside the part it hangs on: one without a
// skin wholly, one that is bound to it nearly.
func (e *Exam) within(s *stiff, part geom.Box) bool {
	air, share := 0.0, 1.0
	if s.skinned {
		air, share = closeFit*part.Diagonal(), mostOfIt
	}
	for k := range 3 {
		part.Min[k] -= air
		part.Max[k] += air
	}
	inside, rest := 0, e.WholePositions(s.surface)
	for v := 0; v+2 < len(rest); v += 3 {
		if part.Holds([3]float64{float64(rest[v]), float64(rest[v+1]), float64(rest[v+2])}) {
			inside++
		}
	}
	return float64(inside) >= share*float64(len(rest)/3)
}

// onlyOn tells that a surface has no weight on any other node.
func (e *Exam) onlyOn(surface int, node rig.Node) bool {
	s := e.Rig.Surfaces[surface]
	m, joints := &e.Rig.Meshes[s.Mesh], e.Rig.Skins[s.Skin].Joints
	for i, w := range m.Weights {
		if w > stray && (int(m.Joints[i]) >= len(joints) || joints[m.Joints[i]] != node) {
			return false
		}
	}
	return true
}

// stray is a weight too small to bend anything.
const stray = 0.01

// dominated gathers by node the vertices that it holds most of. The room is kept from
// surface to surface.
type dominated struct {
	count []int32
	box   []geom.Box
}

func newDominated(nodes int) *dominated {
	return &dominated{count: make([]int32, nodes), box: make([]geom.Box, nodes)}
}

func (d *dominated) of(e *Exam, surface int) (out []hold) {
	s := e.Rig.Surfaces[surface]
	m, joints, rest := &e.Rig.Meshes[s.Mesh], e.Rig.Skins[s.Skin].Joints, e.WholePositions(surface)
	var touched []rig.Node
	for v := range m.Vertices() {
		best, most := rig.Node(rig.None), float32(0)
		for i := v * m.K; i < v*m.K+m.K; i++ {
			if w := m.Weights[i]; w > most && int(m.Joints[i]) < len(joints) {
				best, most = joints[m.Joints[i]], w
			}
		}
		if best < 0 {
			continue
		}
		if d.count[best] == 0 {
			touched = append(touched, best)
			d.box[best] = geom.EmptyBox()
		}
		d.count[best]++
		at := space.At(rest, v)
		if sum := at[0] + at[1] + at[2]; sum-sum == 0 {
			d.box[best].Add(at)
		}
	}
	for _, n := range touched {
		out = append(out, hold{n, int(d.count[n]), d.box[n]})
		d.count[n] = 0
	}
	return out
}

func toInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
