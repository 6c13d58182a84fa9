package exam

import (
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Opposite answers for each node the one its weights belong to on the other side:
// by name, role and place (anatomy); else the joint that stands at its mirror
// image, within 1 % of the diagonal; else itself. Ask only where Mirror has no doubt.
func (e *Exam) Opposite() []rig.Node {
	roles, world, m := e.Roles(), e.RestWorld(), e.Mirror()
	out := make([]rig.Node, len(e.Rig.Nodes))
	isJoint := make([]bool, len(e.Rig.Nodes))
	for s := range e.Rig.Skins {
		for _, j := range e.Rig.Skins[s].Joints {
			if j >= 0 && int(j) < len(isJoint) {
				isJoint[j] = true
			}
		}
	}
	var alone []rig.Node
	near := 0.01 * e.Diagonal()
	for n := range out {
		out[n] = rig.Node(n)
		if p := roles.Of[n].Partner; p >= 0 {
			out[n] = p
		} else if isJoint[n] && math.Abs(m.Side(world[n].Origin())) > near {
			alone = append(alone, rig.Node(n))
		}
	}
	opposite := func(n rig.Node) rig.Node {
		image := m.Reflect(world[n].Origin())
		best, far := rig.Node(rig.None), near
		for _, c := range alone {
			o := world[c].Origin()
			d := math.Hypot(math.Hypot(o[0]-image[0], o[1]-image[1]), o[2]-image[2])
			if d < far {
				best, far = c, d
			}
		}
		return best
	}
	for _, n := range alone {
		if p := opposite(n); p >= 0 && opposite(p) == n {
			out[n] = p
		}
	}
	return out
}

// SideNames names the half that the normal of Mirror points to, and the other: as the
// figure's own joints have it, else by the way it faces, else by the axis of the world
// that lies nearest: "+X", "−Z".
func (e *Exam) SideNames() (to, from string) {
	m, sum := e.Mirror(), 0.0
	for n, p := range e.Roles().Of {
		switch p.Side {
		case anatomy.Left:
			sum += math.Copysign(1, m.Side(e.RestWorld()[n].Origin()))
		case anatomy.Right:
			sum -= math.Copysign(1, m.Side(e.RestWorld()[n].Origin()))
		}
	}
	if dir, ok := e.Roles().Facing(); sum == 0 && ok {
		sum = space.Vec{0, 1, 0}.Cross(dir).Dot(m.Normal) // glTF: +Y is up
		if math.Abs(sum) < 0.5 {
			sum = 0
		}
	}
	switch {
	case sum > 0:
		return "left", "right"
	case sum < 0:
		return "right", "left"
	}
	axis := 0
	for c := range 3 {
		if math.Abs(m.Normal[c]) > math.Abs(m.Normal[axis]) {
			axis = c
		}
	}
	to, from = "+"+string("XYZ"[axis]), "−"+string("XYZ"[axis])
	if m.Normal[axis] < 0 {
		to, from = from, to
	}
	return to, from
}
