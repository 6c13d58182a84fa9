package carry

import (
	"math"

	"rigloupe/inspect/gait"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Shares of the figure (common practice, no source).
const (
	leastHips = 0.05 // of its size: lower over its feet a figure's hips tell no scale
	offFloor  = 0.05 // of its height: farther off the floor a rest pose does not stand on it
	lowMoment = 5    // per cent of the moments may lie lower than the floor that feet come down to
)

// height is how tall the two figures stand, joints only, along their own up.
type height struct{ src, dst float64 }

// size is what their feet go by (gait.Size).
type size struct{ src, dst float64 }

// travel finds the scale of ways and the joints whose place is carried. The scale is
// the ratio of the leg lengths (thigh and shank of both sides); without legs that of
// the hips' heights over the lowest joint, else of the two sizes. Vertical ways take
// the same scale, or feet leave the floor.
func (p *plan) travel() {
	s, t := p.m.S, p.m.T
	p.height.src, p.height.dst = extent(s, p.srcUp), extent(t, p.dstUp)
	var legS, legT, legs float64
	for _, side := range [2]string{"left", "right"} {
		n := [3]int{}
		whole := true
		for k, bone := range [3]string{"UpperLeg", "LowerLeg", "Foot"} {
			n[k] = p.driveOf(side + bone)
			whole = whole && n[k] >= 0
		}
		if !whole {
			continue
		}
		legs++
		for k := range 2 {
			a, b := &p.drive[n[k]], &p.drive[n[k+1]]
			legS += p.srcAt(b.pair.Source).Sub(p.srcAt(a.pair.Source)).Len()
			legT += p.dstAt(b.node).Sub(p.dstAt(a.node)).Len()
		}
	}
	if legs > 0 {
		p.size = size{gait.Size(p.height.src, legS/legs), gait.Size(p.height.dst, legT/legs)}
	} else {
		p.size = size{p.height.src, p.height.dst}
	}
	hips := p.driveOf("hips")
	switch {
	case legS > 1e-6*s.Size && legT > 1e-6*t.Size:
		p.k, p.kFrom = legT/legS, "leg lengths"
	default:
		p.k, p.kFrom = ratio(t.Size, s.Size), "sizes"
		if hips >= 0 {
			a := p.srcAt(p.drive[hips].pair.Source).Dot(p.srcUp) - p.lowest(s, p.srcUp)
			b := p.dstAt(p.drive[hips].node).Dot(p.dstUp) - p.lowest(t, p.dstUp)
			if a > leastHips*s.Size && b > leastHips*t.Size {
				p.k, p.kFrom = b/a, "hip heights"
			}
		}
	}
	for i := range p.drive {
		d := &p.drive[i]
		d.travels = d.hang < 0 && (d.from < 0 && !p.carriedStill(d.node) || i == hips || hips >= 0 && t.Above(d.node, p.drive[hips].node))
	}
}

// carriedStill tells that a target joint hangs on one with surface that nothing moves,
// such as hips that were set to have no pair: it turns there and does not leave it.
func (p *plan) carriedStill(n rig.Node) bool {
	t := p.m.T
	for up := t.Rig.Nodes[n].Parent; up >= 0; up = t.Rig.Nodes[up].Parent {
		if holds, _ := t.Holds(up); holds && p.place[up] < 0 && (t.Role(up) != "" || t.Bone("hips") < 0) {
			return true
		}
	}
	return false
}

func ratio(a, b float64) float64 {
	if !(a > 0) || !(b > 0) {
		return 1
	}
	return a / b
}

// driveOf is the drive of a role, −1.
func (p *plan) driveOf(role string) int {
	if n := p.m.T.Bone(role); n >= 0 {
		return p.place[n]
	}
	return -1
}

// extent is how far the joints reach along a direction.
func extent(s *match.Skeleton, up vec) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, n := range s.Joints {
		if holds, helper := s.Holds(n); !holds && helper {
			continue
		}
		h := space.Plain(s.At(n)).Dot(up)
		lo, hi = min(lo, h), max(hi, h)
	}
	if lo > hi {
		return s.Size
	}
	return max(hi-lo, 1e-9*s.Size)
}

// lowest is the height of the lowest foot or toe joint at rest; without feet that of
// the lowest joint.
func (p *plan) lowest(s *match.Skeleton, up vec) float64 {
	lo := math.Inf(1)
	for _, n := range footJoints(s) {
		lo = min(lo, space.Plain(s.At(n)).Dot(up))
	}
	if !math.IsInf(lo, 0) {
		return lo
	}
	for _, n := range s.Joints {
		lo = min(lo, space.Plain(s.At(n)).Dot(up))
	}
	return lo
}

func footJoints(s *match.Skeleton) (out []rig.Node) {
	for _, role := range [4]string{"leftFoot", "rightFoot", "leftToes", "rightToes"} {
		if n := s.Bone(role); n >= 0 {
			out = append(out, n)
		}
	}
	return out
}

// lift is how much higher everything must stand than the plain rule says. The plain
// rule takes the rest pose to stand on the floor. A capture's rest pose mostly hangs
// at the origin instead; where its feet move stands for the floor then. low is the
// lowest of the source's joints that feet are kept by, at rest, floor the level that the
// same come down to in the clip.
func (p *plan) lift(low, floor float64) float64 {
	if math.IsNaN(floor) || math.IsInf(low, 0) {
		return 0
	}
	out := 0.0
	if math.Abs(low-floor) > offFloor*p.height.src {
		out = p.k * (low - floor)
	}
	if lowT := p.lowest(p.m.T, p.dstUp); p.m.T.Rig.File.Kind == "bvh" && math.Abs(lowT) > offFloor*p.height.dst {
		out += p.k*floor - lowT
	}
	return out
}
