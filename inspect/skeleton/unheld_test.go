package skeleton

import (
	"path/filepath"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

func unhold(names ...string) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for i := 0; i+1 < len(names); i += 2 {
			lamplighter.Unhold(int(lamplighter.Node(names[i])), int(lamplighter.Node(names[i+1])))(r)
		}
	}
}

func TestRoleUnheld(t *testing.T) {
	bothSides(t, "skeleton/role-unheld", lamp, []side{
		{name: "all hold"},
		{name: "a forearm", plant: unhold("lowerArm_L", "upperArm_L"), grade: check.Flaw, measure: "joints", value: 1, joints: []string{"lowerArm_L"}},
		{name: "one may", plant: unhold("lowerArm_L", "upperArm_L"), limits: map[string]float64{"joints": 1}},
		{name: "both thighs", plant: unhold("upperLeg_L", "hips", "upperLeg_R", "hips"), grade: check.Flaw, measure: "joints", value: 2, joints: []string{"upperLeg_L", "upperLeg_R"}},
		{name: "a hand, the other holds", plant: unhold("hand_L", "lowerArm_L"), grade: check.Flaw, joints: []string{"hand_L"}},
		{name: "both hands, and there are mittens", plant: unhold("hand_L", "lowerArm_L", "hand_R", "lowerArm_R"), grade: check.Flaw, measure: "joints", value: 2},
		{name: "the head", plant: unhold("head", "neck"), grade: check.Flaw, joints: []string{"head"}},
		{name: "hips, shoulders, spine, neck and toes are often structure alone",
			plant: unhold("hips", "spine", "shoulder_L", "chest", "shoulder_R", "chest", "neck", "chest", "toes_L", "foot_L", "toes_R", "foot_R")},
		{name: "a twist joint on the forearm holds it", plant: func(r *rig.Rig) {
			lamplighter.AddJoint("lowerArm_L_twist", int(lamplighter.Node("lowerArm_L")), 0, 0, 0)(r)
			n := rig.Node(len(r.Nodes) - 1)
			w := r.RestWorld()
			at, to := w[lamplighter.Node("lowerArm_L")], w[lamplighter.Node("hand_L")].Origin()
			for c := range 3 {
				at[4*c+3] = 0.6*at[4*c+3] + 0.4*to[c]
			}
			back, _ := w[r.Nodes[n].Parent].Inverse()
			local(r, n, back.Mul(&at))
			r.SetOrder()
			k := len(r.Skins[0].Joints) - 1
			r.Skins[0].Bind[k], _ = at.Inverse()
			lamplighter.Unhold(int(lamplighter.Node("lowerArm_L")), k)(r)
		}},
	})
}

// Real and built figures: sound ones are silent, and each loses a limb's weights in turn.
func TestRoleUnheldInOtherFigures(t *testing.T) {
	figures := map[string]func() *rig.Rig{
		"three heads": func() *rig.Rig { return menagerie.ThreeHeads(menagerie.Options{}) },
		"with gear":   func() *rig.Rig { return menagerie.Person(menagerie.Options{}) },
	}
	paths, _ := filepath.Glob(checktest.Corpus + "/models/*.gl*")
	for _, name := range []string{"Knight.glb", "robot.glb", "cesium_man.gltf"} {
		if path := filepath.Join(checktest.Corpus, "models", name); slices.Contains(paths, path) {
			figures[name] = func() *rig.Rig { return checktest.Open(t, path) }
		}
	}
	for name, figure := range figures {
		if f := measured(t, figure()); len(f.Unheld) > 0 {
			t.Errorf("%s: blamed for %s", name, f.names(f.Unheld))
		}
		for _, role := range []string{"leftLowerArm", "rightUpperLeg", "leftLowerLeg", "rightHand", "head"} {
			r := figure()
			f := measured(t, r)
			n := f.roles.Node(role)
			up := f.jointParent(n)
			if f.at(n) == nil || f.at(n).Influence == 0 {
				continue
			}
			planted := true
			for s := range r.Skins {
				joints := r.Skins[s].Joints
				k, to := slices.Index(joints, n), slices.Index(joints, up)
				for _, surface := range r.Surfaces {
					m := &r.Meshes[surface.Mesh]
					if surface.Skin != rig.Skin(s) {
						continue
					}
					for i := range m.Joints {
						if int(m.Joints[i]) == k && m.Weights[i] > 0 {
							if planted = planted && to >= 0; to >= 0 {
								m.Joints[i] = uint16(to)
							}
						}
					}
				}
			}
			after := measured(t, r)
			helped := after.helped(after.at(n)) || role == "rightHand" && after.at(n).below > 0 || role == "head" && after.at(n).below > 0
			if planted && !helped && !after.stiffParts()[n] && !slices.Contains(after.Unheld, n) {
				t.Errorf("%s: %s holds nothing, and is not told: %v", name, role, after.Unheld)
			}
		}
	}
}
