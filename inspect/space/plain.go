package space

import "math"

// XYZ is a point or a direction as three plain numbers, Turn a rotation as four, unit
// unless said otherwise. The compiler keeps them in registers, the library's arrays in
// memory: where a loop turns and moves millions of joints, these take less than half the
// time (BenchmarkCarry, when it was last tried: 1.1 against 2.7 s). Elsewhere Vec and
// Quat are meant; what the two kinds share is written here, once.
type (
	XYZ  struct{ X, Y, Z float64 }
	Turn struct{ X, Y, Z, W float64 }
)

// still turns nothing.
var still = Turn{W: 1}

// Plain is a vector as plain numbers.
func Plain(v Vec) XYZ { return XYZ{v[0], v[1], v[2]} }

// PlainTurn is a rotation as plain numbers.
func PlainTurn(q Quat) Turn { return Turn{q.V[0], q.V[1], q.V[2], q.W} }

// Vec is the same as the library has it.
func (v XYZ) Vec() Vec { return Vec{v.X, v.Y, v.Z} }

// Quat is the same as the library has it.
func (a Turn) Quat() Quat { return Quat{W: a.W, V: Vec{a.X, a.Y, a.Z}} }

func (v XYZ) Add(u XYZ) XYZ     { return XYZ{v.X + u.X, v.Y + u.Y, v.Z + u.Z} }
func (v XYZ) Sub(u XYZ) XYZ     { return XYZ{v.X - u.X, v.Y - u.Y, v.Z - u.Z} }
func (v XYZ) Mul(k float64) XYZ { return XYZ{v.X * k, v.Y * k, v.Z * k} }
func (v XYZ) Dot(u XYZ) float64 { return v.X*u.X + v.Y*u.Y + v.Z*u.Z }
func (v XYZ) Len() float64      { return math.Sqrt(v.Dot(v)) }

// Cross is v×u, by the right-hand rule.
func (v XYZ) Cross(u XYZ) XYZ {
	return XYZ{v.Y*u.Z - v.Z*u.Y, v.Z*u.X - v.X*u.Z, v.X*u.Y - v.Y*u.X}
}

// Times and Over work number by number, as a scale does.
func (v XYZ) Times(u XYZ) XYZ { return XYZ{v.X * u.X, v.Y * u.Y, v.Z * u.Z} }
func (v XYZ) Over(u XYZ) XYZ  { return XYZ{v.X / u.X, v.Y / u.Y, v.Z / u.Z} }

// Level is the part of v at right angles to the unit vector n.
func (v XYZ) Level(n XYZ) XYZ { return v.Sub(n.Mul(v.Dot(n))) }

// Unit is v with length 1; v itself and false where it has no direction: zero,
// infinite or not a number.
func (v XYZ) Unit() (XYZ, bool) {
	l := v.Len()
	if !(l > 0) || math.IsInf(l, 0) {
		return v, false
	}
	return v.Mul(1 / l), true
}

// Mul is a·b: b turns first.
func (a Turn) Mul(b Turn) Turn {
	return Turn{
		a.W*b.X + a.X*b.W + a.Y*b.Z - a.Z*b.Y,
		a.W*b.Y - a.X*b.Z + a.Y*b.W + a.Z*b.X,
		a.W*b.Z + a.X*b.Y - a.Y*b.X + a.Z*b.W,
		a.W*b.W - a.X*b.X - a.Y*b.Y - a.Z*b.Z,
	}
}

// Back is the rotation that undoes a.
func (a Turn) Back() Turn { return Turn{-a.X, -a.Y, -a.Z, a.W} }

// Dot is the cosine of half the turn between two; below 0 they lie on opposite sides.
func (a Turn) Dot(b Turn) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z + a.W*b.W }

// Rotate turns a vector: with t = 2 q×v it is v + w t + q×t.
func (a Turn) Rotate(v XYZ) XYZ {
	x, y, z := 2*(a.Y*v.Z-a.Z*v.Y), 2*(a.Z*v.X-a.X*v.Z), 2*(a.X*v.Y-a.Y*v.X)
	return XYZ{
		v.X + a.W*x + a.Y*z - a.Z*y,
		v.Y + a.W*y + a.Z*x - a.X*z,
		v.Z + a.W*z + a.X*y - a.Y*x,
	}
}

// Unit scales a rotation to length 1; it answers a itself and false where it has no
// direction: zero, infinite or not a number.
func (a Turn) Unit() (Turn, bool) {
	l := math.Sqrt(a.Dot(a))
	if !(l > 0) || math.IsInf(l, 0) {
		return a, false
	}
	return Turn{a.X / l, a.Y / l, a.Z / l, a.W / l}, true
}

// Angle is how far a rotation turns, 0 to π. It keeps its digits for small turns, where
// the arc cosine of W has none left; the length of a makes no difference.
func (a Turn) Angle() float64 {
	return 2 * math.Atan2(math.Sqrt(a.X*a.X+a.Y*a.Y+a.Z*a.Z), math.Abs(a.W))
}

// Arc is the way between two rotations at even speed, the shorter way round. Source:
// Shoemake 1985; glTF 2.0, Appendix C, Spherical Linear Interpolation. mathgl's goes
// straight within 1.8°. What does not change along the way is worked out once.
type Arc struct {
	a, b     Turn
	angle, k float64 // between the two; 1 ÷ its sine, 0 where the way is straight
	sign     float64 // −1: b stands on the other side
}

// NewArc goes from a at share 0 to b at 1 (or −b, the same rotation); both are unit.
func NewArc(a, b Turn) Arc {
	arc := Arc{a: a, b: b, sign: 1}
	d := a.Dot(b)
	if d < 0 {
		d, arc.sign = -d, -1
	}
	// arccos loses all its digits nearer than this; the straight line is then off by
	// less than 1e-13 of the angle.
	if d < 1-1e-13 {
		arc.angle = math.Acos(d)
		arc.k = 1 / math.Sin(arc.angle)
	}
	return arc
}

// At is the rotation at a share of the way.
func (r *Arc) At(share float64) Turn {
	ka, kb := 1-share, r.sign*share
	if r.k != 0 {
		ka, kb = math.Sin(r.angle*(1-share))*r.k, r.sign*math.Sin(r.angle*share)*r.k
	}
	return Turn{ka*r.a.X + kb*r.b.X, ka*r.a.Y + kb*r.b.Y, ka*r.a.Z + kb*r.b.Z, ka*r.a.W + kb*r.b.W}
}

// TurnAbout turns about a unit axis, by radians.
func TurnAbout(axis XYZ, angle float64) Turn {
	s, c := math.Sincos(angle / 2)
	return Turn{axis.X * s, axis.Y * s, axis.Z * s, c}
}

// TurnBetween is the least rotation that takes the direction of a to that of b; half a
// turn about some axis at right angles to a where they are opposed; no turn where one of
// them has no direction.
func TurnBetween(a, b XYZ) Turn {
	a, okA := a.Unit()
	b, okB := b.Unit()
	if !okA || !okB {
		return still
	}
	w := 1 + a.Dot(b)
	if w < 1e-12 { // nearer to opposed than a float64 can tell apart
		return PlainTurn(Quat{V: Square(a.Vec())})
	}
	c := a.Cross(b)
	q, _ := Turn{c.X, c.Y, c.Z, w}.Unit()
	return q
}
