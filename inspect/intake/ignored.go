package intake

import (
	"math"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// Ignored is the placement of a node with a skinned mesh, which a player must
// ignore (glTF 2.0, Skins), and what would happen where it is not.
type Ignored struct {
	FromIdentity float64    `json:"from_identity"` // largest entry of |global − identity|
	ShiftM       float64    `json:"shift_m"`       // farthest that a vertex would move beyond what the skeleton's own parent carries as well
	Vertex       rig.Vertex `json:"vertex"`
}

// ignored answers nil for an unskinned surface.
func ignored(e *exam.Exam, surface int) *Ignored {
	r := e.Rig
	s := r.Surfaces[surface]
	if s.Skin < 0 || r.Meshes[s.Mesh].K == 0 {
		return nil
	}
	world := e.RestWorld()
	g := &Ignored{Vertex: rig.None}
	node := world[s.Node]
	for i, v := range node {
		g.FromIdentity = max(g.FromIdentity, math.Abs(v-rig.Identity[i]))
	}
	g.FromIdentity = finite(g.FromIdentity)
	if g.FromIdentity <= identitySlack { // rounding alone: there is no placement to ignore
		return g
	}
	beyond := node
	if top := topJoint(r, s.Skin); top >= 0 && r.Nodes[top].Parent >= 0 {
		if inv, ok := world[r.Nodes[top].Parent].Inverse(); ok {
			beyond = node.Mul(&inv)
		}
	}
	pos := e.RestPositions(surface)
	worst := 0.0
	for v := 0; v+2 < len(pos); v += 3 {
		x, y, z := float64(pos[v]), float64(pos[v+1]), float64(pos[v+2])
		dx := beyond[0]*x + beyond[1]*y + beyond[2]*z + beyond[3] - x
		dy := beyond[4]*x + beyond[5]*y + beyond[6]*z + beyond[7] - y
		dz := beyond[8]*x + beyond[9]*y + beyond[10]*z + beyond[11] - z
		if d := dx*dx + dy*dy + dz*dz; d > worst {
			worst, g.Vertex = d, rig.Vertex(v/3)
		}
	}
	g.ShiftM = finite(math.Sqrt(worst))
	return g
}

// topJoint is the first joint of a skin that hangs below no other of it, None.
func topJoint(r *rig.Rig, s rig.Skin) rig.Node {
	joints := r.Skins[s].Joints
	mine := make([]bool, len(r.Nodes))
	for _, n := range joints {
		mine[n] = true
	}
	above := r.Above(mine)
	for _, n := range joints {
		if above[n] < 0 {
			return n
		}
	}
	return rig.None
}
