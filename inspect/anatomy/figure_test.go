package anatomy

import (
	"strings"

	"rigloupe/inspect/rig"
)

// bone is one joint of the test figure: where it stands (left or centre, metres;
// the T figure of a 1.75 m person after Drillis & Contini 1966, facing +Z) and what
// it hangs on.
type bone struct {
	role, name, parent string
	at                 [3]float64
}

// bones of the centre and the left; the right is their mirror image. left_ in a
// name becomes right_.
var bones = []bone{
	{"hips", "pelvis", "", [3]float64{0, .95, 0}},
	{"spine", "spine", "hips", [3]float64{0, 1.05, 0}},
	{"chest", "chest", "spine", [3]float64{0, 1.2, 0}},
	{"neck", "neck", "chest", [3]float64{0, 1.48, 0}},
	{"head", "head", "neck", [3]float64{0, 1.56, .02}},
	{"leftUpperLeg", "left_thigh", "hips", [3]float64{.09, .9275, 0}},
	{"leftLowerLeg", "left_shin", "leftUpperLeg", [3]float64{.09, .49875, 0}},
	{"leftFoot", "left_foot", "leftLowerLeg", [3]float64{.09, .06825, -.02}},
	{"leftToes", "left_toes", "leftFoot", [3]float64{.09, .01, .12}},
	{"leftShoulder", "left_clavicle", "chest", [3]float64{.04, 1.42, 0}},
	{"leftUpperArm", "left_upper_arm", "leftShoulder", [3]float64{.18, 1.4315, 0}},
	{"leftLowerArm", "left_forearm", "leftUpperArm", [3]float64{.5, 1.4315, -.01}},
	{"leftHand", "left_hand", "leftLowerArm", [3]float64{.76, 1.4315, 0}},
}

// figure builds the skeleton. Names replace the default ones by role (for a sided
// role both sides must be given); "-" leaves the joint out, its children move up.
// Extra joints are given as parent role, name, place, in turn below each other when
// the parent is "^".
func figure(names map[string]string, extra ...bone) *rig.Rig {
	r := &rig.Rig{Shown: rig.None}
	node := map[string]rig.Node{"": rig.None}
	world := map[rig.Node][3]float64{rig.None: {}}
	add := func(role, name, parent string, at [3]float64) {
		p := node[parent]
		n := rig.Node(len(r.Nodes))
		pw := world[p]
		local := rig.Identity
		local[3], local[7], local[11] = at[0]-pw[0], at[1]-pw[1], at[2]-pw[2]
		r.Nodes = append(r.Nodes, rig.NodeData{Name: name, Parent: p, Mesh: rig.None, Skin: rig.None, Matrix: local})
		if p >= 0 {
			r.Nodes[p].Children = append(r.Nodes[p].Children, n)
		}
		node[role], node["^"], world[n] = n, n, at
	}
	put := func(role, name, parent string, at [3]float64) {
		if s, ok := names[role]; ok {
			name = s
		}
		if name == "-" {
			node[role] = node[parent]
			return
		}
		add(role, name, parent, at)
	}
	for _, b := range bones {
		put(b.role, b.name, b.parent, b.at)
	}
	for _, b := range bones {
		if strings.HasPrefix(b.role, "left") {
			put(mirrored(b.role), strings.Replace(b.name, "left", "right", 1), mirrored(b.parent), [3]float64{-b.at[0], b.at[1], b.at[2]})
		}
	}
	for _, b := range extra {
		add(b.role, b.name, b.parent, b.at)
	}
	r.Skins = []rig.SkinData{{Skeleton: rig.None}}
	for i := range r.Nodes {
		r.Skins[0].Joints = append(r.Skins[0].Joints, rig.Node(i))
		r.Skins[0].Bind = append(r.Skins[0].Bind, rig.Identity)
	}
	r.SetOrder()
	return r
}

func find(r *rig.Rig) *Roles { return Find(r, r.RestWorld()) }

// byName is the first node of a name.
func byName(r *rig.Rig, name string) rig.Node {
	for i := range r.Nodes {
		if r.Nodes[i].Name == name {
			return rig.Node(i)
		}
	}
	return rig.None
}
