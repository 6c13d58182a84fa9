package anatomy

import (
	"slices"
	"testing"

	"rigloupe/inspect/rig"
)

func TestTokens(t *testing.T) {
	for _, row := range []struct {
		name string
		want []string
	}{
		{"left_upper_arm", []string{"left", "upper", "arm"}},
		{"upperArmRight", []string{"upper", "arm", "right"}},
		{"BN_SPINE_A", []string{"bn", "spine", "a"}},
		{"IKFoot", []string{"ik", "foot"}},
		{"heelIK.l", []string{"heel", "ik", "l"}},
		{"hero:LeftAnkle", []string{"left", "ankle"}},
		{"a|b|Thumb2.L", []string{"thumb", "2", "l"}},
		{"Fuß-links 3", []string{"fuss", "links", "3"}},
		{"main_dröite", []string{"main", "droite"}},
		{"tête", []string{"tete"}},
		{"te\u0302te", []string{"tete"}}, // combining accent
		{"", nil},
		{"::", nil},
		{"左", []string{"左"}},
	} {
		if got := tokens(row.name); !slices.Equal(got, row.want) {
			t.Errorf("%q: %q, want %q", row.name, got, row.want)
		}
	}
}

// rows of the name table (invented names; common practice, no source). Each stands
// in a whole figure with its partner; the name must be understood, not only its
// place, so the confidence must be that of a name that agrees.
func TestNamedRows(t *testing.T) {
	rows := []struct {
		number  int
		name    string
		partner string            // the joint opposite
		at      string            // role whose joint bears the name; "": an extra joint
		on      string            // of an extra joint: what it hangs on
		more    map[string]string // further names
		extra   []bone
		role    string
		side    Side
	}{
		{number: 1, name: "pelvis", at: "hips", role: "hips", side: Centre},
		{number: 2, name: "left_thigh", partner: "right_thigh", at: "leftUpperLeg", role: "leftUpperLeg", side: Left},
		{number: 3, name: "left_shin", partner: "right_shin", at: "leftLowerLeg", role: "leftLowerLeg", side: Left},
		{number: 4, name: "right_foot", partner: "left_foot", at: "rightFoot", role: "rightFoot", side: Right},
		{number: 5, name: "right_toes", partner: "left_toes", at: "rightToes", role: "rightToes", side: Right},
		{number: 6, name: "left_collarbone", partner: "right_collarbone", at: "leftShoulder", role: "leftShoulder", side: Left},
		{number: 7, name: "left_upper_arm", partner: "right_upper_arm", at: "leftUpperArm", role: "leftUpperArm", side: Left},
		{number: 8, name: "left_forearm", partner: "right_forearm", at: "leftLowerArm", role: "leftLowerArm", side: Left},
		{number: 9, name: "left_hand", partner: "right_hand", at: "leftHand", role: "leftHand", side: Left},
		{number: 10, name: "left_ring_2", on: "leftHand", extra: digit("left_ring_1", "left_ring_2", "left_ring_3", "left_ring_end"), role: "leftRingIntermediate", side: Left},
		{number: 11, name: "neck", at: "neck", role: "neck", side: Centre},
		{number: 12, name: "skull", at: "head", role: "head", side: Centre},
		{number: 13, name: "upperArmRight", partner: "upperArmLeft", at: "rightUpperArm", role: "rightUpperArm", side: Right},
		{number: 14, name: "RightElbow", partner: "LeftElbow", at: "rightLowerArm", role: "rightLowerArm", side: Right},
		{number: 15, name: "LeftKnee", partner: "RightKnee", at: "leftLowerLeg", role: "leftLowerLeg", side: Left},
		{number: 16, name: "wristL", partner: "wristR", at: "leftHand", role: "leftHand", side: Left},
		{number: 17, name: "lftThumbA", extra: digit("lftThumbA", "lftThumbB", "lftThumbC"), role: "leftThumbMetacarpal", side: Left},
		{number: 18, name: "indexDistalR", extra: append(digitOf("rightHand", "indexProximalR", "indexIntermediateR", "indexDistalR"), digit("indexProximalL", "indexIntermediateL", "indexDistalL")...), role: "rightIndexDistal", side: Right},
		{number: 19, name: "littleProximalLeft", extra: digit("littleProximalLeft", "littleIntermediateLeft", "littleDistalLeft"), role: "leftLittleProximal", side: Left},
		{number: 20, name: "jawHinge", extra: []bone{{"jaw", "jawHinge", "head", [3]float64{0, 1.58, .04}}}, role: "jaw", side: Centre},
		{number: 21, name: "EyeRgt", extra: []bone{{"e", "EyeRgt", "head", [3]float64{-.03, 1.63, .08}}, {"f", "EyeLft", "head", [3]float64{.03, 1.63, .08}}}, role: "rightEye", side: Right},
		{number: 22, name: "crownTip", extra: []bone{{"e", "crownTip", "head", [3]float64{0, 1.75, .02}}}, side: Centre},
		{number: 23, name: "arm_upper.L", partner: "arm_upper.R", at: "leftUpperArm", role: "leftUpperArm", side: Left},
		{number: 24, name: "L.leg.lower", partner: "R.leg.lower", at: "leftLowerLeg", role: "leftLowerLeg", side: Left},
		{number: 25, name: "finger-middle-1-r", extra: append(digitOf("rightHand", "finger-middle-1-r", "finger-middle-2-r", "finger-middle-3-r"), digit("finger-middle-1-l", "finger-middle-2-l", "finger-middle-3-l")...), role: "rightMiddleProximal", side: Right},
		{number: 26, name: "foot.R.002", partner: "foot.L.002", at: "rightFoot", role: "rightFoot", side: Right},
		{number: 27, name: "BN_SPINE_A", at: "spine", more: map[string]string{"chest": "BN_SPINE_B"}, role: "spine", side: Centre},
		{number: 28, name: "l-ball", partner: "r-ball", at: "leftToes", role: "leftToes", side: Left},
		{number: 29, name: "c_chest_jnt", at: "chest", role: "chest", side: Centre},
		{number: 30, name: "R_CLAVICLE", partner: "L_CLAVICLE", at: "rightShoulder", role: "rightShoulder", side: Right},
		{number: 31, name: "avant_bras_gauche", partner: "avant_bras_droit", at: "leftLowerArm", more: map[string]string{"leftUpperArm": "bras_gauche", "rightUpperArm": "bras_droit"}, role: "leftLowerArm", side: Left},
		{number: 32, name: "cuisse_droite", partner: "cuisse_gauche", at: "rightUpperLeg", role: "rightUpperLeg", side: Right},
		{number: 33, name: "Oberschenkel_links", partner: "Oberschenkel_rechts", at: "leftUpperLeg", role: "leftUpperLeg", side: Left},
		{number: 34, name: "Unterarm_rechts", partner: "Unterarm_links", at: "rightLowerArm", role: "rightLowerArm", side: Right},
		{number: 35, name: "mano_izquierda", partner: "mano_derecha", at: "leftHand", role: "leftHand", side: Left},
		{number: 36, name: "rodilla_der", partner: "rodilla_izq", at: "rightLowerLeg", role: "rightLowerLeg", side: Right},
		{number: 37, name: "hidari_hiji", partner: "migi_hiji", at: "leftLowerArm", role: "leftLowerArm", side: Left},
		{number: 38, name: "migi_momo", partner: "hidari_momo", at: "rightUpperLeg", role: "rightUpperLeg", side: Right},
		{number: 39, name: "hidari_oyayubi_1", extra: digit("hidari_oyayubi_1", "hidari_oyayubi_2", "hidari_oyayubi_3"), role: "leftThumbMetacarpal", side: Left},
		{number: 40, name: "koshi", at: "hips", role: "hips", side: Centre},
		{number: 41, name: "humerus_sin", partner: "humerus_dext", at: "leftUpperArm", role: "leftUpperArm", side: Left},
		{number: 42, name: "tibia_dext", partner: "tibia_sin", at: "rightLowerLeg", role: "rightLowerLeg", side: Right},
		{number: 43, name: "Kopf", at: "head", role: "head", side: Centre},
		{number: 44, name: "clavicula_sin", partner: "clavicula_dext", at: "leftShoulder", role: "leftShoulder", side: Left},
		{number: 45, name: "hero:LeftAnkle", partner: "hero:RightAnkle", at: "leftFoot", role: "leftFoot", side: Left},
		{number: 46, name: "forearm_twist_L", extra: []bone{{"e", "forearm_twist_L", "leftLowerArm", [3]float64{.6, 1.43, 0}}, {"f", "forearm_twist_R", "rightLowerArm", [3]float64{-.6, 1.43, 0}}}, side: Left},
		{number: 47, name: "toe_end_r", extra: []bone{{"e", "toe_end_r", "rightToes", [3]float64{-.09, .01, .2}}, {"f", "toe_end_l", "leftToes", [3]float64{.09, .01, .2}}}, side: Right},
		{number: 48, name: "armor_plate_l", extra: []bone{{"e", "armor_plate_l", "chest", [3]float64{.1, 1.3, .1}}, {"f", "armor_plate_r", "chest", [3]float64{-.1, 1.3, .1}}}, side: Left},
		{number: 49, name: "string_03", extra: []bone{{"e", "string_03", "hips", [3]float64{.1, 1, .1}}}},
		{number: 50, name: "l_hip", partner: "r_hip", at: "leftUpperLeg", more: map[string]string{"leftLowerLeg": "l_knee", "rightLowerLeg": "r_knee"}, role: "leftUpperLeg", side: Left},
		{number: 51, name: "hip", at: "hips", role: "hips", side: Centre},
		{number: 52, name: "l_shoulder", partner: "r_shoulder", at: "leftUpperArm", more: map[string]string{"leftShoulder": "-", "rightShoulder": "-", "leftLowerArm": "l_elbow", "rightLowerArm": "r_elbow"}, role: "leftUpperArm", side: Left},
		{number: 53, name: "l_shoulder", partner: "r_shoulder", at: "leftShoulder", more: map[string]string{"leftUpperArm": "l_arm", "rightUpperArm": "r_arm", "leftLowerArm": "l_elbow", "rightLowerArm": "r_elbow"}, role: "leftShoulder", side: Left},
		{number: 53, name: "l_arm", partner: "r_arm", at: "leftUpperArm", more: map[string]string{"leftShoulder": "l_shoulder", "rightShoulder": "r_shoulder", "leftLowerArm": "l_elbow", "rightLowerArm": "r_elbow"}, role: "leftUpperArm", side: Left},
		{number: 53, name: "l_elbow", partner: "r_elbow", at: "leftLowerArm", more: map[string]string{"leftUpperArm": "l_arm", "rightUpperArm": "r_arm", "leftShoulder": "l_shoulder", "rightShoulder": "r_shoulder"}, role: "leftLowerArm", side: Left},
		{number: 54, name: "back0", at: "spine", more: map[string]string{"chest": "back2"}, role: "spine", side: Centre},
		{number: 55, name: "torso", at: "spine", more: map[string]string{"chest": "-"}, role: "spine", side: Centre},
		{number: 56, name: "RightHandProp", extra: []bone{{"e", "RightHandProp", "rightHand", [3]float64{-.9, 1.43, 0}}}, side: Right},
		{number: 57, name: "joint12", extra: []bone{{"e", "joint12", "chest", [3]float64{.1, 1.3, .1}}}},
		{number: 58, name: "tail_02", extra: []bone{{"e", "tail_02", "hips", [3]float64{0, .9, -.3}}}, side: Centre},
		{number: 59, name: "front_leg_l", extra: []bone{{"e", "front_leg_l", "chest", [3]float64{.1, .5, .4}}, {"f", "front_leg_r", "chest", [3]float64{-.1, .5, .4}}}, side: Left},
		{number: 60, name: "ribRight", extra: []bone{{"e", "ribRight", "chest", [3]float64{-.1, 1.3, .1}}}, side: Right},
	}
	right := 0
	for _, row := range rows {
		names := map[string]string{}
		for k, v := range row.more {
			names[k] = v
		}
		if row.at != "" {
			names[row.at] = row.name
			if row.partner != "" {
				names[mirrored(row.at)] = row.partner
			}
		}
		r := figure(names, row.extra...)
		roles := find(r)
		p := roles.Of[byName(r, row.name)]
		ok := p.Role == row.role && p.Side == row.side && (row.role == "" || p.Confidence >= TwoOfThree)
		if ok {
			right++
		} else {
			t.Errorf("row %d %q: role %q %.2f side %q, want %q side %q (%s)", row.number, row.name, p.Role, p.Confidence, p.Side, row.role, row.side, p.Evidence)
		}
	}
	t.Logf("%d of %d rows", right, len(rows))
}

// digit is a chain on the left hand.
func digit(names ...string) []bone { return digitOf("leftHand", names...) }

func digitOf(hand string, names ...string) (out []bone) {
	x := .84
	if hand == "rightHand" {
		x = -.84
	}
	for i, n := range names {
		parent := "^"
		if i == 0 {
			parent = hand
		}
		out = append(out, bone{n, n, parent, [3]float64{x + float64(i)*.03*x/.84, 1.43, 0}})
	}
	return out
}

// Row 54 whole: three joints of one name, counted from 0.
func TestBackChain(t *testing.T) {
	r := figure(map[string]string{"spine": "back0", "chest": "back1"})
	n := rig.Node(len(r.Nodes))
	back := byName(r, "back1")
	at := rig.Identity
	at[7] = .1
	r.Nodes = append(r.Nodes, rig.NodeData{Name: "back2", Parent: back, Children: slices.Clone(r.Nodes[back].Children), Mesh: rig.None, Skin: rig.None, Matrix: at})
	for _, c := range r.Nodes[back].Children {
		r.Nodes[c].Parent = n
		r.Nodes[c].Matrix[7] -= .1
	}
	r.Nodes[back].Children = []rig.Node{n}
	r.Skins[0].Joints = append(r.Skins[0].Joints, n)
	r.SetOrder()
	roles := find(r)
	for name, want := range map[string]string{"back0": "spine", "back1": "chest", "back2": "upperChest"} {
		if got := roles.Of[byName(r, name)].Role; got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}
