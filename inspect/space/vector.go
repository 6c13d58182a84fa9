// Package space is the ground floor: the one vector, the one quaternion, and the few
// sums over them and over lists of numbers that the rest of the engine shares. It knows
// nothing of rigs.
//
// Vectors and quaternions are those of mathgl, float64: their own methods (Add, Dot,
// Cross, Conjugate …) are used as they are. What stands here is what the
// library lacks, or does with a tolerance of its own, and the same as plain numbers for
// loops that a benchmark calls hot. Angles are in radians, columns
// are vectors, turns follow the right-hand rule.
package space

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Vec is a point or a direction. A [3]float64 is one without a conversion.
type Vec = mgl64.Vec3

// Place counts points of a flat list; rig.Vertex is one.
type Place interface{ ~int | ~int32 | ~uint32 }

// At is the i-th point of a flat list, x y z, x y z, …
func At[F float32 | float64, I Place](list []F, i I) Vec {
	p := list[3*i : 3*i+3]
	return Vec{float64(p[0]), float64(p[1]), float64(p[2])}
}

// Finite tells that no number of v is infinite or not a number.
func Finite(v Vec) bool { return v[0]-v[0] == 0 && v[1]-v[1] == 0 && v[2]-v[2] == 0 }

// Unit is v with length 1; v itself and false where it has no direction: zero,
// infinite or not a number.
func Unit(v Vec) (Vec, bool) {
	l := v.Len()
	if !(l > 0) || math.IsInf(l, 0) {
		return v, false
	}
	return v.Mul(1 / l), true
}

// Direction is v with length 1, and zero where it has no direction.
func Direction(v Vec) Vec {
	if u, ok := Unit(v); ok {
		return u
	}
	return Vec{}
}

// Square is a unit vector at right angles to a unit vector: across x, or across y
// where n lies near x.
func Square(n Vec) Vec {
	e := Vec{1, 0, 0}
	if math.Abs(n[0]) > 0.9 {
		e = Vec{0, 1, 0}
	}
	return Level(e, n).Normalize()
}

// Level is the part of v at right angles to the unit vector n.
func Level(v, n Vec) Vec { return v.Sub(n.Mul(v.Dot(n))) }

// Angle is the angle between two vectors of any length, 0 to π. It keeps its digits
// for small angles, where the arc cosine has none left; 0 where one has no direction.
func Angle(a, b Vec) float64 { return math.Atan2(a.Cross(b).Len(), a.Dot(b)) }

// Along is the place on the line from a to b that lies nearest to p, as a share of the
// way from a to b: 0 at a, 1 at b, never outside; 0 where the line has no length.
func Along(p, a, b Vec) float64 {
	d := b.Sub(a)
	if l := d.Dot(d); l > 0 {
		return max(0, min(1, p.Sub(a).Dot(d)/l))
	}
	return 0
}

// ToSegment is how far p lies from the line from a to b.
//
// In plain numbers, as arrays are kept in memory: every place is asked about every bone.
func ToSegment(p, a, b Vec) float64 {
	x, y, z := b[0]-a[0], b[1]-a[1], b[2]-a[2]
	t := 0.0
	if l := x*x + y*y + z*z; l > 0 {
		t = ((p[0]-a[0])*x + (p[1]-a[1])*y + (p[2]-a[2])*z) / l
		if t < 0 {
			t = 0
		}
		if t > 1 {
			t = 1
		}
	}
	x, y, z = p[0]-(a[0]+x*t), p[1]-(a[1]+y*t), p[2]-(a[2]+z*t)
	return math.Sqrt(x*x + y*y + z*z)
}
