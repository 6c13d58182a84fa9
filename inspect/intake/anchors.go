package intake

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Anchor is where something begins that a scale or a turn above it carries along:
// the topmost joint of a skin, or a node with an unskinned mesh.
type Anchor struct {
	Node rig.Node `json:"node"`
	Skin rig.Skin `json:"skin"` // −1: an unskinned mesh

	// Scale is the product of the local scales, axis by axis, from the scene root
	// down to Node itself.
	Scale [3]float64 `json:"scale"`
	// TurnDegrees is the rotation above Node (for a mesh that hangs on no joint,
	// with Node's own).
	TurnDegrees float64 `json:"turn_degrees"`
	Mirrored    bool    `json:"mirrored"` // an odd number of negative determinants on the way
	Shear       float64 `json:"shear"`    // largest |cos| between two axes there or below

	Scaled []rig.Node `json:"scaled_by" wire:"null"`    // nodes on the way that scale or mirror
	Turned []rig.Node `json:"turned_by" wire:"null"`    // nodes on the way with a rotation
	Both   []rig.Node `json:"meshes_alike" wire:"null"` // skinned mesh nodes under the same factor

	// OnScaledJoint: a mesh that hangs on a joint and gets its scale from joints alone, or
	// a joint that stands beside others and has a scale which they lack:
	// skeleton/scaled-joint tells it.
	OnScaledJoint bool `json:"on_scaled_joint"`
}

// anchors lists, skin by skin, the topmost joints of the skins that a surface
// uses, then the nodes of unskinned surfaces.
func anchors(e *exam.Exam, isJoint []bool, jointAbove []rig.Node) []Anchor {
	r := e.Rig
	out := []Anchor{}
	used := make([]bool, len(r.Skins))
	for _, i := range e.Shown() {
		if s := r.Surfaces[i].Skin; s >= 0 {
			used[s] = true
		}
	}
	mine := make([]bool, len(r.Nodes))
	for k := range r.Skins {
		if !used[k] {
			continue
		}
		joints := r.Skins[k].Joints
		for _, n := range joints {
			mine[n] = true
		}
		skinShear := 0.0
		first := len(out)
		above := r.Above(mine)
		for _, n := range joints {
			skinShear = max(skinShear, shear(&e.RestWorld()[n]))
			if above[n] < 0 {
				a := anchor(r, n)
				a.Skin = rig.Skin(k)
				out = append(out, a)
			}
		}
		// Joints side by side, as in a flat hand: what one of them has for itself alone is
		// a joint's scale, not one above the skeleton.
		plain := 0
		for i := first; i < len(out); i++ {
			if len(out[i].Scaled) == 0 {
				plain++
			}
		}
		for i := first; i < len(out); i++ {
			out[i].OnScaledJoint = 2*plain > len(out)-first && slices.Equal(out[i].Scaled, []rig.Node{out[i].Node})
			out[i].Shear = skinShear
			for _, s := range e.Shown() {
				if r.Surfaces[s].Skin != rig.Skin(k) {
					continue
				}
				if m := anchor(r, r.Surfaces[s].Node); alike(m.Scale, out[i].Scale) {
					out[i].Both = append(out[i].Both, m.Node)
				}
			}
		}
		for _, n := range joints {
			mine[n] = false
		}
	}
	for _, i := range e.Shown() {
		s := r.Surfaces[i]
		if s.Skin >= 0 {
			continue
		}
		a := anchor(r, s.Node)
		a.Skin = rig.None
		a.Shear = shear(&e.RestWorld()[s.Node])
		if isQuantised(&r.Meshes[s.Mesh]) {
			// The node's own scale belongs to the packing (KHR_mesh_quantization).
			a = anchor(r, r.Nodes[s.Node].Parent)
			a.Node, a.Skin = s.Node, rig.None
		}
		if jointAbove[s.Node] >= 0 {
			a.TurnDegrees, a.Turned = 0, nil // what hangs on a joint is turned as the joint is
			a.OnScaledJoint = len(a.Scaled) > 0 && !slices.ContainsFunc(a.Scaled, func(n rig.Node) bool { return !isJoint[n] })
		} else if t := turnOf(r, s.Node); t > 0 {
			a.TurnDegrees, a.Turned = turnDown(r, s.Node)
		}
		out = append(out, a)
	}
	return out
}

// anchor multiplies the local scales and rotations on the way down to n.
func anchor(r *rig.Rig, n rig.Node) Anchor {
	a := Anchor{Node: n, Scale: [3]float64{1, 1, 1}}
	if n < 0 {
		return a
	}
	for p := n; p >= 0; p = r.Nodes[p].Parent {
		m := &r.Nodes[p].Matrix
		s := m.Scales()
		off := 0.0
		for c := range 3 {
			a.Scale[c] *= finite(s[c])
			off = max(off, math.Abs(s[c]-1))
		}
		if m.Det() < 0 {
			a.Mirrored = !a.Mirrored
			off = 1
		}
		if off > 1e-4 {
			a.Scaled = append(a.Scaled, p)
		}
	}
	a.TurnDegrees, a.Turned = turnDown(r, r.Nodes[n].Parent)
	return a
}

// turnDown is the angle of the product of the local rotations from the root down
// to n, degrees, and the nodes that turn.
func turnDown(r *rig.Rig, n rig.Node) (degrees float64, nodes []rig.Node) {
	q := space.Still()
	for ; n >= 0; n = r.Nodes[n].Parent {
		if turnOf(r, n) > 0.1 {
			nodes = append(nodes, n)
		}
		q = space.FromXYZW(r.Nodes[n].R).Mul(q)
	}
	return angle(q), nodes
}

func turnOf(r *rig.Rig, n rig.Node) float64 { return angle(space.FromXYZW(r.Nodes[n].R)) }

// angle is how far a rotation turns, degrees; 0 where it has no direction.
func angle(q space.Quat) float64 {
	u, ok := space.UnitQuat(q)
	if !ok {
		return 0
	}
	return mgl64.RadToDeg(space.Turned(u))
}

// shear is the largest |cos| between two columns of a matrix: 0 where the axes
// stand square.
func shear(a *rig.Affine) float64 {
	s := a.Scales()
	worst := 0.0
	for i := range 3 {
		for j := i + 1; j < 3; j++ {
			if l := s[i] * s[j]; l > 0 {
				worst = max(worst, math.Abs(a[i]*a[j]+a[4+i]*a[4+j]+a[8+i]*a[8+j])/l)
			}
		}
	}
	return finite(worst)
}

// alike tells that two factors agree within 0.1 % on each axis.
func alike(a, b [3]float64) bool {
	for c := range 3 {
		if math.Abs(a[c]-b[c]) > 1e-3*max(math.Abs(a[c]), math.Abs(b[c])) {
			return false
		}
	}
	return true
}
