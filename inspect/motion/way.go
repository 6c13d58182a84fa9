package motion

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// Travel is how far a clip carries the figure from its first to its last key.
type Travel struct {
	Metres  float64   `json:"metres"`  // level shift
	Heights float64   `json:"heights"` // the same in heights of the figure
	Degrees float64   `json:"degrees"` // turn about the vertical, left positive
	Speed   float64   `json:"metres_per_second"`
	Class   string    `json:"class"` // "in place", "travels", "turns", "climbs"
	Node    *rig.Node `json:"node"`  // that carries it; null: nothing moves

	HipsCarry bool     `json:"-"` // the hips carry it and nothing above them has a channel
	Above     rig.Node `json:"-"` // the node above that could, None
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
	at      mgl64.Vec3
	turn    [4]float64 // of the carrier, world
	lowest  float64    // y of the lowest joint
	seconds float64
}

func (f *figure) stand(p *player, n rig.Node, seconds float64) (s stand) {
	p.at(seconds)
	t := p.world[n].Decompose()
	s.at, s.turn, s.seconds, s.lowest = p.world[n].Origin(), t.R, seconds, math.Inf(1)
	for _, j := range f.joints {
		s.lowest = min(s.lowest, p.world[j][7])
	}
	return s
}

// swingTwist parts the turn from a to b, about the world's axes, into a turn about
// the vertical (radians, left positive) and what is left of it.
func swingTwist(a, b [4]float64) (twist, swing float64) {
	q := quat(b).Mul(quat(a).Conjugate())
	if q.W < 0 {
		q = q.Scale(-1)
	}
	l := math.Hypot(q.V[1], q.W)
	if l < 1e-12 { // turned over: no vertical part to speak of
		return 0, math.Pi
	}
	t := mgl64.Quat{W: q.W / l, V: mgl64.Vec3{0, q.V[1] / l, 0}}
	twist = 2 * math.Atan2(t.V[1], t.W)
	s := q.Mul(t.Conjugate())
	return twist, 2 * math.Atan2(s.V.Len(), math.Abs(s.W))
}

func quat(q [4]float64) mgl64.Quat {
	return mgl64.Quat{W: q[3], V: mgl64.Vec3{q[0], q[1], q[2]}}
}

// readTravel compares the ends of a clip. The player stands at its last key after.
func (f *figure) readTravel(clip *Clip, p *player, states []State, carried []bool) {
	clip.Travel.Class, clip.Travel.Above = inPlace, rig.None
	n := f.carrier(carried)
	if n < 0 {
		return
	}
	clip.Travel.Node = &n
	a, b := f.stand(p, n, clip.Start), f.stand(p, n, clip.Seconds)
	twist, swing := swingTwist(a.turn, b.turn)
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
