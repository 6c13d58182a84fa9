package scene

import (
	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Fields are what the examiner found per surface and vertex and per node; any of
// them may be nil, and then the lens says that it was not looked at. Without Side
// the scene reads sides from names itself.
type Fields struct {
	SurfaceMismatch [][]float32 // by surface, per mesh vertex: metres to the mirrored partner, NaN: none
	WeightMismatch  [][]float32 // by surface, per mesh vertex: 0 … 1, NaN: none
	MirrorSurface   [][]int32   // by surface, per mesh vertex: surface of the partner, −1
	MirrorPartner   [][]int32   // by surface, per mesh vertex: its vertex there, −1
	Side            []int8      // by node: +1 left, −1 right, 0 centre or unknown
	Partner         []rig.Node  // by node, None
	Role            []string    // by node, VRM bone name or ""
	Facing          space.Vec   // world direction the figure faces; zero: unknown
	Stands          [2]float64  // y of the lowest and highest of its body at rest, gear left out, metres; equal: unknown
}

// RoleFields are the fields that roles give.
func RoleFields(r *rig.Rig, roles *anatomy.Roles) *Fields {
	n := len(r.Nodes)
	f := &Fields{Side: make([]int8, n), Partner: make([]rig.Node, n), Role: make([]string, n)}
	for i := range n {
		f.Partner[i] = rig.None
		if i >= len(roles.Of) {
			continue
		}
		p := &roles.Of[i]
		switch p.Side {
		case anatomy.Left:
			f.Side[i] = 1
		case anatomy.Right:
			f.Side[i] = -1
		}
		f.Partner[i], f.Role[i] = p.Partner, p.Role
	}
	if dir, ok := roles.Facing(); ok {
		f.Facing = dir
	}
	return f
}
