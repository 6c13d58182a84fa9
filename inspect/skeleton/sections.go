package skeleton

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Section is the outline of the surface around a joint, cut across its bone.
type Section struct {
	Joint   rig.Node    `json:"joint"`
	Surface int         `json:"surface"`   // place in Rig.Surfaces
	Node    rig.Node    `json:"node"`      // of that surface
	Centre  space.Vec   `json:"centre"`    // of the area within, metres, world, rest pose
	Radius  float64     `json:"radius_m"`  // of the circle of equal area, metres
	Place   space.Vec   `json:"place"`     // of the joint
	Judged  space.Vec   `json:"judged_at"` // where the joint stands for Offset: of trunk and head, Centre moved sideways alone
	Normal  space.Vec   `json:"normal"`    // of the plane that was cut, unit
	Outline []space.Vec `json:"-"`         // closed, the first point not repeated
	Inside  bool        `json:"inside"`    // the joint stands within; else the outline is the nearest there is
	Offset  float64     `json:"offset"`    // Inside: of the joint from Centre, ÷ Radius; of trunk and head across the body alone
	Winding float64     `json:"winding"`   // how often the surface goes round the joint; 1 taken for granted when Inside
	Away    float64     `json:"away_m"`    // not Inside: metres from the joint to the outline
}

// slice is one surface made ready to be cut.
type slice struct {
	surface   int
	points    []float32
	triangles []uint32
	slicer    *geom.Slicer
	rays      *geom.Rays // nil: not needed yet
	holder    map[rig.Node]bool
}

// mostCuts surfaces are cut for joints of other skins as well, some 10 s of work; beyond
// them a joint is looked for in the surfaces of its own skin alone. Figures of 100 joints
// and 60 surfaces take a third of it.
const mostCuts = 20_000

// mostTested triangles are held against planes, some 10 s of work: a figure of 255 joints
// and a million triangles takes a twentieth of it. Where joints in their thousands are
// strung through each other's triangles, no limb has a section, and none is looked at.
const mostTested = 50_000_000

// insideOf: a joint with a smaller winding number than this is outside. Closed shells
// give 0 or 1; an open sleeve something between (half is the boundary by definition).
const insideOf = 0.5

// measureSections cuts the skinned surfaces across the bones of all joints that have
// one bone coming and one going, and that a surface follows.
func (f *Facts) measureSections(ctx context.Context) error {
	var joints []*Joint
	for i := range f.Joints {
		if f.sectioned(&f.Joints[i]) {
			joints = append(joints, &f.Joints[i])
		}
	}
	slices := f.slices(len(joints))
	if len(slices) == 0 {
		f.NoRoom = "no skinned surface with triangles is shown"
		return nil
	}
	if len(joints) == 0 {
		f.NoRoom = "no joint with one bone above and one below carries a surface"
		return nil
	}
	for i, j := range joints {
		if err := f.e.Tick(ctx, i, len(joints)); err != nil {
			return err
		}
		if f.NoRoom = tooMany(slices, i, len(joints)); f.NoRoom != "" {
			f.Sections = nil
			for _, j := range joints {
				j.OffCentre, j.Radius, j.Outside = nil, nil, false
			}
			return nil
		}
		if s, ok := f.section(j, slices); ok {
			f.Sections = append(f.Sections, s)
			if s.Inside {
				j.OffCentre, j.Radius = number(s.Offset), number(s.Radius)
			}
			j.Outside = !s.Inside
		}
	}
	return nil
}

// tooMany says why no more joints are looked at, after the first so many; "": go on.
func tooMany(slices []slice, done, joints int) string {
	tested := 0
	for k := range slices {
		tested += slices[k].slicer.Tested
	}
	if tested <= mostTested {
		return ""
	}
	return fmt.Sprintf("too large: the planes across the first %s of %s come near %s million triangles", say.Whole(done), say.Count(joints, "joint", "joints"), say.Whole(tested/1_000_000))
}

// sectioned: ends have no bone to cut across, and where several chains part (hips,
// shoulders) the section is that of the trunk. A leaf beside the main bone, such as a
// twist joint, parts nothing.
func (f *Facts) sectioned(j *Joint) bool {
	if !(j.Influence > 0) || !j.Placed || f.roles.Of[j.Node].Helper {
		return false
	}
	if _, ok := f.bone(j); !ok {
		return false
	}
	if role := f.role(j.Node); strings.HasSuffix(role, "UpperArm") || strings.HasSuffix(role, "UpperLeg") || strings.HasSuffix(role, "Shoulder") {
		return false // cut here, the section is the trunk's
	}
	up := f.jointParent(j.Node)
	if up < 0 {
		return len(f.Roots) == 1
	}
	p := f.at(up)
	return (p.Towards == j.Node || p.mainChild == j.Node) && p.branches == 1
}

func (f *Facts) slices(cuts int) (out []slice) {
	g := f.e.Rig
	holders := map[rig.Skin]map[rig.Node]bool{} // the joints of a skin, shared by its surfaces
	for _, s := range f.e.Shown() {
		if g.Surfaces[s].Skin < 0 || len(g.Meshes[g.Surfaces[s].Mesh].Triangles) == 0 {
			continue
		}
		m := &g.Meshes[g.Surfaces[s].Mesh]
		weld := f.e.Weld(g.Surfaces[s].Mesh)
		t := make([]uint32, len(m.Triangles))
		for i, v := range m.Triangles {
			t[i] = weld.First[weld.Of[v]]
		}
		skin := g.Surfaces[s].Skin
		if holders[skin] == nil {
			holders[skin] = map[rig.Node]bool{}
			for _, j := range g.Skins[skin].Joints {
				holders[skin][j] = true
			}
		}
		p := f.e.WholePositions(s)
		out = append(out, slice{surface: s, points: p, triangles: t, holder: holders[skin], slicer: geom.NewSlicer(p, t, cuts)})
	}
	return out
}

// across answers the plane through a joint that halves the angle between its bones.
func (f *Facts) across(j *Joint) (geom.Plane, bool) {
	out, ok := f.bone(j)
	if !ok {
		return geom.Plane{}, false
	}
	n := out
	if up := f.at(f.jointParent(j.Node)); up != nil && up.Placed {
		if in := space.Direction(j.Position.Sub(up.Position)); in.Dot(out) > -0.9 {
			n = space.Direction(in.Add(out))
		}
	}
	if n.Len() == 0 {
		return geom.Plane{}, false
	}
	return geom.Plane{Normal: n, Offset: n.Dot(j.Position)}, true
}

// section finds the smallest closed loop around the joint. Without one, the joint is
// outside when the surfaces do not go round it in space either.
func (f *Facts) section(j *Joint, slices []slice) (Section, bool) {
	plane, ok := f.across(j)
	if !ok {
		return Section{}, false
	}
	best := Section{Joint: j.Node, Place: j.Position, Normal: plane.Normal, Radius: math.Inf(1), Winding: 1}
	nearest, away := Section{}, math.Inf(1)
	found, open := false, false
	// Loops around the joint lie in surfaces whose box holds it: those come first. The
	// others only tell how far the nearest loop is, and none is nearer than its box.
	for _, n := range f.nearestFirst(slices, j.Position) {
		i := n.slice
		if f.cuts >= mostCuts && !slices[i].holder[j.Node] {
			continue
		}
		if n.far > 0 && (found || n.far >= away) {
			break
		}
		f.cuts++
		for _, l := range slices[i].slicer.Cut(plane) {
			around := l.Around(j.Position, plane.Normal)
			if !l.Closed {
				open = open || around
				continue
			}
			c, area := l.Middle(plane.Normal)
			r := math.Sqrt(area / math.Pi)
			if !space.Finite(c) || !(r > 0) || math.IsInf(r, 0) {
				continue
			}
			if around && r < best.Radius && !f.holdsPartner(j, &l, plane, r) {
				found = true
				best.Surface, best.Centre, best.Radius, best.Outline = slices[i].surface, c, r, l.Points
			}
			// Only what the joint could hold tells how far outside of it the joint is: beside a
			// chain of links, each a piece by itself, the nearest outline is somebody's leg.
			if d := toOutline(j.Position, l.Points); !around && d < away && slices[i].holder[j.Node] {
				away = d
				nearest = Section{Joint: j.Node, Place: j.Position, Judged: j.Position, Normal: plane.Normal, Surface: slices[i].surface, Centre: c, Radius: r, Outline: l.Points, Away: d}
			}
		}
	}
	if found {
		best.Inside = true
		if !f.isTrunk(j) && best.Radius > f.longerBone(j) {
			return Section{}, false // wider than its bones are long: no limb's
		}
		best.Judged = f.judged(j, &best)
		best.Offset = best.Judged.Sub(best.Centre).Len() / best.Radius
		return best, true
	}
	if open || math.IsInf(away, 1) || !f.isTrunk(j) && away > f.longerBone(j) {
		return Section{}, false // the surface is open here: nothing tells in from out
	}
	nearest.Winding = f.winding(slices, j.Position)
	if nearest.Winding = math.Abs(nearest.Winding); !(nearest.Winding < insideOf) {
		return Section{}, false
	}
	return nearest, true
}

// nearSlice is a surface and how far its box is from a joint, metres.
type nearSlice struct {
	slice int
	far   float64
}

// nearestFirst sorts the surfaces by how far their boxes are from a place; those that
// are equally far stay in their order.
func (f *Facts) nearestFirst(list []slice, p space.Vec) []nearSlice {
	f.near = f.near[:0]
	for i := range list {
		box, square := f.e.ShapeBox(list[i].surface), 0.0
		slack := 1e-6 * box.Diagonal() // positions are float32
		for c := range 3 {
			off := max(box.Min[c]-p[c], p[c]-box.Max[c]) - slack
			if off > 0 {
				square += off * off
			}
		}
		f.near = append(f.near, nearSlice{i, math.Sqrt(square)})
	}
	slices.SortStableFunc(f.near, func(a, b nearSlice) int { return cmp.Compare(a.far, b.far) })
	return f.near
}

// mostAngles solid angles are added up, some 4 s of work; beyond them, rays are
// counted, which is the same for closed shells.
const mostAngles = 50_000_000

// holdsPartner tells a loop that goes round both partners at once, such as a coat's
// around the knees: it is no section of either limb.
func (f *Facts) holdsPartner(j *Joint, l *geom.Section, plane geom.Plane, radius float64) bool {
	if j.Partner == nil {
		return false
	}
	p := f.at(*j.Partner)
	if p == nil || !p.Placed || math.Abs(plane.Normal[0]*p.Position[0]+plane.Normal[1]*p.Position[1]+plane.Normal[2]*p.Position[2]-plane.Offset) > radius {
		return false
	}
	return l.Around(p.Position, plane.Normal)
}

// winding is how often all surfaces together go round a place.
func (f *Facts) winding(slices []slice, p space.Vec) (sum float64) {
	for i := range slices {
		s := &slices[i]
		box := f.e.ShapeBox(s.surface)
		if p[0] < box.Min[0] || p[1] < box.Min[1] || p[2] < box.Min[2] || p[0] > box.Max[0] || p[1] > box.Max[1] || p[2] > box.Max[2] {
			continue
		}
		if f.angles += len(s.triangles) / 3; f.angles <= mostAngles {
			sum += geom.Winding(s.points, s.triangles, p)
			continue
		}
		if s.rays == nil {
			r := geom.NewRays(s.points, s.triangles)
			s.rays = &r
		}
		work := 100_000
		s.rays.Cross(p, &work, func(_ uint32, way int) { sum += float64(way) })
	}
	return sum
}

// judged is where the joint stands for the distance from the centre. Spine, neck and
// head of a person lie far behind the middle of the body (H-Anim's default figure has
// the spine 0.08 m behind); there only what is off sideways counts.
func (f *Facts) judged(j *Joint, s *Section) space.Vec {
	if !f.isTrunk(j) || !f.middle.known {
		return s.Place
	}
	left := f.middle.left
	return space.Vec(s.Centre).Add(left.Mul(s.Place.Sub(s.Centre).Dot(left)))
}

// isTrunk tells the joints of spine, neck and head.
func (f *Facts) isTrunk(j *Joint) bool {
	switch f.role(j.Node) {
	case "hips", "spine", "chest", "upperChest", "neck", "head":
		return true
	}
	return false
}

// longerBone is the length of the bone above or below, the longer one, metres.
func (f *Facts) longerBone(j *Joint) (length float64) {
	if j.Length != nil {
		length = *j.Length
	}
	if up := f.at(f.jointParent(j.Node)); up != nil {
		length = max(length, up.Position.Sub(j.Position).Len())
	}
	return length
}

// toOutline is how far a place lies from a closed line.
func toOutline(p space.Vec, line []space.Vec) float64 {
	best := math.Inf(1)
	for i, a := range line {
		best = min(best, space.ToSegment(p, a, line[(i+1)%len(line)]))
	}
	return best
}
