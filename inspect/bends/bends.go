// Package bends is the station that turns every joint to the ends of its range, one at
// a time, and looks at what that does to the surface: whether limbs keep their volume
// and their width, how far triangles are drawn out, which turn over, which seams open,
// and what is drawn along that should stay.
//
// Each method is measured from its own rest pose: dual quaternions make weights whole, so
// on files whose weights are not, the two stand in different places at rest.
package bends

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// Station is the bends' row of the catalogue.
var Station = check.NewStation("bends", "Bends", Measure, told(
	collapse, twistPinch, stretch, turnedOver, crack, tearAlong,
))

// told makes checks tell of joints that were left out.
func told(list ...check.Check[Facts]) []check.Check[Facts] {
	for i := range list {
		judge := list[i].Judge
		list[i].Judge = func(f *Facts, d *check.Docket) {
			judge(f, d)
			if n := len(f.LeftOut); n > 0 {
				why := "parts of the surface hang on joints far apart in the tree: "
				if f.Bent >= mostBent {
					why = "more joints than are bent: "
				}
				d.Unfinished(why + say.Count(n, "joint", "joints") + " of " + fmt.Sprint(f.Bent+n) + " not bent, for the time it would take")
			}
		}
	}
	return list
}

// Facts are what the station measured. Lengths are metres, world, rest pose.
type Facts struct {
	Moves  []Move  `json:"moves"`  // the worst first
	Turns  []Turn  `json:"turns"`  // the ranges that the moves are the ends of, joint by joint
	Twists []Twist `json:"twists"` // a half turn along each bone

	// Joints that were not bent: too much of the surface hangs on joints far apart.
	LeftOut []rig.Node `json:"left_out,omitempty"`

	Joints   []Joint `json:"joints"`                 // that were bent, or have a bone; by node
	Alike    []Alike `json:"same_place" wire:"null"` // joints one below the other that do the same to the same places
	Bent     int     `json:"bent"`                   // joints
	Diagonal float64 `json:"diagonal_m"`
	WhyNot   string  `json:"why_not"` // why nothing was bent; ""

	Sites `json:"-"`

	turnsOf map[rig.Node][]int   // joint → places in Turns; nil until asked
	joint   map[rig.Node]int     // → place in Joints; nil until asked
	alike   map[doing][]rig.Node // both ways round; nil until asked
}

// Sites are what moves are worked out on again, for lenses and for the places of findings.
// No check compares or counts them, so that facts without them are judged alike, but for
// their places.
type Sites struct {
	e     *exam.Exam // what they are worked out of; nil: of saved facts no place is known
	body  *body      // nil: not yet, or given back; see whole
	bones *skeleton
}

// whole is the body, worked out again where it was given back; nil of saved facts.
func (f *Facts) whole() *body {
	if f.body == nil && f.e != nil {
		f.body = newBody(f.e)
		f.bones = newSkeleton(f.body)
	}
	return f.body
}

// Rest gives the body back, which takes four times as much memory as the surface itself, and
// works it out again of e, nil: of what it came of, when it is asked for.
func (f *Facts) Rest(e *exam.Exam) {
	f.body, f.bones = nil, nil
	if e != nil && f.e != nil {
		f.e = e
	}
}

// Joint is a joint as findings tell of it.
type Joint struct {
	Node    rig.Node `json:"node"`
	Name    rig.Name `json:"name"`
	Partner rig.Node `json:"partner"` // on the other side, −1: none
	Depth   int32    `json:"depth"`   // nodes above it
	Trunk   bool     `json:"trunk"`   // its role is of trunk, head or shoulders, which nobody twists by half a turn
}

// of is what is known of a joint.
func (f *Facts) of(n rig.Node) *Joint {
	if f.joint == nil {
		f.joint = make(map[rig.Node]int, len(f.Joints))
		for i := range f.Joints {
			f.joint[f.Joints[i].Node] = i
		}
	}
	if i, ok := f.joint[n]; ok {
		return &f.Joints[i]
	}
	return &Joint{Node: n, Partner: rig.None}
}

// called is a joint in words.
func (f *Facts) called(n rig.Node) string { return exam.Called(string(f.of(n).Name), n) }

// Turn is one range of the bend set.
type Turn struct {
	Joint  rig.Node   `json:"joint"`
	Axis   string     `json:"axis"`
	Dir    [3]float64 `json:"direction"` // unit, world, rest pose; right-hand rule
	Min    float64    `json:"min"`       // degrees from rest
	Max    float64    `json:"max"`
	Source string     `json:"source"`
}

// Measure turns every joint to both ends of each of its ranges. Of each joint only the
// vertices are worked out that hang on it and on others too: time grows with those.
func Measure(ctx context.Context, e *exam.Exam) (*Facts, error) {
	return measure(ctx, e, mostWork, mostBent)
}

// measure stops bending further joints once most places and triangles were handled, or so many
// joints bent.
func measure(ctx context.Context, e *exam.Exam, most, joints int) (*Facts, error) {
	f := &Facts{Moves: []Move{}, Turns: []Turn{}, Twists: []Twist{}, Joints: []Joint{}, Diagonal: e.Diagonal()}
	if f.WhyNot = needs(e); f.WhyNot != "" {
		return f, nil
	}
	f.e = e
	b := f.whole()
	turns := e.Roles().BendSet(e.Rig, b.world, f.bones.joints)
	total := 0
	for i := range turns {
		t := &turns[i]
		f.Turns = append(f.Turns, Turn{t.Joint, t.Axis, t.Dir, t.Min, t.Max, t.Source})
		total += len(t.Ends())
	}
	w := &work{f: f, total: total, twist: map[rig.Node]*Twist{}, sweep: b.newSweep()}
	// How far a joint of an animal turns, or a joint without a role, nothing says.
	w.known = e.Roles().Kind != anatomy.NoKind || slices.ContainsFunc(turns, func(t anatomy.Turn) bool { return anatomical(t.Axis) })
	var groups [][]anatomy.Turn // by joint
	for i := 0; i < len(turns); {
		next := i
		for next < len(turns) && turns[next].Joint == turns[i].Joint {
			next++
		}
		groups = append(groups, turns[i:next])
		i = next
	}
	upwards := make([]int, len(groups)) // the sweep's way
	for i := range upwards {
		upwards[i] = i
	}
	slices.SortFunc(upwards, func(i, k int) int {
		return cmp.Compare(b.enter[groups[k][0].Joint], b.enter[groups[i][0].Joint])
	})
	moves := make([][]Move, len(groups))
	for _, i := range upwards {
		if w.sweep.work > most || f.Bent >= joints {
			f.LeftOut = append(f.LeftOut, groups[i][0].Joint)
			continue
		}
		var err error
		if moves[i], err = w.joint(ctx, groups[i]); err != nil {
			return nil, err
		}
		f.Bent++
	}
	slices.Sort(f.LeftOut)
	f.Moves = make([]Move, 0, sum(moves))
	for i, list := range moves {
		f.Moves = append(f.Moves, list...)
		moves[i] = nil // of a tree of thousands the two lists are the most that is held
	}
	for _, j := range f.bones.joints {
		if t := w.twist[j]; t != nil {
			f.Twists = append(f.Twists, *t)
		}
	}
	sortMoves(f.Moves)
	f.listJoints(e)
	f.findAlike()
	return f, nil
}

// listJoints fills in Joints.
func (f *Facts) listJoints(e *exam.Exam) {
	depth := f.body.depths()
	has := map[rig.Node]bool{}
	for i := range f.Moves {
		has[f.Moves[i].Joint] = true
	}
	for i := range f.Twists {
		has[f.Twists[i].Joint] = true
	}
	for _, n := range slices.Sorted(maps.Keys(has)) {
		part := &e.Roles().Of[n]
		isTrunk := slices.Contains(trunk, strings.TrimPrefix(strings.TrimPrefix(part.Role, "left"), "right"))
		f.Joints = append(f.Joints, Joint{n, rig.Name(e.Rig.Nodes[n].Name), part.Partner, depth[n], isTrunk})
	}
}

// anatomical tells a range of motion of the body from the fallback.
func anatomical(axis string) bool {
	return axis == "flexion" || axis == "abduction" || axis == "rotation"
}

// needs is why nothing can be bent, or "".
func needs(e *exam.Exam) string {
	if len(e.Rig.Skins) == 0 {
		return "no skin in this file"
	}
	for _, s := range e.Shown() {
		if u := e.Rig.Surfaces[s]; u.Skin >= 0 && e.Rig.Meshes[u.Mesh].K > 0 && len(e.Rig.Skins[u.Skin].Joints) > 0 {
			return ""
		}
	}
	return "no surface uses a skin"
}

func needsBends(f *Facts) string { return f.WhyNot }

// mostWork is how many places and triangles may be handled over all joints and moves. A
// figure of a million vertices and 60 joints takes three tenths of it. Only a surface whose
// parts hang on joints all over a long tree takes more; what is left out is told.
const mostWork = 100e6

// mostBent is how many joints are bent. Figures have some hundreds, scenes of them thousands;
// each takes four kilobytes of answers.
const mostBent = 10_000

func sum(lists [][]Move) (n int) {
	for _, l := range lists {
		n += len(l)
	}
	return n
}

// work goes from joint to joint.
type work struct {
	f           *Facts
	zone        *zone
	sweep       *sweep
	done, total int
	known       bool                // some joints have anatomical ranges, or the kind has none
	twist       map[rig.Node]*Twist // by the joint whose bone it is
}

// farther is the share of the diagonal that a vertex beyond the limb may move by
// before it counts as drawn along (common practice, no source).
const farther = 0.01

// joint measures all moves of one joint.
func (w *work) joint(ctx context.Context, turns []anatomy.Turn) (moves []Move, err error) {
	f, b := w.f, w.f.body
	j := turns[0].Joint
	z := b.zoneOf(j, w.sweep.to(b.enter[j]), w.sweep, w.zone)
	w.zone = z
	size := len(z.outline.places) + len(z.tri)
	most := 0.0
	for i := range turns {
		most = max(most, turns[i].Max, -turns[i].Min)
	}
	limit := farther * f.Diagonal
	bleed := z.findBleed(f.bones, f.bones.reach(j), most, limit)
	z.findRings(f.bones)
	at, worst := z.group(), 0.0
	_, boned := f.bones.bone(j)
	for i := range turns {
		for _, degrees := range turns[i].Ends() {
			if err := b.e.Tick(ctx, w.done, w.total); err != nil {
				return nil, err
			}
			w.sweep.work += size
			w.done++
			m := Move{Joint: j, Axis: turns[i].Axis, Degrees: degrees, turn: turns[i], zoneAt: at}
			m.Guessed = (w.known || !boned) && !anatomical(m.Axis)
			z.measure(&m, f.bones, bleed, limit)
			// The positions are those half way still.
			if x := or(m.P99Half, 0); !m.Guessed && x > 1 && x >= worst {
				worst, m.drawnAt = x, z.drawnOut(x)
			}
			m.Severity, m.uncapped = f.severity(&m)
			moves = append(moves, m)
		}
	}
	w.halfTurns(z)
	return moves, nil
}

// measure fills in one move.
func (z *zone) measure(m *Move, bones *skeleton, bleed []drawn, limit float64) {
	m.Triangles = z.outline.regioned[deform.Linear]
	t := z.turn(m.turn.Dir, m.Degrees)
	z.carry(t, deform.Linear)
	s := z.strained(t)
	if m.Triangles > 0 {
		m.P99, m.Max = ratio(s.P99), ratio(s.Max)
		m.Turned = ratio(s.turnedShare())
		m.turnedAt = z.outsideWedge(s.turned, t, bones)
		m.TurnedEnd = len(m.turnedAt)
		m.TurnedOpen = ratio(float64(m.TurnedEnd) / float64(m.Triangles))
		if s.worst >= 0 {
			m.MaxAt = z.b.spot(z.tri[s.worst])
		}
	}
	if len(z.tri) > 0 {
		m.Volume = ratio(z.volumeRatio())
		m.Radius, m.Area = z.width(t)
	}
	m.Crack, m.crackAt = z.gap(t)
	for _, d := range bleed {
		if far := t.point(d.turn).Sub(d.turn).Len(); far > limit {
			m.bleedAt = append(m.bleedAt, d.v)
			m.Drawn = max(m.Drawn, far)
		}
	}
	m.Bleed = len(m.bleedAt)
	z.carry(t, deform.Dual)
	s = z.strained(t)
	if s.Triangles > 0 {
		m.P99Dual, m.MaxDual, m.TurnedDual = ratio(s.P99), ratio(s.Max), ratio(s.turnedShare())
	}
	if len(z.tri) > 0 {
		m.VolumeDual = ratio(z.volumeRatio())
		m.RadiusDual, _ = z.width(t)
	}
	if m.Triangles > 0 {
		half := z.turn(m.turn.Dir, m.Degrees/2)
		z.carry(half, deform.Linear)
		s = z.strained(half)
		// The wedge of the end: what folds there on the way is not the fault of the weights.
		m.P99Half, m.halfAt = ratio(s.P99), z.outsideWedge(s.turned, t, bones)
		m.TurnedHalf = len(m.halfAt)
	}
}

// outsideWedge keeps the triangles that do not reach into the wedge which the bend closes:
// between the limb as it was and as it is, on the inside, there is no room for the
// surface, however it is bound. A bent pipe of the same shape loses just that part to
// its mitre. In a turn about the bone nothing closes.
func (z *zone) outsideWedge(turned []uint32, t *turning, bones *skeleton) (out []uint32) {
	bone, ok := bones.bone(z.joint)
	if !ok {
		return turned
	}
	d := bone.Sub(t.axis.Mul(bone.Dot(t.axis)))
	if d.Len() < 0.2*bone.Len() { // about the bone
		return turned
	}
	d = d.Normalize()
	inward := t.axis.Cross(d)
	if t.degrees < 0 {
		inward = inward.Mul(-1)
	}
	slope := math.Abs(t.half[0] / t.half[1])
	for _, tri := range turned {
		inside := false
		for _, v := range z.b.tri[3*tri : 3*tri+3] {
			p := z.b.at(v).Sub(z.at)
			inside = inside || math.Abs(p.Dot(d)) < p.Dot(inward)*slope
		}
		if !inside {
			out = append(out, tri)
		}
	}
	return out
}

// width is the smallest share of radius and of area that a section keeps; nil: there
// is no section.
func (z *zone) width(t *turning) (radius, area *float64) {
	if len(z.rings) == 0 {
		return nil, nil
	}
	r, a := math.Inf(1), math.Inf(1)
	for i := range z.rings {
		if n, m := z.narrowest(&z.rings[i], t); n == n {
			r, a = min(r, n), min(a, m)
		}
	}
	return ratio(r), ratio(a)
}

// findRings cuts the sections that the moves are measured on: at the joint, across its
// own bone, across the bone it hangs on or half way between, whichever is smallest;
// and in the middle of its bone.
func (z *zone) findRings(bones *skeleton) {
	own, ok := bones.bone(z.joint)
	if !ok {
		return
	}
	own = own.Normalize()
	normals := []mgl64.Vec3{own}
	if p := bones.above[z.joint]; p >= 0 {
		if d := z.at.Sub(z.b.world[p].Origin()); d.Len() > 1e-9 {
			d = d.Normalize()
			if d.Dot(own) > -0.5 {
				normals = append(normals, d.Add(own), d)
			}
		}
	}
	var best ring
	found := false
	for _, n := range normals {
		if r, ok := z.section(z.at, n); ok && (!found || r.area < best.area*(1-1e-9)) {
			best, found = r, true
		}
	}
	if found {
		z.rings = append(z.rings, best)
	}
	if e := bones.end[z.joint]; e >= 0 {
		to := z.b.world[e].Origin()
		if r, ok := z.section(z.at.Add(to).Mul(0.5), to.Sub(z.at)); ok {
			z.rings = append(z.rings, r)
		}
	}
}

// findSeams lists the seams that the joint can open: one that follows it as one piece
// stays as it is.
func (z *zone) findSeams() {
	b := z.b
	if len(b.seams) == 0 {
		return
	}
	var list []uint64 // in the order of what moves, as everywhere
	of := map[uint64]uint32{}
	for _, p := range z.outline.places {
		first := ^uint64(0)
		s := int32(0)
		for _, v := range b.vertices[b.verticesStart[p]:b.verticesStart[p+1]] {
			if k := b.seamOf[v]; k > 0 && z.moved(v) {
				s, first = k, min(first, b.order(v, z.outline.lo, z.outline.hi))
			}
		}
		if s > 0 {
			list = append(list, first)
			of[first] = uint32(s - 1)
		}
	}
	slices.Sort(list)
	for _, first := range list {
		z.seams = append(z.seams, of[first])
	}
}

// gap is how far vertices of one place lie apart, the widest, and which two.
func (z *zone) gap(t *turning) (metres float64, at []uint32) {
	for _, s := range z.seams {
		list := z.b.seams[s]
		for i, v := range list {
			p := z.place(v, t)
			for _, w := range list[:i] {
				if d := p.Sub(z.place(w, t)).Len(); d > metres && !math.IsInf(d, 0) {
					metres, at = d, []uint32{w, v}
				}
			}
		}
	}
	return metres, at
}

// mainChildren answers for every joint the one at which its bone ends; itself at an
// end, None for nodes that are no joints.
func mainChildren(b *body, joints []rig.Node) []rig.Node {
	return anatomy.MainChildren(b.r, b.world, joints)
}

// spot names a triangle in the file's numbers.
func (b *body) spot(t uint32) *Spot {
	v := b.tri[3*t]
	s, _ := b.surface(v)
	u := b.r.Surfaces[s]
	out := &Spot{Node: u.Node, Mesh: u.Mesh, surface: s}
	for k := range 3 {
		_, w := b.surface(b.tri[3*t+uint32(k)])
		out.vertices[k] = w
		for i := range b.r.Meshes[u.Mesh].Primitives {
			if p := &b.r.Meshes[u.Mesh].Primitives[i]; int(w) >= p.First && int(w) < p.First+p.Count {
				out.Primitive, out.Vertices[k] = i, int(w)-p.First
			}
		}
	}
	return out
}

// spots names vertices of the body by surface, in rising order, each once.
func (b *body) spots(vertices []uint32) *group {
	list := sorted(vertices)
	g := &group{count: len(list)}
	places := make([]float32, 0, 3*len(list))
	for _, v := range list {
		s, w := b.surface(v)
		if n := len(g.spots); n == 0 || g.spots[n-1].Surface != s {
			g.spots = append(g.spots, check.Spot{Surface: s})
		}
		last := &g.spots[len(g.spots)-1]
		last.Vertices = append(last.Vertices, w)
		places = append(places, float32(b.rest[3*v]), float32(b.rest[3*v+1]), float32(b.rest[3*v+2]))
	}
	g.point, g.extent, _ = geom.Ball(places)
	return g
}

// group is the zone's vertices that hang on what moves and on what does not.
func (z *zone) group() *group {
	if z.mixed == 0 {
		return z.b.spots(z.vertices)
	}
	return z.b.spots(z.vertices[:z.mixed])
}

// trunk are the roles that no half turn is asked of.
var trunk = []string{"hips", "spine", "chest", "upperChest", "neck", "head", "Shoulder"}
