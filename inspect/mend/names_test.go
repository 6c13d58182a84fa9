package mend

import (
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

func TestNamesPlanted(t *testing.T) {
	for _, f := range planted(nameRoles.Answers...) {
		t.Run(f.ID+" "+f.Name, func(t *testing.T) {
			r, _ := f.On(sample())
			s := ofRig(t, r)
			res, _ := s.Examine(t.Context(), nil)
			v := nameRoles.Suggest(Look(res))
			if len(v) != 1 {
				t.Fatalf("suggested %v", v)
			}
			x := try(t, s, "names", v[0])
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			receipt := prove(t, x)
			if !slices.Contains(receipt.Cleared, f.ID) || !receipt.Kept || receipt.Bytes.Added+len(receipt.Bytes.Rewritten) > 0 {
				t.Errorf("%s %+v", receipt.Sentence(), receipt.Bytes)
			}
			for _, p := range receipt.Pointers {
				if !strings.HasSuffix(p, "/name") {
					t.Errorf("%s changed", p)
				}
			}
			if receipt.Moved.Count > 0 {
				t.Error("something moved")
			}
			t.Log(receipt.Says)
		})
	}
}

// Roles get VRM's names, what has none keeps its own, and a second run has nothing to do.
func TestNamesOfRoles(t *testing.T) {
	for _, file := range []string{"", "Knight.glb", "cesium_man.gltf", "robot.glb"} {
		t.Run(file, func(t *testing.T) {
			s := ofRig(t, sample())
			if file != "" {
				s = corpusState(t, file)
			}
			x := try(t, s, "names", Values{"roles": true})
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			roles := examOf(s).Roles()
			seen := map[string]bool{}
			for i, n := range x.After.Rig.Nodes {
				if role := roles.Of[i].Role; role != "" && roles.Node(role) == rig.Node(i) && n.Name != role {
					t.Errorf("node %d with the role %s is named %q", i, role, n.Name)
				}
				if n.Name != "" && seen[strings.ToLower(n.Name)] {
					t.Errorf("%q stands twice", n.Name)
				}
				seen[strings.ToLower(n.Name)] = true
			}
			if y := try(t, x.After, "names", Values{"roles": true}); y.After != nil {
				t.Errorf("again it renames: %v", prove(t, y).Says)
			}
		})
	}
}

func TestPlainName(t *testing.T) {
	for _, row := range [][2]string{{" Arm.L ", "Arm_L"}, {"rig:Hüfte rechts", "Huefte_rechts"}, {"a/b[3]", "a_b3"}, {"脚", ""}, {"upper-arm_L", "upper-arm_L"}} {
		if got := plainName(row[0]); got != row[1] {
			t.Errorf("%q becomes %q, want %q", row[0], got, row[1])
		}
	}
}

func TestNamesByHand(t *testing.T) {
	s := ofRig(t, sample())
	x := try(t, s, "names", Values{"names": map[string]any{"chest": "Brustkorb"}})
	if x.After == nil || x.After.Rig.Nodes[lamplighter.Node("chest")].Name != "Brustkorb" {
		t.Fatal(x.Refused())
	}
	for _, bad := range []map[string]any{{"no such": "a"}, {"chest": "x", "head": "X"}} {
		if y := try(t, s, "names", Values{"names": bad}); y.After != nil {
			t.Errorf("%v was taken", bad)
		}
	}
}

// Where a joint and what carries a mesh have one name, the joint keeps it, also where it
// stands behind in the file.
func TestNamesJointsKeepTheirs(t *testing.T) {
	d := corpusState(t, "SimpleSkin.gltf").Doc.Clone()
	for i := range 2 {
		d.Object(original.Nodes, i).Set("name", original.Text("arm"))
	}
	s, err := Open(d)
	if err != nil {
		t.Fatal(err)
	}
	if joints := s.Rig.Joints(); joints[0] || !joints[1] || s.Rig.Nodes[0].Mesh < 0 {
		t.Fatal("the model is another one")
	}
	x := try(t, s, "names", Values{"plain": false})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	if mesh, joint := x.After.Rig.Nodes[0].Name, x.After.Rig.Nodes[1].Name; mesh != "arm_2" || joint != "arm" {
		t.Errorf("the mesh is %q, the joint %q", mesh, joint)
	}
}
