package space

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Quat is a rotation, unit unless said otherwise.
type Quat = mgl64.Quat

// Mul is a·b: b turns first. Number by number: the library's own, put together of
// vectors, takes four times as long.
func Mul(a, b Quat) Quat { return PlainTurn(a).Mul(PlainTurn(b)).Quat() }

// Still turns nothing.
func Still() Quat { return Quat{W: 1} }

// FromXYZW takes a quaternion as glTF stores it, x y z w.
func FromXYZW(q [4]float64) Quat { return Quat{W: q[3], V: Vec{q[0], q[1], q[2]}} }

// XYZW is a quaternion as glTF stores it.
func XYZW(q Quat) [4]float64 { return [4]float64{q.V[0], q.V[1], q.V[2], q.W} }

// UnitQuat scales a quaternion to length 1; it answers q itself and false where it has
// no direction: zero, infinite or not a number.
func UnitQuat(q Quat) (Quat, bool) {
	u, ok := PlainTurn(q).Unit()
	return u.Quat(), ok
}

// Slerp turns from one rotation to another at even speed, the shorter way round: a at
// share 0, b at 1 (Arc).
func Slerp(a, b Quat, share float64) Quat {
	arc := NewArc(PlainTurn(a), PlainTurn(b))
	return arc.At(share).Quat()
}

// Turned is how far a rotation turns, 0 to π (Turn.Angle).
func Turned(q Quat) float64 { return PlainTurn(q).Angle() }

// Apart is the turn between two rotations, 0 to π.
func Apart(a, b Quat) float64 { return PlainTurn(a).Back().Mul(PlainTurn(b)).Angle() }

// About turns about a unit axis.
func About(axis Vec, angle float64) Quat { return mgl64.QuatRotate(angle, axis) }

// Between is the least rotation that takes the direction of a to that of b; half a turn
// about some axis at right angles to a where they are opposed; no turn where one of
// them has no direction.
func Between(a, b Vec) Quat { return TurnBetween(Plain(a), Plain(b)).Quat() }

// Log is the rotation vector of a rotation: the axis, as long as the turn, 0 to π.
func Log(q Quat) Vec {
	if q.W < 0 {
		q = q.Scale(-1)
	}
	s := q.V.Len()
	k := 2.0
	if s > 1e-12 { // below, sin x = x to the last digit
		k = 2 * math.Atan2(s, q.W) / s
	}
	return q.V.Mul(k)
}

// SwingTwist parts a rotation into a turn about a unit axis and what is left: q is
// swing·about(axis, twist), −π ≤ twist ≤ π. ok is false where q turns the axis right
// over: then no part of it is about the axis, and the twist is 0.
func SwingTwist(q Quat, axis Vec) (swing Quat, twist float64, ok bool) {
	if q.W < 0 {
		q = q.Scale(-1)
	}
	s := q.V.Dot(axis)
	l := math.Hypot(s, q.W)
	if l < 1e-12 {
		return q, 0, false
	}
	t := Quat{W: q.W / l, V: axis.Mul(s / l)}
	return Mul(q, t.Conjugate()), 2 * math.Atan2(s/l, t.W), true
}

// Frame is the rotation whose columns are x, y and x×y: the direction of x kept, y made
// square to it. false where the two do not span a plane.
func Frame(x, y Vec) (Quat, bool) {
	x, okX := Unit(x)
	y, okY := Unit(Level(y, x))
	if !okX || !okY {
		return Still(), false
	}
	return UnitQuat(mgl64.Mat4ToQuat(mgl64.Mat3FromCols(x, y, x.Cross(y)).Mat4()))
}
