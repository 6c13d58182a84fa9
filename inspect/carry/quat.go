package carry

import (
	"math"

	"rigloupe/inspect/rig"
)

// quat is a rotation, x y z w, unit.
type quat struct{ x, y, z, w float64 }

// vec is a point or a direction.
type vec struct{ x, y, z float64 }

var still = quat{w: 1}

func (a quat) mul(b quat) quat {
	return quat{
		a.w*b.x + a.x*b.w + a.y*b.z - a.z*b.y,
		a.w*b.y - a.x*b.z + a.y*b.w + a.z*b.x,
		a.w*b.z + a.x*b.y - a.y*b.x + a.z*b.w,
		a.w*b.w - a.x*b.x - a.y*b.y - a.z*b.z,
	}
}

func (a quat) conj() quat { return quat{-a.x, -a.y, -a.z, a.w} }

// turn rotates a vector.
func (a quat) turn(v vec) vec {
	// t = 2 q×v; v + w t + q×t
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
	d := a.x*b.x + a.y*b.y + a.z*b.z + a.w*b.w
	sign := 1.0
	if d < 0 {
		d, sign = -d, -1
	}
	ka, kb := 1-share, sign*share
	if d < 1-1e-13 {
		angle := math.Acos(d)
		k := 1 / math.Sin(angle)
		ka, kb = math.Sin(angle*(1-share))*k, sign*math.Sin(angle*share)*k
	}
	return quat{ka*a.x + kb*b.x, ka*a.y + kb*b.y, ka*a.z + kb*b.z, ka*a.w + kb*b.w}
}

// angle is how far a rotation turns, radians.
func (a quat) angle() float64 {
	return 2 * math.Atan2(math.Sqrt(a.x*a.x+a.y*a.y+a.z*a.z), math.Abs(a.w))
}

func (v vec) add(u vec) vec           { return vec{v.x + u.x, v.y + u.y, v.z + u.z} }
func (v vec) sub(u vec) vec           { return vec{v.x - u.x, v.y - u.y, v.z - u.z} }
func (v vec) mul(k float64) vec       { return vec{v.x * k, v.y * k, v.z * k} }
func (v vec) dot(u vec) float64       { return v.x*u.x + v.y*u.y + v.z*u.z }
func (v vec) len() float64            { return math.Sqrt(v.dot(v)) }
func (v vec) cross(u vec) vec         { return vec{v.y*u.z - v.z*u.y, v.z*u.x - v.x*u.z, v.x*u.y - v.y*u.x} }
func (v vec) times(u vec) vec         { return vec{v.x * u.x, v.y * u.y, v.z * u.z} }
func (v vec) over(u vec) vec          { return vec{v.x / u.x, v.y / u.y, v.z / u.z} }
func (v vec) array() [3]float64       { return [3]float64{v.x, v.y, v.z} }
func vecOf(a [3]float64) vec          { return vec{a[0], a[1], a[2]} }
func quatOf(a [4]float64) quat        { return quat{a[0], a[1], a[2], a[3]}.unit() }
func flat(v, up vec) vec              { return v.sub(up.mul(v.dot(up))) }
func clamp(x, lo, hi float64) float64 { return max(lo, min(hi, x)) }

// unit is v with length 1, and false where it has no direction.
func (v vec) unit() (vec, bool) {
	l := v.len()
	if !(l > 0) || math.IsInf(l, 0) {
		return v, false
	}
	return v.mul(1 / l), true
}

// between is the least rotation that takes direction a to direction b; half a turn
// about some axis square to a where they are opposed.
func between(a, b vec) quat {
	a, okA := a.unit()
	b, okB := b.unit()
	if !okA || !okB {
		return still
	}
	w := 1 + a.dot(b)
	if w < 1e-12 {
		axis := a.cross(vec{1, 0, 0})
		if axis.len() < 0.1 {
			axis = a.cross(vec{0, 1, 0})
		}
		axis, _ = axis.unit()
		return quat{axis.x, axis.y, axis.z, 0}
	}
	c := a.cross(b)
	return quat{c.x, c.y, c.z, w}.unit()
}

// about turns about a unit axis, radians.
func about(axis vec, radians float64) quat {
	s, c := math.Sincos(radians / 2)
	return quat{axis.x * s, axis.y * s, axis.z * s, c}
}

// frame is the rotation whose columns are x, y and x×y: x kept, y made square to it.
// false where the two do not span a plane.
func frame(x, y vec) (quat, bool) {
	x, okX := x.unit()
	y, okY := y.sub(x.mul(x.dot(y))).unit()
	if !okX || !okY {
		return still, false
	}
	z := x.cross(y)
	a := rig.Affine{x.x, y.x, z.x, 0, x.y, y.y, z.y, 0, x.z, y.z, z.z, 0}
	t := a.Decompose()
	return quatOf(t.R), true
}
