package anatomy

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Stands tells how the trunk (hips to neck or head) is turned against +Y, degrees;
// NaN when there is no trunk.
func (r *Roles) Stands() float64 {
	u := r.up()
	if u.Len() == 0 {
		return math.NaN()
	}
	return math.Acos(max(-1, min(1, u[1]))) * 180 / math.Pi
}

// Facing is the way the figure faces, unit and level, and false when it cannot be
// told: (left thigh − right thigh) × up, else the same of the upper arms. Where the
// toes point more than 90° away from that, the labels of the sides are swapped and
// the toes are believed. A figure that lies has no facing.
func (r *Roles) Facing() (dir space.Vec, ok bool) {
	if a := r.Stands(); math.IsNaN(a) || a > 60 {
		return dir, false
	}
	toes := r.toes()
	for _, bone := range []string{"UpperLeg", "UpperArm"} {
		l, rt := r.Node("left"+bone), r.Node("right"+bone)
		if l < 0 || rt < 0 {
			continue
		}
		f := r.positions[l].Sub(r.positions[rt]).Cross(mgl64.Vec3{0, 1, 0})
		f[1] = 0
		if f.Len() < 1e-9 {
			continue
		}
		f = f.Normalize()
		if f.Dot(toes) < 0 {
			f = f.Mul(-1)
		}
		return f, true
	}
	if toes.Len() > 0 {
		return toes.Normalize(), true
	}
	return dir, false
}

// toes is the mean level direction from foot to toes, zero when there are none.
func (r *Roles) toes() mgl64.Vec3 {
	var sum mgl64.Vec3
	for _, s := range []Side{Left, Right} {
		foot, toe := r.Node(sided(s, "Foot")), r.Node(sided(s, "Toes"))
		if foot < 0 || toe < 0 {
			continue
		}
		d := r.positions[toe].Sub(r.positions[foot])
		d[1] = 0
		sum = sum.Add(d)
	}
	return sum
}

// Position is where a node stands at rest, world, metres.
func (r *Roles) Position(n rig.Node) space.Vec { return r.positions[n] }
