package skeleton

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

func TestLooseChains(t *testing.T) {
	bothSides(t, "skeleton/loose-chain", lamp, []side{
		{name: "all on the hips"},
		{name: "a chain taken off", plant: of(lamplighter.Detach(int(lamplighter.Node("chain_L_1")))), grade: check.Flaw, measure: "chains", value: 1, joints: []string{"chain_L_1"}},
		{name: "a joint that nothing follows", plant: func(r *rig.Rig) {
			lamplighter.AddJoint("marker", int(lamplighter.Node("hips")), 0, 2, 0)(r)
			lamplighter.Detach(len(r.Nodes) - 1)(r)
		}},
		{name: "a foot on the hips", plant: hangOn("foot_L", "hips"), grade: check.Flaw, title: "Joint on wrong limb", measure: "joints", value: 1, joints: []string{"foot_L"}},
		{name: "a foot on the hips, as many may", plant: hangOn("foot_L", "hips"), limits: map[string]float64{"wrong": 1}},
		{name: "a foot on the hips that every clip places", plant: then(hangOn("foot_L", "hips"), placed("foot_L", 99)), grade: check.Note, title: "Joint hangs elsewhere", measure: "joints", value: 1, joints: []string{"foot_L"}},
		{name: "one that all clips but one place", plant: then(hangOn("foot_L", "hips"), placed("foot_L", 1)), grade: check.Flaw, title: "Joint on wrong limb", joints: []string{"foot_L"}},
		{name: "a forearm on the other arm", plant: hangOn("lowerArm_L", "upperArm_R"), grade: check.Flaw, title: "Joint on wrong limb", measure: "joints", value: 1, joints: []string{"lowerArm_L"}},
		{name: "a forearm on the other arm that every clip places", plant: then(hangOn("lowerArm_L", "upperArm_R"), placed("lowerArm_L", 99)), grade: check.Flaw, joints: []string{"lowerArm_L"}},
		{name: "a hand on the other forearm", plant: hangOn("hand_R", "lowerArm_L"), grade: check.Flaw, joints: []string{"hand_R"}},
		{name: "a shin on the other thigh", plant: hangOn("lowerLeg_R", "upperLeg_L"), grade: check.Flaw, joints: []string{"lowerLeg_R"}},
		{name: "the head on the hips", plant: hangOn("head", "hips"), grade: check.Flaw, title: "Joint on wrong limb", joints: []string{"head"}},
		{name: "the head on the chest", plant: hangOn("head", "chest")},
		{name: "the head on a forearm", plant: hangOn("head", "lowerArm_L"), grade: check.Flaw, title: "Joint on wrong limb", measure: "joints", value: 1, joints: []string{"head"}},
		{name: "the neck on the hips", plant: hangOn("neck", "hips"), grade: check.Flaw, title: "Joint on wrong limb", measure: "joints", value: 1, joints: []string{"neck"}},
		{name: "a thigh on a hand", plant: hangOn("upperLeg_L", "hand_L"), grade: check.Flaw, title: "Joint on wrong limb", measure: "joints", value: 1, joints: []string{"upperLeg_L"}},
		{name: "an arm on the head", plant: hangOn("upperArm_R", "head"), grade: check.Flaw, title: "Joint on wrong limb", measure: "joints", value: 1, joints: []string{"upperArm_R"}},
		{name: "a shoulder on the neck, as some have it", plant: then(hangOn("shoulder_L", "neck"), hangOn("shoulder_R", "neck"))},
		{name: "thighs on the spine, as some have it", plant: then(hangOn("upperLeg_L", "spine"), hangOn("upperLeg_R", "spine"))},
		{name: "both arms on the spine", plant: then(hangOn("shoulder_L", "spine"), hangOn("shoulder_R", "spine"))},
	})
	r := lamp()
	hangOn("foot_L", "hips")(r)
	r.SetOrder()
	if f := measured(t, r); len(f.Loose) != 1 || f.Loose[0].HangsOn != lamplighter.Node("hips") || !f.Loose[0].Role || f.Loose[0].HangOn != lamplighter.Node("lowerLeg_L") || f.Loose[0].Joints != 2 {
		t.Errorf("%+v, want the foot and its toes on the shank", f.Loose)
	}
}

func then(first, second func(*rig.Rig)) func(*rig.Rig) {
	return func(r *rig.Rig) { first(r); second(r) }
}

// placed gives a joint keys of translation in the first clips.
func placed(name string, clips int) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for c := range min(clips, len(r.Clips)) {
			t := r.Nodes[lamplighter.Node(name)].T
			r.Clips[c].Channels = append(r.Clips[c].Channels, rig.Channel{Node: lamplighter.Node(name), Path: rig.Translation, Width: 3,
				Times: []float32{0}, Values: []float32{float32(t[0]), float32(t[1]), float32(t[2])}})
		}
	}
}

// hangOn gives a joint another parent and leaves it where it stands.
func hangOn(name, parent string) func(*rig.Rig) {
	return func(r *rig.Rig) {
		n, p, w := lamplighter.Node(name), lamplighter.Node(parent), r.RestWorld()
		old := r.Nodes[n].Parent
		r.Nodes[old].Children = slices.DeleteFunc(r.Nodes[old].Children, func(c rig.Node) bool { return c == n })
		r.Nodes[p].Children = append(r.Nodes[p].Children, n)
		r.Nodes[n].Parent = p
		back, _ := w[p].Inverse()
		local(r, n, back.Mul(&w[n]))
	}
}

// Part of a chain taken off is hung where its partner hangs, on its own side; the
// distance is that of its joint from the bone, worked by hand.
func TestHangsAsItsPartner(t *testing.T) {
	for _, row := range []struct {
		off, on string
		metres  float64
	}{{"chain_L_3", "chain_L_2", 0.064}, {"hand_L", "lowerArm_L", 0.269}} {
		r := checktest.Built(lamplighter.Options{})
		lamplighter.Detach(int(lamplighter.Node(row.off)))(r)
		f := measured(t, r)
		if len(f.Loose) != 1 || f.Loose[0].HangOn != lamplighter.Node(row.on) || math.Abs(*f.Loose[0].Distance-row.metres) > 1e-6 {
			t.Errorf("%s: %+v, want on %s", row.off, f.Loose, row.on)
		}
	}
}
