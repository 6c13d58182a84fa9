package skeleton

import (
	"os"
	"slices"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// moveTo gives a named joint of any figure another parent and leaves it where it stands;
// clips go, since their keys are of the old parent's space.
func moveTo(t *testing.T, r *rig.Rig, name, parent string) {
	t.Helper()
	in := r.Joints()
	at := func(name string) rig.Node {
		for i := range r.Nodes {
			if r.Nodes[i].Name == name && in[i] {
				return rig.Node(i)
			}
		}
		t.Fatalf("no joint %q", name)
		return rig.None
	}
	n, p, w := at(name), at(parent), r.RestWorld()
	old := r.Nodes[n].Parent
	r.Nodes[old].Children = slices.DeleteFunc(slices.Clone(r.Nodes[old].Children), func(c rig.Node) bool { return c == n })
	r.Nodes[p].Children = append(slices.Clone(r.Nodes[p].Children), n)
	r.Nodes[n].Parent = p
	back, _ := w[p].Inverse()
	local(r, n, back.Mul(&w[n]))
	r.Clips = nil
	r.SetOrder()
}

// Parts of real figures hung on other limbs: each is told, by itself, with the joint that it
// belongs on. The knight has no neck and a joint "hand" without a role below its wrist.
func TestWrongLimbOfRealFigures(t *testing.T) {
	const models = "../../../shared/corpus/models"
	if _, err := os.Stat(models); err != nil {
		t.Skip("the folder of real models is not beside this one; no joint of a real figure is hung elsewhere")
	}
	for _, row := range []struct{ file, joint, on, belongs string }{
		{"Knight.glb", "lowerarm.l", "upperarm.r", "upperarm.l"},
		{"Knight.glb", "head", "hips", "chest"},
		{"Knight.glb", "head", "lowerarm.l", "chest"},
		{"Knight.glb", "head", "root", "chest"},
		{"Knight.glb", "hand.r", "chest", "wrist.r"},
		{"Knight.glb", "upperleg.l", "lowerleg.r", "hips"},
		{"Knight.glb", "upperleg.l", "lowerarm.l", "hips"},
		{"Knight.glb", "upperarm.r", "head", "chest"},
		{"Knight.glb", "wrist.l", "upperarm.l", "lowerarm.l"},
		{"Knight.glb", "toes.r", "hips", "foot.r"},
		{"robot.glb", "Head", "LowerArm.L", "Neck"},
		{"robot.glb", "Neck", "Body", "Torso"},
		{"robot.glb", "UpperArm.R", "Head", "Shoulder.R"},
		{"robot.glb", "Shoulder.L", "Body", "Torso"},
		{"robot.glb", "Palm2.R", "Torso", "LowerArm.R"},
	} {
		r, err := gltfio.ReadFS(os.DirFS(models), row.file, gltfio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		own := map[rig.Node]bool{} // what it has as it is
		for _, l := range measured(t, r).Loose {
			own[l.Root] = true
		}
		r = lamplighter.Clone(r)
		moveTo(t, r, row.joint, row.on)
		var told []string
		for _, l := range measured(t, r).Loose {
			if !own[l.Root] {
				told = append(told, exam.Called(r.Nodes[l.Root].Name, l.Root)+" → "+exam.Called(r.Nodes[l.HangOn].Name, l.HangOn))
			}
		}
		if want := `"` + row.joint + `" → "` + row.belongs + `"`; len(told) != 1 || told[0] != want {
			t.Errorf("%s, %s on %s: told %v, want %s", row.file, row.joint, row.on, told, want)
		}
	}
}
