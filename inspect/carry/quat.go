package carry

import (
	"math"

	"rigloupe/inspect/space"
)

// The inner loops of this package turn and move millions of joints. Their vectors and
// rotations are plain numbers, which the compiler keeps in registers: with the library's,
// whose arrays it keeps in memory, ten minutes at 120 Hz on 80 joints take two and a half
// times as long (BenchmarkCarry, 1.1 against 2.7 s). Only sums of a line stand here; what
// needs a tolerance is that of package space.

// quat is a rotation, x y z w, unit.
type quat struct{ x, y, z, w float64 }

// vec is a point or a direction.
type vec struct{ x, y, z float64 }

var still = quat{w: 1}

// mul is a·b: b turns first (space.Mul).
func (a quat) mul(b quat) quat {
	return quat{
		a.w*b.x + a.x*b.w + a.y*b.z - a.z*b.y,
		a.w*b.y - a.x*b.z + a.y*b.w + a.z*b.x,
		a.w*b.z + a.x*b.y - a.y*b.x + a.z*b.w,
		a.w*b.w - a.x*b.x - a.y*b.y - a.z*b.z,
	}
}

func (a quat) conj() quat { return quat{-a.x, -a.y, -a.z, a.w} }

// turn rotates a vector: with t = 2 q×v it is v + w t + q×t.
func (a quat) turn(v vec) vec {
	tx, ty, tz := 2*(a.y*v.z-a.z*v.y), 2*(a.z*v.x-a.x*v.z), 2*(a.x*v.y-a.y*v.x)
	return vec{
		v.x + a.w*tx + a.y*tz - a.z*ty,
		v.y + a.w*ty + a.z*tx - a.x*tz,
		v.z + a.w*tz + a.x*ty - a.y*tx,
	}
}

func (a quat) unit() quat {
	l := math.Sqrt(a.x*a.x + a.y*a.y + a.z*a.z + a.w*a.w)
	if !(l > 0) || math.IsInf(l, 0) {
		return still
	}
	return quat{a.x / l, a.y / l, a.z / l, a.w / l}
}

// toward goes a share of the shorter way from a to b at even speed.
func (a quat) toward(b quat, share float64) quat {
	return of(space.Slerp(a.lib(), b.lib(), share))
}

// angle is how far a rotation turns, radians.
func (a quat) angle() float64 { return space.Turned(a.lib()) }

func (v vec) add(u vec) vec     { return vec{v.x + u.x, v.y + u.y, v.z + u.z} }
func (v vec) sub(u vec) vec     { return vec{v.x - u.x, v.y - u.y, v.z - u.z} }
func (v vec) mul(k float64) vec { return vec{v.x * k, v.y * k, v.z * k} }
func (v vec) dot(u vec) float64 { return v.x*u.x + v.y*u.y + v.z*u.z }
func (v vec) len() float64      { return math.Sqrt(v.dot(v)) }
func (v vec) cross(u vec) vec   { return vec{v.y*u.z - v.z*u.y, v.z*u.x - v.x*u.z, v.x*u.y - v.y*u.x} }
func (v vec) times(u vec) vec   { return vec{v.x * u.x, v.y * u.y, v.z * u.z} }
func (v vec) over(u vec) vec    { return vec{v.x / u.x, v.y / u.y, v.z / u.z} }
func flat(v, up vec) vec        { return v.sub(up.mul(v.dot(up))) }

func (v vec) array() space.Vec        { return space.Vec{v.x, v.y, v.z} }
func vecOf(a space.Vec) vec           { return vec{a[0], a[1], a[2]} }
func (a quat) lib() space.Quat        { return space.Quat{W: a.w, V: space.Vec{a.x, a.y, a.z}} }
func of(q space.Quat) quat            { return quat{q.V[0], q.V[1], q.V[2], q.W} }
func quatOf(a [4]float64) quat        { return of(space.FromXYZW(a)).unit() }
func clamp(x, lo, hi float64) float64 { return max(lo, min(hi, x)) }
func between(a, b vec) quat           { return of(space.Between(a.array(), b.array())) }

// about turns about a unit axis, radians.
func about(axis vec, angle float64) quat {
	s, c := math.Sincos(angle / 2)
	return quat{axis.x * s, axis.y * s, axis.z * s, c}
}

// unit is v with length 1, and false where it has no direction.
func (v vec) unit() (vec, bool) {
	l := v.len()
	if !(l > 0) || math.IsInf(l, 0) {
		return v, false
	}
	return v.mul(1 / l), true
}

// frame is the rotation whose columns are x, y and x×y (space.Frame).
func frame(x, y vec) (quat, bool) {
	q, ok := space.Frame(x.array(), y.array())
	return of(q), ok
}
