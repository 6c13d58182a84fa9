package carry

import "rigloupe/inspect/space"

// This package turns and moves millions of joints: its vectors and rotations are the
// plain ones.
type (
	vec  = space.XYZ
	quat = space.Turn
)

var still = quat{W: 1}

func xyz(x, y, z float64) vec      { return vec{X: x, Y: y, Z: z} }
func xyzw(x, y, z, w float64) quat { return quat{X: x, Y: y, Z: z, W: w} }

// unit is a rotation of length 1, and no turn where it has no direction.
func unit(q quat) quat {
	if u, ok := q.Unit(); ok {
		return u
	}
	return still
}

// stored is a rotation as a node holds it, made unit.
func stored(a [4]float64) quat { return unit(xyzw(a[0], a[1], a[2], a[3])) }

// toward goes a share of the shorter way from a to b at even speed.
func toward(a, b quat, share float64) quat {
	arc := space.NewArc(a, b)
	return arc.At(share)
}

func clamp(x, lo, hi float64) float64 { return max(lo, min(hi, x)) }

// flat is the level part of a way.
func flat(v, up vec) vec { return v.Level(up) }

// frame is the rotation whose columns are x, y and x×y (space.Frame).
func frame(x, y vec) (quat, bool) {
	q, ok := space.Frame(x.Vec(), y.Vec())
	return space.PlainTurn(q), ok
}
