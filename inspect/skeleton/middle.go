package skeleton

import (
	"context"
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// middle is the plane between left and right. known is false when nothing tells it.
type middle struct {
	left    space.Vec // unit, towards the figure's left
	offset  float64
	known   bool
	sidesOK bool // which way is left is told by the feet or by most of the names
}

// across is how far a place stands to the left of the plane, metres.
func (m *middle) across(p space.Vec) float64 { return m.left.Dot(p) - m.offset }

// mirror answers the image of a place.
func (m *middle) mirror(p space.Vec) space.Vec { return p.Sub(m.left.Mul(2 * m.across(p))) }

// flip answers the image of a direction.
func (m *middle) flip(d space.Vec) space.Vec { return d.Sub(m.left.Mul(2 * m.left.Dot(d))) }

// rootedBones stand at the trunk: no pose of the limbs moves them.
var rootedBones = []string{"UpperLeg", "UpperArm", "Shoulder", "Eye"}

// measureMiddle finds the plane as the median over pairs of joints, so that a few
// misplaced ones do not draw it; with fewer than three pairs it takes that of the
// surface where it has a good one. Left is told by the way the feet point; else by
// most of the names.
func (f *Facts) measureMiddle(context.Context) error {
	pairs := f.pairNodes()
	left, _, _, framed := f.roles.Frame()
	m := &f.middle
	if m.left, m.offset, m.known = f.planeOf(pairs, f.spot); !m.known && framed {
		m.left = left
		var offsets []float64
		for _, role := range []string{"hips", "spine", "chest", "neck", "head"} {
			if j := f.at(f.roles.Node(role)); j != nil {
				offsets = append(offsets, left.Dot(j.Position))
			}
		}
		if len(offsets) > 0 {
			m.offset, m.known = space.Median(offsets), true
		}
	}
	if !m.known {
		return nil
	}
	if len(pairs) < 3 {
		f.surfacePlane()
	}
	f.tellLeft(framed, left)
	return nil
}

// spot is where a joint stands at rest.
func (f *Facts) spot(n rig.Node) (space.Vec, bool) {
	j := f.at(n)
	if j == nil || !j.Placed {
		return space.Vec{}, false
	}
	return j.Position, true
}

// planeOf is the plane between pairs of joints, by the places that at answers: its
// normal the median over pairs at the trunk where there are two, its offset the median
// over all of them.
func (f *Facts) planeOf(pairs [][2]rig.Node, at func(rig.Node) (space.Vec, bool)) (normal space.Vec, offset float64, ok bool) {
	rooted := pairs[:0:0]
	for _, b := range rootedBones {
		l, r := f.roles.Node("left"+b), f.roles.Node("right"+b)
		if f.at(l) != nil && f.at(r) != nil {
			rooted = append(rooted, [2]rig.Node{l, r})
		}
	}
	if len(rooted) < 2 {
		rooted = pairs
	}
	var dirs [3][]float64
	var first space.Vec
	for _, p := range rooted {
		a, okA := at(p[0])
		b, okB := at(p[1])
		d := space.Direction(a.Sub(b))
		if !okA || !okB || d.Len() == 0 {
			continue
		}
		if first.Len() == 0 {
			first = d
		}
		if d.Dot(first) < 0 {
			d = d.Mul(-1)
		}
		for c := range 3 {
			dirs[c] = append(dirs[c], d[c])
		}
	}
	if len(dirs[0]) == 0 {
		return space.Vec{}, 0, false
	}
	normal = space.Direction(space.Vec{space.Median(dirs[0]), space.Median(dirs[1]), space.Median(dirs[2])})
	var offsets []float64
	for _, p := range pairs {
		a, okA := at(p[0])
		b, okB := at(p[1])
		if okA && okB {
			offsets = append(offsets, normal.Dot(a.Add(b))/2)
		}
	}
	if normal.Len() == 0 || len(offsets) == 0 {
		return space.Vec{}, 0, false
	}
	return normal, space.Median(offsets), true
}

// surfacePlane takes over the mirror plane of the surface where nearly all of the
// surface meets its image there and the joints agree with it.
func (f *Facts) surfacePlane() {
	s, m := f.e.Mirror(), &f.middle
	if s.Doubt() != "" || s.Alike < 0.95 {
		return
	}
	n := space.Vec(s.Normal)
	if math.Abs(n.Dot(m.left)) < math.Cos(5*math.Pi/180) {
		return
	}
	offset := s.Offset
	if n.Dot(m.left) < 0 {
		n, offset = n.Mul(-1), -offset
	}
	// The planes are compared at the figure, not at the origin.
	var mid space.Vec
	for i := range f.Joints {
		mid = mid.Add(space.Vec(f.Joints[i].Position).Mul(1 / float64(len(f.Joints))))
	}
	if math.Abs(n.Dot(mid)-offset-m.across(mid)) > 0.02*f.Diagonal {
		return
	}
	m.left, m.offset = n, offset
}

// tellLeft makes left point to the figure's left.
func (f *Facts) tellLeft(framed bool, left space.Vec) {
	m := &f.middle
	toes := 0
	for _, s := range []string{"left", "right"} {
		if f.roles.Node(s+"Foot") >= 0 && f.roles.Node(s+"Toes") >= 0 {
			toes++
		}
	}
	if framed && toes == 2 && math.Abs(left.Dot(m.left)) > 0.5 {
		if left.Dot(m.left) < 0 {
			m.left, m.offset = m.left.Mul(-1), -m.offset
		}
		m.sidesOK = true
		return
	}
	votes := 0
	for i := range f.Joints {
		a := m.across(f.Joints[i].Position)
		if math.Abs(a) < 0.01*f.Height {
			continue
		}
		switch f.roles.Of[f.Joints[i].Node].Named {
		case anatomy.Left:
			votes += int(math.Copysign(1, a))
		case anatomy.Right:
			votes -= int(math.Copysign(1, a))
		}
	}
	if votes < 0 {
		m.left, m.offset = m.left.Mul(-1), -m.offset
	}
	m.sidesOK = votes != 0
}

// pairNodes are the joints and their partners, each pair once, left first.
func (f *Facts) pairNodes() (out [][2]rig.Node) {
	for i := range f.Joints {
		n := f.Joints[i].Node
		p := &f.roles.Of[n]
		if p.Partner < 0 || p.Side != anatomy.Left || f.at(p.Partner) == nil || f.roles.Of[p.Partner].Partner != n {
			continue
		}
		if f.Joints[i].Placed && f.at(p.Partner).Placed {
			out = append(out, [2]rig.Node{n, p.Partner})
		}
	}
	return out
}
