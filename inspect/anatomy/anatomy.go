// Package anatomy tells which joint of a rig plays which part of a human body,
// on which side it stands and which joint is its partner there: from the names,
// from what hangs on what, and from where it stands. Roles bear the bone names of
// VRM 1.0 (VRMC_vrm-1.0, humanoid).
package anatomy

import (
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// Side of the body a joint belongs to.
type Side uint8

const (
	NoSide Side = iota // unknown
	Left
	Right
	Centre
)

func (s Side) String() string { return [...]string{"", "left", "right", "centre"}[s] }

// Other is the opposite side; Centre and NoSide stay.
func (s Side) Other() Side { return [...]Side{NoSide, Right, Left, Centre}[s] }

// Part is what one node is found to be.
type Part struct {
	Role       string   // VRM 1.0 bone name, "": none
	Confidence float64  // of Role, 0…1; see the constants below
	Side       Side     // by name, role or place
	Named      Side     // what the name says alone: Left, Right, Centre, else NoSide
	Helper     bool     // the name says helper, end or the like: it stands beside the body, not in it
	Partner    rig.Node // on the other side, None. Joints of the middle have none
	Evidence   string   // why, in words

	Limb      string // in plain words, of a figure that is no person: "left fore limb", "tail"; "": none, or it has a role
	LimbJoint int    // its place in that limb, from 1 at the trunk
}

// How far each kind of evidence carries: a name is never proof; where the joint
// hangs and stands outranks it (common practice, no source).
const (
	Declared    = 1.0  // the file maps the role itself
	AllThree    = 0.95 // name, topology and place agree
	TwoOfThree  = 0.85 // name and topology
	Unnamed     = 0.7  // topology and place, no name
	NameAlone   = 0.6  // a name that is a role and nothing else
	NameLoosely = 0.4  // the name holds other words as well, nothing else speaks for it
)

// Roles holds the findings for a whole rig.
type Roles struct {
	Of   []Part              // one a node
	Bone map[string]rig.Node // role → node

	Kind         Kind
	Certainty    float64 // of Kind, 0…1
	KindEvidence string  // why, in words

	NotBiped bool       // of a kind with other limbs than a person's: no role for them
	FourFeet []rig.Node // what stands on four legs stands on

	positions []mgl64.Vec3 // of the nodes at rest, world
}

// Find works out the parts of every node. restWorld holds one matrix a node.
// A humanoid map that the file declares wins over everything found.
func Find(r *rig.Rig, restWorld []rig.Affine) *Roles {
	out := &Roles{Of: make([]Part, len(r.Nodes)), Bone: map[string]rig.Node{}, positions: make([]mgl64.Vec3, len(r.Nodes))}
	for i := range out.Of {
		out.Of[i].Partner = rig.None
		out.positions[i] = restWorld[i].Origin()
	}
	f := newFinder(r, out)
	f.declare()
	if len(f.order) > mostJoints {
		f.byName()
		f.sides()
		return out
	}
	f.resolve()
	f.limbs()
	f.middle()
	f.fourLegs()
	f.hands()
	if f.bodyRoles() < figureRoles {
		f.byStructure()
	}
	f.tellKind()
	f.grade()
	f.partners()
	return out
}

// Joined answers the roles of several figures of one file in one: each joint has its
// own figure's part; bones, kind and feet are those of the first. joints lists those of
// each. nil without any.
func Joined(figures []*Roles, joints [][]rig.Node) *Roles {
	if len(figures) == 0 {
		return nil
	}
	out := *figures[0]
	out.Of = slices.Clone(out.Of)
	for i, f := range figures {
		for _, n := range joints[i] {
			out.Of[n] = f.Of[n]
			out.positions[n] = f.positions[n]
		}
	}
	return &out
}

// Node answers the node of a role, None.
func (r *Roles) Node(role string) rig.Node {
	if n, ok := r.Bone[role]; ok {
		return n
	}
	return rig.None
}

// mostJoints that are searched for a body; among more only the names are read. Some
// steps look at every pair of joints.
const mostJoints = 4000

// figureRoles of the body, hips among them, make a figure.
const figureRoles = 8

// IsFigure tells that the rig is a human-like figure: at least 8 roles of trunk,
// head, arms and legs, hips among them, and of no other kind.
func (r *Roles) IsFigure() bool {
	if r.Node("hips") == rig.None || r.Kind != Person && r.Kind != NoKind {
		return false
	}
	n := 0
	for role := range r.Bone {
		if isBody(role) {
			n++
		}
	}
	return n >= figureRoles
}
