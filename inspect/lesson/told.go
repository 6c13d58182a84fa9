package lesson

import (
	"math"
	"strconv"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/bends"
	"rigloupe/inspect/binding"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
	"rigloupe/inspect/surface"
)

// Told is a lesson on one figure, with its dial somewhere.
type Told struct {
	ID      string   `json:"id"`
	WhyNot  string   `json:"why_not"` // what the figure lacks for it; "": nothing
	Dial    *Setting `json:"dial"`    // null: WhyNot says why
	Joint   rig.Node `json:"joint"`   // that the dial turns, or the first of the chain; −1: none
	Name    rig.Name `json:"joint_name"`
	Surface int      `json:"surface"` // of the vertex; −1: none is followed
	Vertex  int      `json:"vertex"`  // in its mesh
	Formula string   `json:"formula"` // the sum of the vertex; "": not asked for
	Numbers []Number `json:"numbers"`
}

// Setting is the dial on this figure.
type Setting struct {
	Kind string  `json:"kind" wire:"'turn' | 'time' | 'weld'"`
	Axis string  `json:"axis"`
	Clip int     `json:"clip"` // −1: none
	Min  float64 `json:"min"`
	Max  float64 `json:"max"`
	Step float64 `json:"step"`
	At   float64 `json:"at"`   // degrees, seconds, or which step of the weld curve
	Says string  `json:"says"` // At in words
	Weld float64 `json:"weld_m"`
}

// Number is one measured number.
type Number struct {
	Name  string   `json:"name"`
	Title string   `json:"title"`
	Value *float64 `json:"value"` // null: Says says why
	Unit  say.Unit `json:"unit"`
	Says  string   `json:"says"`
}

// view is a figure with the dial of a lesson somewhere.
type view struct {
	e       *exam.Exam
	surface *surface.Facts
	binding *binding.Facts
	bends   *bends.Facts
	motion  *motion.Facts

	joint   rig.Node
	turn    *bends.Turn
	degrees float64
	pose    *deform.Pose
	chain   []rig.Node
	clip    rig.Clip
	step    int // of the weld curve

	on     int // surface of the vertex, −1
	vertex rig.Vertex
	sum    *deform.Written
	move   *bends.Move // the move at this angle
}

// Tell measures a lesson on an examined figure. at is where the dial stands; nil: where
// the lesson puts it. What lies beyond the dial's ends stands at its end.
func Tell(l *Lesson, res *inspect.Result, at *float64) *Told {
	v := viewOf(res)
	out := &Told{ID: l.ID, Joint: rig.None, Surface: -1, Numbers: []Number{}}
	if v.e != nil {
		v.pose = deform.NewPose(v.e.Rig)
		out.Dial, out.WhyNot = v.set(l, at)
	} else {
		out.WhyNot = "the figure itself is not here, only what was measured"
	}
	if out.Dial == nil {
		return out
	}
	if out.Joint = v.joint; v.joint >= 0 {
		out.Name = rig.Name(v.e.Rig.Nodes[v.joint].Name)
	}
	if l.Vertex != "" && v.find(l.Vertex) {
		out.Surface, out.Vertex = v.on, int(v.vertex)
		v.sum, _ = deform.Sum(v.e.Rig, v.pose, v.on, v.vertex, deform.Linear)
		if l.Formula {
			out.Formula = v.formula()
		}
	}
	for _, name := range l.Numbers {
		out.Numbers = append(out.Numbers, v.number(measureOf(name)))
	}
	return out
}

// viewOf is an examination before any dial is set.
func viewOf(res *inspect.Result) *view {
	return &view{
		e: res.Exam, joint: rig.None, clip: rig.None, on: -1, surface: inspect.FactsOf[surface.Facts](res),
		binding: inspect.FactsOf[binding.Facts](res), bends: inspect.FactsOf[bends.Facts](res), motion: inspect.FactsOf[motion.Facts](res),
	}
}

// set finds what the dial turns, and turns it. nil: why there is none.
func (v *view) set(l *Lesson, at *float64) (*Setting, string) {
	switch {
	case l.Dial.Weld:
		return v.setWeld(l, at)
	case l.Dial.Time:
		return v.setTime(l, at)
	}
	if v.bends == nil || len(v.bends.Turns) == 0 {
		return nil, "no joint of this figure can be bent"
	}
	v.turn = v.turnOf(l.Dial)
	v.joint = v.turn.Joint
	s := &Setting{Kind: "turn", Axis: v.turn.Axis, Clip: rig.None, Min: math.Ceil(v.turn.Min), Max: math.Floor(v.turn.Max), Step: 1}
	v.degrees = s.put(at, l.Dial.At)
	s.Says = say.Quantity(v.degrees, say.Degree)
	rest := v.e.RestWorld()
	m := anatomy.Rotation(rest[v.joint].Origin(), v.turn.Dir, v.degrees)
	v.pose.Turn(v.joint, &m)
	return s, ""
}

// put brings the dial to a wish, within its ends.
func (s *Setting) put(at *float64, first float64) float64 {
	s.At = first
	if at != nil && !math.IsNaN(*at) {
		s.At = *at
	}
	s.At = min(s.Max, max(s.Min, s.At))
	return s.At
}

// turnOf is the turn that a dial means: of the first role that has one, else of the
// joint whose move is the worst.
func (v *view) turnOf(d Dial) *bends.Turn {
	find := func(j rig.Node, axis string) *bends.Turn {
		for i := range v.bends.Turns {
			if t := &v.bends.Turns[i]; t.Joint == j && t.Axis == axis && j >= 0 {
				return t
			}
		}
		return nil
	}
	roles := v.e.Roles()
	for _, role := range d.Of {
		if t := find(roles.Node(role), d.Turn); t != nil {
			return t
		}
	}
	for i := range v.bends.Moves {
		m := &v.bends.Moves[i]
		if t := find(m.Joint, m.Axis); t != nil && m.Triangles > 0 {
			return t
		}
	}
	return &v.bends.Turns[0]
}

// setTime stands the figure at a moment of the clip in which a chain stays still; where
// none does, of the first that moves anything.
func (v *view) setTime(l *Lesson, at *float64) (*Setting, string) {
	if v.motion == nil || len(v.motion.Clips) == 0 {
		return nil, "this file has no clip"
	}
	if len(v.motion.Chains) == 0 {
		return nil, "no chain of this figure stays still while its holder moves"
	}
	c := &v.motion.Chains[0]
	v.chain, v.clip = c.Joints, c.Clips[0]
	v.joint = v.chain[0]
	s := &Setting{Kind: "time", Clip: int(v.clip)}
	for i := range v.motion.Clips {
		if k := &v.motion.Clips[i]; k.Clip == v.clip {
			s.Min, s.Max = k.Start, k.Seconds
		}
	}
	s.Step = max((s.Max-s.Min)/200, 1e-3)
	v.pose.Sample(v.clip, s.put(at, s.Min+l.Dial.At*(s.Max-s.Min)))
	s.Says = say.Quantity(s.At, say.Second)
	return s, ""
}

// setWeld takes a step of the weld curve of all surfaces.
func (v *view) setWeld(l *Lesson, at *float64) (*Setting, string) {
	if v.surface == nil || len(v.surface.Steps) < 2 {
		return nil, "this figure has no surface whose vertices could be welded"
	}
	s := &Setting{Kind: "weld", Clip: rig.None, Max: float64(len(v.surface.Steps) - 1), Step: 1}
	v.step = int(math.Round(s.put(at, l.Dial.At)))
	s.At = float64(v.step)
	s.Weld = v.surface.Steps[v.step].Metres
	s.Says = say.Quantity(s.Weld, say.Metre)
	return s, ""
}

// find chooses the vertex that is followed. shared: of those that the turn moves by half,
// or as near to it as there is, the one nearest to the joint; held: of those that the
// joint alone holds the farthest from it.
func (v *view) find(which string) bool {
	rest := v.e.RestWorld()[v.joint].Origin()
	moves := v.moves()
	best, away := 0.0, math.Inf(1)
	for _, i := range v.e.Shown() {
		s := v.e.Rig.Surfaces[i]
		if s.Skin < 0 {
			continue
		}
		mesh, at, used := &v.e.Rig.Meshes[s.Mesh], v.e.RestPositions(i), v.e.Used(s.Mesh)
		for k := range mesh.Vertices() {
			if mesh.K == 0 || !used[k] {
				continue
			}
			own, moved, all := v.held(i, k, moves)
			d := space.Vec{float64(at[3*k]) - rest[0], float64(at[3*k+1]) - rest[1], float64(at[3*k+2]) - rest[2]}
			worth, far := own, -d.Len()
			if which == "shared" {
				worth, far = min(moved, all-moved), d.Len()
				if v.fromAxis(d) < upright*far { // on the axis nothing moves
					continue
				}
			}
			if worth > 0 && (worth > best+alike || worth > best-alike && far < away) {
				best, away = max(best, worth), far
				v.on, v.vertex = i, rig.Vertex(k)
			}
		}
	}
	return v.on >= 0
}

const (
	alike   = 0.005 // of two weights: what two digits do not tell apart
	upright = 0.8   // share of its distance that a vertex lies from the axis at least
)

// moves tells which nodes the turn carries along.
func (v *view) moves() []bool {
	r := v.e.Rig
	is := make([]bool, len(r.Nodes))
	for _, n := range r.Order {
		p := r.Nodes[n].Parent
		is[n] = n == v.joint || p >= 0 && is[p]
	}
	return is
}

// held is how much of a vertex the joint holds, all that the turn carries, and all.
func (v *view) held(surface, vertex int, moves []bool) (own, moved, all float64) {
	s := v.e.Rig.Surfaces[surface]
	skin, mesh := &v.e.Rig.Skins[s.Skin], &v.e.Rig.Meshes[s.Mesh]
	for x := vertex * mesh.K; x < (vertex+1)*mesh.K; x++ {
		w, j := float64(mesh.Weights[x]), int(mesh.Joints[x])
		if !(w > 0) || j >= len(skin.Joints) || skin.Joints[j] < 0 || int(skin.Joints[j]) >= len(moves) {
			continue
		}
		if all += w; moves[skin.Joints[j]] {
			moved += w
		}
		if skin.Joints[j] == v.joint {
			own += w
		}
	}
	return own, moved, all
}

// fromAxis is how far a place, given from the joint, lies from the axis of the dial.
func (v *view) fromAxis(d space.Vec) float64 {
	a := space.Vec(v.turn.Dir)
	return d.Sub(a.Mul(d.Dot(a))).Len()
}

// formula writes the sum of the vertex out: a term a joint, then which joint is which.
func (v *view) formula() string {
	if v.sum == nil || len(v.sum.Terms) == 0 {
		return ""
	}
	const letters = "₁₂₃₄₅₆₇₈₉"
	var terms, names []string
	for i := range v.sum.Terms {
		t := &v.sum.Terms[i]
		m := "M" + string([]rune(letters)[min(i, 8)])
		if i > 7 {
			terms = append(terms, "…")
			break
		}
		terms = append(terms, strconv.FormatFloat(t.Weight, 'f', 2, 64)+" · "+m+"v")
		names = append(names, m+" "+v.e.NodeName(t.Joint))
	}
	return "v′ = " + strings.Join(terms, " + ") + "\n" + strings.Join(names, " · ")
}

// number measures one, and puts it into words.
func (v *view) number(m *measure) Number {
	n := Number{Name: m.name, Title: m.title, Unit: m.unit}
	value, why := m.of(v)
	if why == "" && (math.IsNaN(value) || math.IsInf(value, 0)) {
		why = "no value"
	}
	if why != "" {
		n.Says = why
		return n
	}
	if whole := math.Round(value); math.Abs(value-whole) < dust { // 0.99999997 of a width is all of it
		value = whole
	}
	n.Value, n.Says = &value, say.Quantity(value, m.unit)
	return n
}

// dust is how far off a whole number is rounding: positions are float32, of which one step at a metre
// is 1.2e-7.
const dust = 1e-6
