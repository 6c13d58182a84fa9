package anatomy

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
)

// model reads a real figure from the sibling folder of outside data.
func model(t testing.TB, name string) *rig.Rig {
	t.Helper()
	data, err := os.ReadFile(filepath.FromSlash("../../../shared/corpus/models/" + name))
	if err != nil {
		t.Skipf("no corpus here: %v", err)
	}
	r, err := gltfio.Read([]gltfio.File{{Name: name, Data: data}}, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// listing is one line a candidate: name, role, confidence, side, partner.
func listing(r *rig.Rig, f *Roles) string {
	var b strings.Builder
	for _, n := range r.Order {
		p := f.Of[n]
		if p.Role == "" && p.Side == NoSide && p.Partner == rig.None && p.Evidence == "" {
			continue
		}
		partner := "-"
		if p.Partner >= 0 {
			partner = fmt.Sprint(p.Partner)
		}
		fmt.Fprintf(&b, "%d %q %s %.2f %s %s | %s\n", n, r.Nodes[n].Name, p.Role, p.Confidence, p.Side, partner, p.Evidence)
	}
	return b.String()
}

// real holds what each joint of the real figures is, read by eye: role → node; the
// right of a sided role is the partner.
var real = []struct {
	file   string
	figure bool
	facing string // nearest axis, "": none
	roles  map[string]rig.Node
	more   int // roles of the right side and of digits beyond those listed
	null   []rig.Node
}{
	{"Knight.glb", true, "+z", map[string]rig.Node{"hips": 30, "spine": 21, "chest": 20, "head": 18,
		"leftUpperArm": 9, "leftLowerArm": 8, "leftHand": 7, "leftUpperLeg": 25, "leftLowerLeg": 24, "leftFoot": 23, "leftToes": 22,
		"rightUpperArm": 16, "rightLowerArm": 15, "rightHand": 14, "rightUpperLeg": 29, "rightLowerLeg": 28, "rightFoot": 27, "rightToes": 26,
	}, 0, []rig.Node{49, 56, 5, 6, 12, 13, 31, 32, 33, 34, 35, 36, 37, 38, 45, 46}},
	{"robot.glb", true, "+z", map[string]rig.Node{"hips": 38, "spine": 32, "chest": 31, "neck": 2, "head": 1,
		"leftShoulder": 16, "leftUpperArm": 15, "leftLowerArm": 14, "leftHand": 5, "leftUpperLeg": 35, "leftLowerLeg": 34, "leftFoot": 0,
		"rightShoulder": 30, "rightUpperArm": 29, "rightLowerArm": 28, "rightHand": 19, "rightUpperLeg": 37, "rightLowerLeg": 36, "rightFoot": 40,
		"leftThumbMetacarpal": 7, "leftThumbProximal": 6, "leftIndexProximal": 9, "leftIndexIntermediate": 8,
		"leftMiddleProximal": 4, "leftMiddleIntermediate": 3, "leftRingProximal": 12, "leftRingIntermediate": 11,
	}, 8, []rig.Node{33, 42, 57, 10, 13, 24, 27, 39, 41}},
	{"cesium_man.gltf", true, "+x", map[string]rig.Node{"hips": 2, "spine": 11, "chest": 12, "neck": 19, "head": 20,
		"leftUpperArm": 16, "leftLowerArm": 17, "leftHand": 18, "rightUpperArm": 13, "rightLowerArm": 14, "rightHand": 15,
		"leftUpperLeg": 7, "leftLowerLeg": 8, "leftFoot": 9, "leftToes": 10, "rightUpperLeg": 3, "rightLowerLeg": 4, "rightFoot": 5, "rightToes": 6,
	}, 0, []rig.Node{0, 21}},
	{"hand_left.glb", false, "", map[string]rig.Node{"leftHand": 24, "leftThumbMetacarpal": 23, "leftThumbProximal": 22, "leftThumbDistal": 21,
		"leftIndexProximal": 18, "leftIndexIntermediate": 17, "leftIndexDistal": 16, "leftMiddleProximal": 13, "leftRingProximal": 8, "leftLittleProximal": 3, "leftLittleDistal": 1,
	}, 5, []rig.Node{0, 4, 5, 9, 10, 14, 15, 19, 20, 29}},
	{"hand_right.glb", false, "", map[string]rig.Node{"rightHand": 0, "rightThumbMetacarpal": 1, "rightIndexProximal": 6, "rightLittleDistal": 23}, 12, []rig.Node{4, 5, 9, 24, 26}},
	{"Fox.glb", false, "", map[string]rig.Node{"hips": 4, "spine": 5, "chest": 6, "neck": 7, "head": 8}, 0, []rig.Node{9, 10, 11, 12, 15, 18, 20, 21, 22}},
}

func TestRealFigures(t *testing.T) {
	for _, w := range real {
		t.Run(w.file, func(t *testing.T) {
			r := model(t, w.file)
			f := find(r)
			for role, n := range w.roles {
				if got := f.Node(role); got != n {
					t.Errorf("%s: node %d, want %d", role, got, n)
				}
			}
			if got, want := len(f.Bone), len(w.roles)+w.more; got != want {
				t.Errorf("%d roles, want %d: %v", got, want, f.Bone)
			}
			for _, n := range w.null {
				if f.Of[n].Role != "" {
					t.Errorf("node %d %q is no %s", n, r.Nodes[n].Name, f.Of[n].Role)
				}
			}
			if f.IsFigure() != w.figure || f.NotBiped != (w.file == "Fox.glb") {
				t.Errorf("figure %v, four legs %v", f.IsFigure(), f.NotBiped)
			}
			dir, ok := f.Facing()
			axis := ""
			if ok {
				axis = map[bool]string{true: "+z", false: "+x"}[dir[2] > .9]
			}
			if axis != w.facing {
				t.Errorf("faces %v %v, want %q", dir, ok, w.facing)
			}
			sound(t, r, f)
			if t.Failed() {
				t.Log(listing(r, f))
			}
		})
	}
}

// sound holds for every answer: partners are each other's and stand opposite, roles
// and nodes are one to one, a confidence goes with a role.
func sound(t *testing.T, r *rig.Rig, f *Roles) {
	t.Helper()
	for i := range f.Of {
		p := &f.Of[i]
		if p.Partner >= 0 {
			if q := &f.Of[p.Partner]; q.Partner != rig.Node(i) || p.Side.Other() != q.Side || p.Side == Centre {
				t.Errorf("node %d %q and its partner %d: sides %q %q, back %d", i, r.Nodes[i].Name, p.Partner, p.Side, q.Side, q.Partner)
			}
		}
		if p.Role != "" && f.Bone[p.Role] != rig.Node(i) || (p.Role == "") != (p.Confidence == 0) {
			t.Errorf("node %d: role %q at %d, confidence %v", i, p.Role, f.Bone[p.Role], p.Confidence)
		}
	}
	for role, n := range f.Bone {
		if f.Of[n].Role != role {
			t.Errorf("%s at node %d, which is %q", role, n, f.Of[n].Role)
		}
	}
}
