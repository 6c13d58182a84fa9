package anatomy

import (
	"fmt"
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Shape is what the surface alone tells of a figure that has no skeleton. What is not
// sure is left out: Kind NoKind, an angle or a direction nil.
type Shape struct {
	Kind      Kind
	Certainty float64     // of Kind, 0…1
	Up        space.Vec   // unit: from the feet to the head
	Height    float64     // metres, along Up
	Lies      float64     // degrees between Up and +Y
	Facing    *space.Vec  // unit, across Up
	Arms      [2]*float64 // degrees of the upper arms below level: on the side that the plane's normal points to, and the other
	Says      string      // in words, with what tells it
}

const (
	sure       = 0.8  // less certain than that is not sure
	lowShare   = 0.1  // of the height: feet are lower
	tipShare   = 0.1  // of the longest side: a limb is longer
	imageShare = 0.1  // of the longest side: a limb's mirror image ends so near to its partner
	midShare   = 0.05 // of the longest side: so near to the plane is the middle
	deepShare  = 0.32 // of the height: nothing of a person reaches so far before or behind trunk and feet
	spanShare  = 0.85 // of the height: arms end nearer to the middle than that; wings do not
	straight   = 0.85 // chord ÷ way of an arm that is not bent by more than about 60°
	shoulderIn = 0.22 // of the height: shoulders are nearer to the middle
	trunkJump  = 2.2  // × section of the limb: there it meets the trunk
	legShare   = 0.3  // of the height: a leg of four is longer
	topMid     = 0.15 // of the height: the top of a head is nearer to the middle
	longLimb   = 0.3  // of the longest side: a limb that counts
	mostRaised = 15   // degrees above level: arms held higher are no rest pose
	forward    = 0.01 // of the height: feet reach farther before the shin than that
)

// FromSurface reads a figure from its closed or open surface: points (3·V) and
// triangles (3·T), world, metres, and its mirror plane. The ends of the limbs are
// found by the longest ways through the body (Solid.Tips), told apart by their mirror
// images and by where they end: a person stands on one pair and holds up another, a
// four-legged figure stands on two, one behind the other. Shares: common practice, no
// source; tried on people of three to eight heads and on a fox.
func FromSurface(points []float32, triangles []uint32, plane geom.Plane, watch *geom.Watch) *Shape {
	nothing := &Shape{Says: "What this is cannot be told from the surface alone."}
	var tried []*shaped
	ways, upright := ups(plane.Normal)
	for i, up := range ways {
		for k, cubes := range shapeCubes {
			if i == 0 {
				tried = append(tried, newShaped(points, triangles, plane, cubes, watch))
			}
			if watch.Err() != nil {
				return nothing
			}
			if tried[k] == nil {
				continue
			}
			if out := tried[k].read(up, upright && i == 0); out != nil && (out.Kind == Person || k == 0) {
				return out
			}
		}
	}
	return nothing
}

// shapeCubes are along the longest side: an arm is three to five wide. Fine cubes part
// what should hang together, a hand that is a shell of its own; coarse ones grow an
// arm and a hip together. So the next are tried where one tells nothing.
var shapeCubes = [3]int{72, 60, 50}

// newShaped puts a shape on the grid and finds its tips; nil: it has no extent, or
// was ended.
func newShaped(points []float32, triangles []uint32, plane geom.Plane, cubes int, watch *geom.Watch) *shaped {
	solid := geom.NewSolid(points, triangles, cubes, watch)
	if solid == nil {
		return nil
	}
	s := &shaped{solid: solid, plane: plane, points: points, triangles: triangles, box: geom.BoxOf(points)}
	size := s.box.Size()
	s.long = max(size[0], size[1], size[2])
	s.root = s.middleCube(geom.SurfaceMoments(points, triangles).Centre)
	if s.root < 0 || watch.Err() != nil {
		return nil
	}
	s.tips = solid.Tips(s.root, tipShare*s.long, 16)
	return s
}

// ups are the directions along the plane that a head may point to: +Y first, then
// those of a figure that lies. Upside down a large head stands on its hair.
func ups(n space.Vec) (list []space.Vec, upright bool) {
	lead := space.Vec{0, 1, 0}
	upright = math.Abs(n[1]) < 0.5
	if !upright { // on its side: the head may point anywhere along the ground
		lead = space.Vec{0, 0, 1}
	}
	a := space.Level(lead, n).Normalize()
	b := n.Cross(a)
	if !upright {
		return []space.Vec{a, a.Mul(-1), b, b.Mul(-1)}, false
	}
	return []space.Vec{a, b, b.Mul(-1)}, true
}

// shaped is one shape at work.
type shaped struct {
	solid *geom.Solid
	plane geom.Plane
	box   geom.Box
	long  float64 // longest side of the box

	points    []float32
	triangles []uint32
	root      int32
	tips      []geom.Tip
}

// end is a tip in the figure's own frame, metres: side from the plane, up from the
// ground, front from the root.
type end struct {
	tip             geom.Tip
	side, up, front float64
}

// frame turns cubes into the figure's own directions.
type frame struct {
	s         *shaped
	up, front space.Vec
	low, high float64
	root      float64 // of the root along front
}

func (f *frame) of(k int32) (side, up, front float64) {
	p := f.s.solid.At(int(k))
	return p.Dot(f.s.plane.Normal) - f.s.plane.Offset, p.Dot(f.up) - f.low, p.Dot(f.front) - f.root
}

// middleCube is the cube of the solid nearest to a place.
func (s *shaped) middleCube(at space.Vec) int32 {
	best, square := int32(-1), math.Inf(1)
	for k, in := range s.solid.In {
		if !in {
			continue
		}
		d := s.solid.At(k).Sub(at)
		if q := d.Dot(d); q < square {
			best, square = int32(k), q
		}
	}
	return best
}

// read looks at the shape with a head that points so; nil: that tells nothing. Only
// who stands upright may go on four legs: lying, a person looks like that.
func (s *shaped) read(up space.Vec, upright bool) *Shape {
	f := &frame{s: s, up: up, front: s.plane.Normal.Cross(up), low: math.Inf(1), high: math.Inf(-1)}
	for _, v := range s.triangles {
		d := space.At(s.points, v).Dot(up)
		f.low, f.high = min(f.low, d), max(f.high, d)
	}
	f.root = s.solid.At(int(s.root)).Dot(f.front)
	height := f.high - f.low
	var ends []end
	for _, t := range s.tips {
		e := end{tip: t}
		e.side, e.up, e.front = f.of(t.Cube)
		ends = append(ends, e)
	}
	pairs := s.pairs(ends)
	var feet, others [][2]end
	for _, p := range pairs {
		if max(p[0].up, p[1].up) < lowShare*height+s.solid.Cell {
			feet = append(feet, p)
		} else {
			others = append(others, p)
		}
	}
	out := &Shape{Up: up, Height: height, Lies: math.Acos(max(-1, min(1, up[1]))) * 180 / math.Pi}
	switch stands := s.stands(feet); {
	case len(stands) == 1 && f.person(ends, feet, others, height):
		f.readPerson(out, feet[0], others, height)
	case len(stands) == 2 && upright && s.legs(feet, height) && math.Abs(stands[0]-stands[1]) > 0.25*s.long:
		f.readFourLegged(out, ends, feet, height)
	}
	if out.Certainty < sure {
		return nil
	}
	return out
}

// pairs are the tips that are each other's mirror images, the longest first.
func (s *shaped) pairs(ends []end) (pairs [][2]end) {
	taken := make([]bool, len(ends))
	for i := range ends {
		if taken[i] || math.Abs(ends[i].side) < midShare*s.long/2 {
			continue
		}
		best, far := -1, imageShare*s.long
		for j := range ends {
			if j == i || taken[j] || ends[j].side*ends[i].side >= 0 {
				continue
			}
			if d := math.Hypot(math.Hypot(ends[i].side+ends[j].side, ends[i].up-ends[j].up), ends[i].front-ends[j].front); d < far {
				best, far = j, d
			}
		}
		if best >= 0 {
			taken[i], taken[best] = true, true
			a, b := ends[i], ends[best]
			if a.side < 0 {
				a, b = b, a
			}
			pairs = append(pairs, [2]end{a, b})
		}
	}
	return pairs
}

// stands are the places along the front that feet stand at; feet close behind each
// other, as heel and toes, stand at one.
func (s *shaped) stands(feet [][2]end) (at []float64) {
	for _, p := range feet {
		front, known := (p[0].front+p[1].front)/2, false
		for _, x := range at {
			known = known || math.Abs(x-front) < 0.2*s.long
		}
		if !known {
			at = append(at, front)
		}
	}
	return at
}

// legs tells that what it stands on are limbs, and no wheels.
func (s *shaped) legs(feet [][2]end, height float64) bool {
	for _, p := range feet {
		if max(p[0].tip.Length, p[1].tip.Length) < legShare*height {
			return false
		}
	}
	return true
}

// person tells that what stands on one pair of feet is as high as a person for what it
// is deep, ends on top in the middle, has no trunk that lies (no head or tail far
// before or behind the feet) and no more than two pairs of long limbs besides: arms,
// and something that it carries.
func (f *frame) person(ends []end, feet, others [][2]end, height float64) bool {
	long := 0
	for _, p := range others {
		if isLong(p, f.s.long) {
			long++
		}
	}
	top, side := math.Inf(-1), 0.0
	for k, in := range f.s.solid.In {
		if in {
			if s, up, _ := f.of(int32(k)); up > top || up == top && math.Abs(s) < math.Abs(side) {
				top, side = up, s
			}
		}
	}
	if long > 2 || math.Abs(side) > topMid*height {
		return false
	}
	foot := (feet[0][0].front + feet[0][1].front) / 2
	for _, e := range ends {
		if math.Abs(e.front) > deepShare*height && math.Abs(e.front-foot) > deepShare*height {
			return false
		}
	}
	return height > 0.5*f.s.long
}

// isLong tells a pair of limbs that counts, beside the longest side of the figure.
func isLong(p [2]end, longest float64) bool {
	return max(p[0].tip.Length, p[1].tip.Length) > longLimb*longest
}

// spans tells a pair that reaches too far to either side for arms: wings.
func spans(p [2]end, height float64) bool { return max(p[0].side, -p[1].side) > spanShare*height }

// readPerson fills in a person, who stands on feet; others are the other pairs.
func (f *frame) readPerson(out *Shape, feet [2]end, others [][2]end, height float64) {
	out.Certainty = 0.4 // what has no arms, or feet that point nowhere, is many things
	says := "It stands on one pair of limbs"
	for _, p := range others {
		if spans(p, height) {
			continue
		}
		a, okA := f.arm(p[0], height)
		b, okB := f.arm(p[1], height)
		if okA && okB && math.Abs(a-b) < 25 && min(a, b) > -mostRaised {
			out.Arms = [2]*float64{&a, &b}
			out.Certainty += 0.3
			says += fmt.Sprintf(" and holds another %s", heldWords((a+b)/2))
			break
		}
	}
	if way := f.toes(feet, height); way != 0 {
		d := f.front
		if way < 0 {
			d = d.Mul(-1)
		}
		out.Facing = &d
		out.Certainty += 0.25
		says += ", its feet point forward"
	}
	out.Kind = Person
	if out.Lies > 60 {
		out.Certainty -= 0.1
	}
	out.Says = fmt.Sprintf("From the surface alone: a person (%s sure). %s.", say.Sure(out.Certainty), says)
	if out.Lies > 60 {
		out.Says += " It lies, or another axis is up."
	}
}

func heldWords(below float64) string {
	switch {
	case below < -10:
		return "up"
	case below <= 10:
		return "level, as in a T-pose"
	case below < 20:
		return "a little below level"
	case below <= 65:
		return "down to the sides, as in an A-pose"
	}
	return "hanging"
}

// arm answers how far an upper arm points below level, degrees. The limb is followed
// from its end by its distance, band by band, until its section jumps, which is where
// it meets the trunk; false where it bends too much or meets it too far out.
func (f *frame) arm(e end, height float64) (below float64, ok bool) {
	s := f.s
	far, _ := s.solid.Distances([]int32{e.tip.Cube})
	band := 1.5 * s.solid.Cell
	n := int(0.8*s.long/band) + 1
	count := make([]float64, n)
	sum := make([]space.Vec, n)
	for k, d := range far {
		if b := int(float64(d) / band); !math.IsInf(float64(d), 0) && b < n {
			p := s.solid.At(k)
			count[b]++
			for c := range 3 {
				sum[b][c] += p[c]
			}
		}
	}
	// The hand is left out of what the limb's section is: from a third of the least arm on.
	first := int(0.1*height/band) + 1
	end, lot, m := -1, 0.0, 0.0
	for b := first; b < n && count[b] > 0; b++ {
		if m > 0 && float64(b)*band > 0.2*height && count[b] > trunkJump*lot/m {
			end = b
			break
		}
		lot, m = lot+count[b], m+1
	}
	if end < 0 {
		return 0, false
	}
	at := func(share float64) space.Vec {
		b := int(share*float64(end) + 0.5)
		return space.Vec{sum[b][0] / count[b], sum[b][1] / count[b], sum[b][2] / count[b]}
	}
	shoulder, hand := at(0.85), at(0.08)
	if shoulder.Sub(hand).Len() < straight*0.77*float64(end)*band {
		return 0, false
	}
	if side := math.Abs(shoulder.Dot(s.plane.Normal) - s.plane.Offset); side > shoulderIn*height {
		return 0, false
	}
	// The line of the upper arm: least squares over the middles of its bands.
	from, to := int(0.45*float64(end)), int(0.9*float64(end))
	var mean, u space.Vec
	for b := from; b <= to; b++ {
		m := at(float64(b) / float64(end))
		for c := range 3 {
			mean[c] += m[c] / float64(to-from+1)
		}
	}
	for b := from; b <= to; b++ {
		m := at(float64(b) / float64(end))
		for c := range 3 {
			u[c] += (float64(from+to)/2 - float64(b)) * (m[c] - mean[c])
		}
	}
	rise := u.Dot(f.up)
	level := math.Sqrt(max(0, u.Dot(u)-rise*rise))
	return math.Atan2(-rise, level) * 180 / math.Pi, true
}

// toes tells which way the feet point against the shins: 1 along front, −1 against it,
// 0 not told.
func (f *frame) toes(feet [2]end, height float64) int {
	total := 0.0
	for _, e := range feet {
		var foot, shin, nf, ns float64
		for k, in := range f.s.solid.In {
			if !in {
				continue
			}
			side, up, front := f.of(int32(k))
			if math.Abs(side-e.side) > 0.12*height || side*e.side < 0 || math.Abs(front-e.front) > 0.3*height {
				continue
			}
			switch {
			case up < 0.05*height:
				foot, nf = foot+front, nf+1
			case up > 0.08*height && up < 0.15*height:
				shin, ns = shin+front, ns+1
			}
		}
		if nf == 0 || ns == 0 {
			return 0
		}
		total += foot/nf - shin/ns
	}
	switch {
	case total > 2*forward*height:
		return 1
	case total < -2*forward*height:
		return -1
	}
	return 0
}

// readFourLegged fills in a figure on two pairs of feet. Its head is the end of the
// middle that is the higher one, where the feet do not say otherwise.
func (f *frame) readFourLegged(out *Shape, ends []end, feet [][2]end, height float64) {
	out.Kind, out.Certainty = FourLegged, 0.6 // a table has no head
	most, least := end{front: math.Inf(-1)}, end{front: math.Inf(1)}
	for _, e := range ends {
		if math.Abs(e.side) > 2*midShare*f.s.long {
			continue
		}
		if e.front > most.front {
			most = e
		}
		if e.front < least.front {
			least = e
		}
	}
	way := 0
	if !math.IsInf(most.front, 0) && math.Abs(most.up-least.up) > 0.2*height && most.front > 0 && least.front < 0 {
		way = 1
		if least.up > most.up {
			way = -1
		}
	}
	toes := 0
	for _, p := range feet {
		toes += f.toes(p, height)
	}
	if way != 0 && way*toes >= 0 {
		d := f.front
		if way < 0 {
			d = d.Mul(-1)
		}
		out.Facing = &d
		out.Certainty += 0.25
	}
	out.Says = fmt.Sprintf("From the surface alone: a four-legged figure (%s sure). It stands on two pairs of limbs, one behind the other.", say.Sure(out.Certainty))
}
