package motion

import (
	"math"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Travel is how far a clip carries the figure from its first to its last key.
type Travel struct {
	Metres  float64   `json:"metres"`  // level shift
	Heights float64   `json:"heights"` // the same in heights of the figure
	Degrees float64   `json:"degrees"` // turn about the vertical, left positive
	Speed   float64   `json:"metres_per_second"`
	Class   string    `json:"class"` // "in place", "travels", "turns", "climbs"
	Node    *rig.Node `json:"node"`  // that carries it; null: nothing moves

	HipsCarry bool     `json:"hips_carry"` // the hips carry it and nothing above them has a channel
	Above     rig.Node `json:"above"`      // the node above that could, None
}

// Classes of travel.
const (
	inPlace = "in place"
	travels = "travels"
	turns   = "turns"
	climbs  = "climbs"
)

const (
	travelShare = 0.05 // × height: less is no travel
	turnDegrees = 15.0 // less is no turn (common practice, no source)
)

// carrier is the node that carries the figure: the hips, else the topmost joint
// that moves or is moved.
func (f *figure) carrier(carried []bool) rig.Node {
	if hips := f.e.Roles().Node("hips"); hips >= 0 && carried[hips] {
		return hips
	}
	for _, n := range f.r.Order {
		if carried[n] && f.isJoint[n] && (f.carries[n] || len(f.r.Surfaces) == 0) {
			return n
		}
	}
	return rig.None
}

// stand is one moment of a clip's two ends.
type stand struct {
	at      space.Vec
	turn    space.Quat // of the carrier, world
	lowest  float64    // y of the lowest joint
	seconds float64
}

func (f *figure) stand(p *deform.Player, n rig.Node, seconds float64) (s stand) {
	p.At(seconds)
	s.at, s.turn, s.seconds, s.lowest = p.World[n].Origin(), space.FromXYZW(p.World[n].Decompose().R), seconds, math.Inf(1)
	for _, j := range f.joints {
		s.lowest = min(s.lowest, p.World[j][7])
	}
	return s
}

// readTravel compares the ends of a clip. The player stands at its last key after.
func (f *figure) readTravel(clip *Clip, p *deform.Player, states []State, carried []bool) {
	clip.Travel.Class, clip.Travel.Above = inPlace, rig.None
	n := f.carrier(carried)
	if n < 0 {
		return
	}
	clip.Travel.Node = &n
	a, b := f.stand(p, n, clip.Start), f.stand(p, n, clip.Seconds)
	// About the vertical, left positive, and what is left of the turn; a figure turned over has no vertical part.
	swung, twist, _ := space.SwingTwist(b.turn.Mul(a.turn.Conjugate()), up)
	swing := space.Turned(swung)
	shift := b.at.Sub(a.at)
	t := &clip.Travel
	t.Metres, t.Degrees = finite(math.Hypot(shift[0], shift[2])), finite(twist*180/math.Pi)
	if f.height > 0 {
		t.Heights = t.Metres / f.height
	}
	if span := clip.Seconds - clip.Start; span > 0 {
		t.Speed = t.Metres / span
	}
	switch {
	case math.Abs(b.lowest-a.lowest) > travelShare*f.height && b.lowest > a.lowest:
		t.Class = climbs
	case t.Heights > travelShare:
		t.Class = travels
	case math.Abs(t.Degrees) > turnDegrees:
		t.Class = turns
	}
	t.HipsCarry = true
	for up := f.r.Nodes[n].Parent; up >= 0; up = f.r.Nodes[up].Parent {
		t.Above = up
		if states[up] != NeverKeyed {
			t.HipsCarry = false
		}
	}
	t.HipsCarry = t.HipsCarry && t.Above >= 0
	clip.carrierSwing = finite(swing * 180 / math.Pi)
	clip.carrierShift = finite(math.Abs(shift[1]))
	if t.Heights <= travelShare { // no way to take off: the whole shift is the seam
		clip.carrierShift = finite(shift.Len())
	}
}

func finite(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}
