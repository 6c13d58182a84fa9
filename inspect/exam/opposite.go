package exam

import (
	"math"

	"rigloupe/inspect/rig"
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
