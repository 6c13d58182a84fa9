package inspect

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// The fifth set in a capture: at 120 frames a second one frame is hardly seen, so what a
// viewer sees is planted over none but that. Each is told at its joint, and no flaw besides.
func TestFifthFaultsInCapture(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "shared", "corpus", "models", "01_01.bvh"))
	if err != nil {
		t.Skip("no folder of real models beside the repository: no capture is looked at here")
	}
	sound, err := bvh.Read("01_01.bvh", data)
	if err != nil {
		t.Fatal(err)
	}
	clean := lookedAt(t, sound)
	channel := func(r *rig.Rig, name string, path rig.Path) *rig.Channel {
		for k := range r.Clips[0].Channels {
			if c := &r.Clips[0].Channels[k]; r.Nodes[c.Node].Name == name && c.Path == path {
				return c
			}
		}
		t.Fatal("no channel of " + name)
		return nil
	}
	for _, row := range []struct {
		name  string
		plant func(r *rig.Rig)
		id    string
		grade check.Grade
		joint string
		also  []string
	}{
		{"a frame of the forearm 30° off", func(r *rig.Rig) {
			c := channel(r, "LeftForeArm", rig.Rotation)
			turnBy(c, len(c.Times)/2, space.Vec{1, 0, 0}, 30)
		}, "motion/stray-key", check.Flaw, "LeftForeArm", nil},
		{"a frame of the toes 30° off", func(r *rig.Rig) {
			c := channel(r, "RightToeBase", rig.Rotation)
			turnBy(c, len(c.Times)/3, space.Vec{1, 0, 0}, 30)
		}, "motion/stray-key", check.Flaw, "RightToeBase", nil},
		{"a frame of the head 18° off", func(r *rig.Rig) {
			c := channel(r, "Head", rig.Rotation)
			turnBy(c, 700, space.Vec{0, 1, 0}, 18)
		}, "motion/stray-key", check.Note, "Head", nil},
		{"a frame of the hips a twentieth of the height aside", func(r *rig.Rig) {
			c := channel(r, "Hips", rig.Translation)
			c.Values[3*900] += 1.3
		}, "motion/stray-key", check.Note, "Hips", nil},
		{"names of the legs exchanged", func(r *rig.Rig) {
			for i := range r.Nodes {
				if n := r.Nodes[i].Name; strings.Contains(n, "Leg") || strings.Contains(n, "Foot") || strings.Contains(n, "Toe") || strings.Contains(n, "HipJoint") {
					if strings.HasPrefix(n, "LHip") {
						r.Nodes[i].Name = "R" + n[1:]
					} else if strings.HasPrefix(n, "RHip") {
						r.Nodes[i].Name = "L" + n[1:]
					} else {
						r.Nodes[i].Name = otherSide(n)
					}
				}
			}
		}, "skeleton/side-label", check.Flaw, "LeftLeg", nil},
		{"one shin a fifth longer", func(r *rig.Rig) {
			for i := range r.Nodes {
				if d := &r.Nodes[i]; d.Name == "LeftFoot" {
					for c := range 3 {
						d.T[c] *= 1.2
					}
					d.Matrix = d.TRS.Affine()
				}
			}
		}, "skeleton/uneven-pair", check.Flaw, "LeftLeg", nil},
	} {
		r := lamplighter.Clone(sound)
		row.plant(r)
		got := lookedAt(t, r)
		told := false
		for _, f := range got.Findings() {
			told = told || f.ID == row.id && f.Grade >= row.grade && f.Cause == nil && slices.ContainsFunc(f.Where.Joints, func(n rig.Node) bool { return r.Nodes[n].Name == row.joint })
		}
		if !told {
			t.Errorf("%s: not told", row.name)
		}
		was := counted(clean)
		for id, n := range counted(got) {
			if n > was[id] && id != row.id && !slices.Contains(row.also, id) {
				t.Errorf("%s: sets off %s", row.name, id)
			}
		}
	}
}

// One frame 30° off in every second key of the running arms and shins of two real figures,
// about each axis: of the arms 95 in a hundred and more are told, the rest where the run itself flicks
// them; of the shins, which turn by up to 60° in a frame, seven in ten.
func TestSpikesInRunningLimbs(t *testing.T) {
	rounds.Dear(t)
	for _, name := range []string{"robot.glb", "Knight.glb"} {
		sound := checktest.Named(t, name)
		i := slices.IndexFunc(sound.Clips, func(c rig.ClipData) bool { return strings.Contains(strings.ToLower(c.Name), "running") })
		sound.Clips = sound.Clips[i : i+1]
		roles := lookedAt(t, sound).Exam.Roles()
		var found, all [2]int
		for k := range sound.Clips[0].Channels {
			ch := &sound.Clips[0].Channels[k]
			role, shin := roles.Of[ch.Node].Role, 0
			if strings.HasSuffix(role, "LowerLeg") {
				shin = 1
			}
			if ch.Path != rig.Rotation || shin == 0 && !strings.HasSuffix(role, "Arm") {
				continue
			}
			for key := 1; key < len(ch.Times)-1; key += 2 {
				for _, axis := range []space.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
					r := lamplighter.Clone(sound)
					turnBy(&r.Clips[0].Channels[k], key, axis, 30)
					got, err := Examine(t.Context(), r, Options{Only: []string{"motion"}})
					if err != nil {
						t.Fatal(err)
					}
					all[shin]++
					if slices.ContainsFunc(got.Findings(), func(f check.Finding) bool {
						return f.ID == "motion/stray-key" && slices.Contains(f.Where.Joints, ch.Node)
					}) {
						found[shin]++
					}
				}
			}
		}
		t.Logf("%s: arms %d of %d, shins %d of %d", name, found[0], all[0], found[1], all[1])
		if all[0] < 60 || all[1] < 30 || 100*found[0] < 95*all[0] || 100*found[1] < 70*all[1] {
			t.Errorf("%s: arms %d of %d, shins %d of %d", name, found[0], all[0], found[1], all[1])
		}
	}
}
