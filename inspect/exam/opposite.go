package exam

import (
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/geom"
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
	// Joints that begin in one place, as the bones of a palm may, are told apart by where
	// they lead; a bone that leads elsewhere on one side has its partner where it begins.
	for _, place := range []func(rig.Node) space.Vec{e.midway, func(n rig.Node) space.Vec { return world[n].Origin() }} {
		at := make([]float32, 0, 3*len(alone))
		for _, n := range alone {
			p := place(n)
			at = append(at, float32(p[0]), float32(p[1]), float32(p[2]))
		}
		partner := geom.Across(m.Plane, at, near)
		var left []rig.Node
		for i, n := range alone {
			if k := partner[i]; k >= 0 {
				out[n] = alone[k]
			} else {
				left = append(left, n)
			}
		}
		alone = left
	}
	return out
}

// midway is half way from a node to the middle of those below it; a node without any is
// where it is.
func (e *Exam) midway(n rig.Node) space.Vec {
	world := e.RestWorld()
	from, kids, sum := world[n].Origin(), e.Rig.Nodes[n].Children, space.Vec{}
	if len(kids) == 0 {
		return from
	}
	for _, c := range kids {
		sum = sum.Add(world[c].Origin())
	}
	return from.Add(sum.Mul(1 / float64(len(kids)))).Mul(.5)
}

// leftOf is above zero where a plane's normal points to the left of what faces along dir, both
// unit, below where to the right, and 0 where it points rather forward: nearer than 30° to dir.
func leftOf(dir, normal space.Vec) float64 {
	sum := space.Vec{0, 1, 0}.Cross(dir).Dot(normal) // glTF: +Y is up
	if math.Abs(sum) < 0.5 {
		return 0
	}
	return sum
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
		sum = leftOf(dir, m.Normal)
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
