package anatomy

import (
	"strings"
	"testing"

	"rigloupe/inspect/rig"
)

// The words of many meanings, and what decides (common practice, no source).
func TestAmbiguousWords(t *testing.T) {
	for _, row := range []struct {
		name  string
		names map[string]string // at a role's joint; the right side is made from the left
		extra []bone
		want  map[string]string // name → role, "" none
	}{
		{name: "two numbered arms", names: map[string]string{"leftUpperArm": "arm1_l", "leftLowerArm": "arm2_l"},
			want: map[string]string{"arm1_l": "leftUpperArm", "arm2_l": "leftLowerArm", "arm2_r": "rightLowerArm"}},
		{name: "two numbered legs", names: map[string]string{"leftUpperLeg": "leg1_l", "leftLowerLeg": "leg2_l"},
			want: map[string]string{"leg1_l": "leftUpperLeg", "leg2_l": "leftLowerLeg"}},
		{name: "leg below a thigh", names: map[string]string{"leftLowerLeg": "left_leg"}, want: map[string]string{"left_leg": "leftLowerLeg"}},
		{name: "leg above a knee", names: map[string]string{"leftUpperLeg": "left_leg", "leftLowerLeg": "left_knee"}, want: map[string]string{"left_leg": "leftUpperLeg", "left_knee": "leftLowerLeg"}},
		{name: "shoulder, arm, forearm", names: map[string]string{"leftShoulder": "left_shoulder", "leftUpperArm": "left_arm"},
			want: map[string]string{"left_shoulder": "leftShoulder", "left_arm": "leftUpperArm"}},
		{name: "collar, shoulder, elbow", names: map[string]string{"leftShoulder": "left_collar", "leftUpperArm": "left_shoulder", "leftLowerArm": "left_elbow"},
			want: map[string]string{"left_collar": "leftShoulder", "left_shoulder": "leftUpperArm"}},
		{name: "clavicle and shoulder blade", names: map[string]string{"leftShoulder": "left_scapula"},
			want: map[string]string{"left_scapula": "leftShoulder"}},
		{name: "hip above the thigh", names: map[string]string{"hips": "pelvis"}, extra: []bone{{"h", "left_hip", "hips", [3]float64{.1, .95, 0}}},
			want: map[string]string{"left_thigh": "leftUpperLeg", "pelvis": "hips"}},
		{name: "ball is a toy elsewhere", extra: []bone{{"b", "ball", "hips", [3]float64{0, .5, .5}}}, want: map[string]string{"ball": ""}},
		{name: "ring is no finger at the hips", extra: []bone{{"b", "left_ring", "hips", [3]float64{.2, .9, 0}}}, want: map[string]string{"left_ring": ""}},
		{name: "ashi by depth", names: map[string]string{"leftUpperLeg": "hidari_momo", "leftLowerLeg": "hidari_sune", "leftFoot": "hidari_ashi"}, want: map[string]string{"hidari_ashi": "leftFoot"}},
		{name: "heel is a helper", extra: []bone{{"b", "left_heel", "leftFoot", [3]float64{.09, 0, -.06}}}, want: map[string]string{"left_heel": "", "left_foot": "leftFoot"}},
		{name: "no neck", names: map[string]string{"neck": "-"}, want: map[string]string{"head": "head", "chest": "chest"}},
		{name: "unnamed neck", names: map[string]string{"neck": "x9"}, want: map[string]string{"x9": "neck", "chest": "chest"}},
		{name: "limb without a side stands on it", names: map[string]string{"leftHand": "wrist", "rightHand": "wrist"}, want: map[string]string{"wrist": "leftHand"}},
		{name: "four finger joints with the palm's", extra: digit("left_index_0", "left_index_1", "left_index_2", "left_index_3"),
			want: map[string]string{"left_index_0": "", "left_index_1": "leftIndexProximal", "left_index_3": "leftIndexDistal"}},
		{name: "four finger joints with the tip", extra: digit("left_index_1", "left_index_2", "left_index_3", "left_index_4"),
			want: map[string]string{"left_index_1": "leftIndexProximal", "left_index_3": "leftIndexDistal", "left_index_4": ""}},
		{name: "thumb from 0", extra: digit("left_thumb_0", "left_thumb_1", "left_thumb_2"), want: map[string]string{"left_thumb_0": "leftThumbMetacarpal", "left_thumb_2": "leftThumbDistal"}},
		{name: "VRM 0.x words for the thumb", extra: digit("leftThumbProximal", "leftThumbIntermediate", "leftThumbDistal"),
			want: map[string]string{"leftThumbProximal": "leftThumbMetacarpal", "leftThumbIntermediate": "leftThumbProximal", "leftThumbDistal": "leftThumbDistal"}},
		{name: "prefix on every name", names: map[string]string{"hips": "hero_pelvis"}, want: map[string]string{"hero_pelvis": "hips"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			names := map[string]string{}
			for role, n := range row.names {
				names[role] = n
				other := strings.NewReplacer("left", "right", "_l", "_r", "hidari", "migi").Replace(n)
				if _, given := row.names[mirrored(role)]; !given {
					names[mirrored(role)] = other
				}
			}
			r := figure(names, row.extra...)
			f := find(r)
			for name, role := range row.want {
				n := byName(r, name)
				if n < 0 {
					t.Fatalf("no joint %q", name)
				}
				if p := f.Of[n]; p.Role != role {
					t.Errorf("%q: %q %.2f, want %q (%s)", name, p.Role, p.Confidence, role, p.Evidence)
				}
			}
			sound(t, r, f)
		})
	}
}

// The joints of H-Anim (ISO/IEC 19774), where their centres stand in its example
// figure, against the bones of VRM 1.0.
func TestHAnim(t *testing.T) {
	r := &rig.Rig{Shown: rig.None}
	place := map[string]rig.Node{}
	want := map[string]string{}
	world := map[string][3]float64{}
	add := func(name, parent, role string, x, y, z float64) {
		n := rig.Node(len(r.Nodes))
		d := rig.NodeData{Name: name, Parent: rig.None, Mesh: rig.None, Skin: rig.None, Matrix: rig.Identity}
		up := world[parent]
		d.Matrix[3], d.Matrix[7], d.Matrix[11] = x-up[0], y-up[1], z-up[2]
		if p, ok := place[parent]; ok {
			d.Parent = p
			r.Nodes[p].Children = append(r.Nodes[p].Children, n)
		}
		r.Nodes = append(r.Nodes, d)
		place[name], want[name], world[name] = n, role, [3]float64{x, y, z}
	}
	add("humanoid_root", "", "hips", 0, .8240, .0277)
	add("sacroiliac", "humanoid_root", "", 0, .9149, .0016)
	add("vl5", "humanoid_root", "spine", .0028, 1.0568, -.0776)
	add("vt10", "vl5", "chest", .0056, 1.2848, -.0822)
	add("vt6", "vt10", "upperChest", .0059, 1.3866, -.0800)
	add("vc7", "vt6", "neck", .0066, 1.5132, -.0301)
	add("skullbase", "vc7", "head", .0044, 1.6209, .0236)
	add("temporomandibular", "skullbase", "jaw", .0044, 1.6, .05)
	for _, s := range []struct {
		letter string
		x      float64
		side   Side
	}{{"l_", 1, Left}, {"r_", -1, Right}} {
		limb := func(name, parent, bone string, x, y, z float64) {
			role := ""
			if bone != "" {
				role = sided(s.side, bone)
			}
			if _, ok := place[s.letter+parent]; ok {
				parent = s.letter + parent
			}
			add(s.letter+name, parent, role, s.x*x, y, z)
		}
		limb("eyeball_joint", "skullbase", "Eye", .0336, 1.6332, .0502)
		limb("sternoclavicular", "vt6", "Shoulder", .0820, 1.4488, -.0353)
		limb("acromioclavicular", "sternoclavicular", "", .0962, 1.4269, -.0424)
		limb("shoulder", "acromioclavicular", "UpperArm", .2029, 1.4376, -.0387)
		limb("elbow", "shoulder", "LowerArm", .2014, 1.1357, -.0682)
		limb("wrist", "elbow", "Hand", .1984, .8663, -.0583)
		limb("thumb1", "wrist", "ThumbMetacarpal", .1924, .8472, -.0534)
		limb("thumb2", "thumb1", "ThumbProximal", .1951, .8226, .0246)
		limb("thumb3", "thumb2", "ThumbDistal", .1955, .8159, .0464)
		limb("pinky1", "wrist", "LittleProximal", .1925, .7866, -.1036)
		limb("pinky2", "pinky1", "LittleIntermediate", .1938, .7452, -.1024)
		limb("pinky3", "pinky2", "LittleDistal", .1948, .7277, -.1017)
		limb("hip", "sacroiliac", "UpperLeg", .0961, .9124, -.0001)
		limb("knee", "hip", "LowerLeg", .1040, .4867, .0308)
		limb("ankle", "knee", "Foot", .1101, .0656, -.0736)
		limb("subtalar", "ankle", "", .1086, .0001, -.0368)
		limb("midtarsal", "subtalar", "Toes", .1086, .0001, .0368)
	}
	r.SetOrder()
	f := find(r)
	for name, role := range want {
		if p := f.Of[place[name]]; p.Role != role {
			t.Errorf("%s: %q %.2f, want %q (%s)", name, p.Role, p.Confidence, role, p.Evidence)
		}
	}
	if dir, ok := f.Facing(); !ok || dir[2] < .999 {
		t.Errorf("faces %v %v", dir, ok)
	}
	sound(t, r, f)
}

// A trunk of six joints gives the roles to those nearest to .15, .45 and .75 of the
// way from hips to neck.
func TestLongTrunk(t *testing.T) {
	r := figure(map[string]string{"spine": "-", "chest": "-"})
	hips := byName(r, "pelvis")
	tops := r.Nodes[hips].Children
	var keep, move []rig.Node
	for _, c := range tops {
		if n := r.Nodes[c].Name; strings.Contains(n, "thigh") {
			keep = append(keep, c)
		} else {
			move = append(move, c)
		}
	}
	// Seven joints from .1 to .9 in steps of .133 of the .53 m.
	last, names := hips, []string{"s0", "s1", "s2", "s3", "s4", "s5"}
	for i, name := range names {
		n := rig.Node(len(r.Nodes))
		m := rig.Identity
		m[7] = .53 * .16
		if i == 0 {
			m[7] = .53 * .1
		}
		r.Nodes = append(r.Nodes, rig.NodeData{Name: "back_" + name, Parent: last, Mesh: rig.None, Skin: rig.None, Matrix: m})
		if last == hips {
			r.Nodes[last].Children = append(keep, n)
		} else {
			r.Nodes[last].Children = []rig.Node{n}
		}
		r.Skins[0].Joints = append(r.Skins[0].Joints, n)
		last = n
	}
	r.Nodes[last].Children = move
	for _, c := range move {
		r.Nodes[c].Parent = last
		r.Nodes[c].Matrix[7] -= .53 * .9
	}
	r.SetOrder()
	f := find(r) // stations at .10 .26 .42 .58 .74 .90
	for name, role := range map[string]string{"back_s0": "spine", "back_s1": "", "back_s2": "chest", "back_s3": "", "back_s4": "upperChest", "back_s5": ""} {
		if got := f.Of[byName(r, name)].Role; got != role {
			t.Errorf("%s: %q, want %q", name, got, role)
		}
	}
}

func TestDeclaredWins(t *testing.T) {
	r := figure(nil)
	head, neck := byName(r, "head"), byName(r, "neck")
	r.Humanoid = rig.Humanoid{Version: "1", Bones: map[string]rig.Node{"head": neck, "jaw": 9999, "hips": -1}}
	f := find(r)
	if f.Node("head") != neck || f.Of[neck].Confidence != Declared || f.Of[head].Role == "head" {
		t.Errorf("head at %d, want the declared %d", f.Node("head"), neck)
	}
	if f.Node("hips") != byName(r, "pelvis") {
		t.Errorf("hips at %d", f.Node("hips"))
	}
	sound(t, r, f)
}
