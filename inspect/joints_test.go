package inspect

import (
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

func TestJointsHangOnTheNearestJointAbove(t *testing.T) {
	g := &rig.Rig{ // hips – helper – knee; helper is in no skin
		Nodes: []rig.NodeData{
			{Name: "hips", Parent: rig.None, Children: []rig.Node{1}, Matrix: rig.Identity},
			{Name: "helper", Parent: 0, Children: []rig.Node{2}, Matrix: rig.Affine{0: 1, 5: 1, 10: 1, 7: -1}},
			{Name: "knee", Parent: 1, Matrix: rig.Affine{0: 1, 5: 1, 10: 1, 7: -2}},
		},
		Order: []rig.Node{0, 1, 2},
		Skins: []rig.SkinData{{Joints: []rig.Node{2, 0}}, {Joints: []rig.Node{0}}},
	}
	r := &Result{Exam: exam.New(g)}
	joints := r.joints()
	if len(joints) != 2 || joints[0].Name != "hips" || joints[1].Name != "knee" {
		t.Fatalf("want hips and knee, each once, in node order; got %+v", joints)
	}
	if joints[0].Parent != nil || joints[1].Parent == nil || *joints[1].Parent != 0 {
		t.Errorf("parents: want none and 0, got %v and %v", joints[0].Parent, joints[1].Parent)
	}
	if want := [3]float64{0, -3, 0}; joints[1].Position != want {
		t.Errorf("knee at %v, want %v", joints[1].Position, want)
	}
}

func TestJointsOfTheSampleArePaired(t *testing.T) {
	g, err := gltfio.Read([]gltfio.File{{Name: "lamplighter.glb", Data: lamplighter.GLB(lamplighter.Options{})}}, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r := &Result{Exam: exam.New(g)}
	joints := r.joints()
	by := map[rig.Node]*jointFact{}
	for i := range joints {
		by[joints[i].Node] = &joints[i]
	}
	sided := 0
	for i := range joints {
		j := &joints[i]
		if j.Partner == nil {
			continue
		}
		sided++
		other := by[*j.Partner]
		if other == nil || other.Partner == nil || *other.Partner != j.Node || j.Side == nil || other.Side == nil || *j.Side == *other.Side {
			t.Errorf("%s and its partner do not answer each other: %+v, %+v", j.Name, j, other)
		}
	}
	if sided < 20 {
		t.Errorf("%d joints of %d have a partner, want both arms, legs and chains", sided, len(joints))
	}
}
