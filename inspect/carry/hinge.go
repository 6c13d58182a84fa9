package carry

import (
	"math"

	"rigloupe/inspect/space"
)

// How a knee bends.
const (
	plainBend = 15 * math.Pi / 180  // bends beyond show the hinge
	oneWay    = 0.7                 // of them that agree on it
	slack     = 1.8 * math.Pi / 180 // that a kept foot may bend or straighten the knee beyond the source's range
	softBend  = 30 * math.Pi / 180  // a knee that is bent so far may straighten
	keepBend  = 0.7                 // to this share
	nearly    = 0.02                // of the leg: the shift from which on a leg that bends backwards is folded forwards
)

// knee finds the hinge of a leg in the thigh's own axes, from how it bends in the clip,
// else square to thigh and front; and the range of angles in which the turns alone
// bend it.
func (l *foot) knee(p *plan) {
	ahead := space.Plain(p.m.T.Forward)
	var sum vec
	count := 0.0
	for f := range l.a {
		u, okU := l.b[f].Sub(l.a[f]).Unit()
		v, okV := l.c[f].Sub(l.b[f]).Unit()
		if n := u.Cross(v); okU && okV && n.Len() > math.Sin(plainBend) {
			sum, count = sum.Add(l.wA[f].Back().Rotate(n)), count+n.Len()
		}
	}
	rest := p.dstRest[p.drive[l.thigh].node].Back()
	bone := rest.Rotate(p.dstAt(p.drive[l.shin].node).Sub(p.dstAt(p.drive[l.thigh].node)))
	axis := bone.Cross(rest.Rotate(ahead)).Mul(1) // a shin that turns about it goes back
	if count > 0 && sum.Len() > oneWay*count {
		axis = sum
	}
	bone, _ = bone.Unit()
	axis = axis.Sub(bone.Mul(axis.Dot(bone)))
	l.hinge, _ = axis.Unit()
	l.least, l.most = math.Inf(1), math.Inf(-1)
	for f := range l.a {
		u, v := l.b[f].Sub(l.a[f]), l.c[f].Sub(l.b[f])
		k := bendAxis(u, v, l.wA[f].Rotate(l.hinge))
		now := bent(u, v, k)
		l.least, l.most = min(l.least, now), max(l.most, now)
	}
	l.least, l.most = l.least-slack, l.most+slack
}

// bendAxis is the axis about which a limb folds at a moment: that of its bend, as far
// as it goes the hinge's way; near straight, where that says nothing, the hinge.
func bendAxis(upper, lower, hinge vec) vec {
	n := upper.Cross(lower)
	if l := upper.Len() * lower.Len(); l > 0 {
		n = n.Mul(1 / l)
	}
	along := n.Dot(hinge)
	axis, ok := n.Sub(hinge.Mul(along)).Add(hinge.Mul(max(along, math.Sin(plainBend)))).Unit()
	if !ok {
		return hinge
	}
	return axis
}

// bent is the angle of a limb about an axis, radians; 0: straight.
func bent(upper, lower, axis vec) float64 {
	a := upper.Dot(axis) * axis.Dot(lower)
	return math.Atan2(upper.Cross(lower).Dot(axis), upper.Dot(lower)-a)
}

// limb is a leg at a moment, as the turns alone put it: what its folding is worked out
// from, again and again while stands are tried.
type limb struct {
	axis         vec     // about which it folds, world
	now          float64 // its bend about that, radians
	a, size      float64 // of fold
	upper, lower float64 // squares of the lengths of its bones
	near, far    float64 // how near and how far it may reach
}

func newLimb(upper, lower, hinge vec) limb {
	k := bendAxis(upper, lower, hinge)
	m := limb{axis: k, now: bent(upper, lower, k), a: upper.Dot(k) * k.Dot(lower), upper: upper.Dot(upper), lower: lower.Dot(lower)}
	m.size = math.Hypot(upper.Dot(lower)-m.a, upper.Dot(k.Cross(lower)))
	return m
}

// look notes what the trying of stands does not change: the limb at every moment, and
// what carries its thigh.
func (l *foot) look(k *keys) {
	l.limb, l.over = make([]limb, len(l.a)), make([]quat, len(l.a))
	for f := range l.limb {
		m := newLimb(l.b[f].Sub(l.a[f]), l.c[f].Sub(l.b[f]), l.wA[f].Rotate(l.hinge))
		m.near, m.far = l.span(&m)
		l.limb[f], l.over[f] = m, k.parentWorld(l.thigh, f)
	}
}

// span is how near and how far a leg may reach: no nearer than folded as far as in the
// source, and so far that its knee keeps some of the bend that it has there: near
// straight, a knee turns far for little way, and pops.
func (l *foot) span(m *limb) (least, most float64) {
	bend := max(l.least, keepBend*min(m.now, softBend), 0)
	p, q := math.Sqrt(m.upper), math.Sqrt(m.lower)
	at := func(bend float64) float64 { return math.Sqrt(max(0, p*p+q*q+2*p*q*math.Cos(bend))) }
	return at(min(l.most, math.Pi)), at(bend)
}

// fold is the turn of the lower bone, in the world, that brings the ends of a limb so
// far apart, within the knee's range. shift is how far the end is to be moved: a knee
// that the source bends backwards comes round only as that grows.
//
// |u + R(θ) v|² = p² + q² + 2 (A + B cos θ + C sin θ) for a turn about k, with
// A = (u·k)(k·v), B = u·v − A, C = u·(k×v); size is √(B² + C²).
func (l *foot) fold(m *limb, apart, shift float64) quat {
	if !(m.size > 0) {
		return still
	}
	want := math.Acos(clamp(((apart*apart-m.upper-m.lower)/2-m.a)/m.size, -1, 1))
	if m.now < 0 {
		back := math.Abs(m.now)
		want = m.now + (want - back) + 2*back*smooth(shift/(nearly*(math.Sqrt(m.upper)+math.Sqrt(m.lower))))
	}
	want = clamp(want, l.least, l.most)
	return space.TurnAbout(m.axis, want-m.now)
}
