package inspect

import (
	"encoding/json"
	"os"
	"strconv"
	"testing"

	"rigloupe/inspect/bvh"
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

// A BVH's joints are its joints, end sites counted apart: by hand two and one here, and
// 31 and 7 in the capture (counted in its text).
func TestEndSitesAreNoJoints(t *testing.T) {
	const short = "HIERARCHY\nROOT Hips\n{\nOFFSET 0 0 0\nCHANNELS 3 Zrotation Xrotation Yrotation\nJOINT Spine\n{\nOFFSET 0 1 0\nCHANNELS 3 Zrotation Xrotation Yrotation\nEnd Site\n{\nOFFSET 0 1 0\n}\n}\n}\nMOTION\nFrames: 1\nFrame Time: 0.1\n0 0 0 0 0 0\n"
	rows := []struct {
		name         string
		text         []byte
		joints, ends int
	}{{"short.bvh", []byte(short), 2, 1}}
	if text, err := os.ReadFile("../../shared/corpus/models/01_01.bvh"); err == nil {
		rows = append(rows, struct {
			name         string
			text         []byte
			joints, ends int
		}{"01_01.bvh", text, 31, 7})
	}
	for _, row := range rows {
		r, err := bvh.Read(row.name, row.text)
		if err != nil {
			t.Fatal(err)
		}
		var d struct {
			Joints []struct{ Name *string }
			Facts  struct {
				Intake, Skeleton struct {
					Joints   json.RawMessage
					EndSites int `json:"end_sites"`
				}
			} `json:"facts_of"`
		}
		if err := json.Unmarshal(text(t, r, Options{}), &d); err != nil {
			t.Fatal(err)
		}
		var listed []struct{ Node int }
		_ = json.Unmarshal(d.Facts.Skeleton.Joints, &listed)
		if len(d.Joints) != row.joints || string(d.Facts.Intake.Joints) != strconv.Itoa(row.joints) || len(listed) != row.joints ||
			d.Facts.Intake.EndSites != row.ends || d.Facts.Skeleton.EndSites != row.ends {
			t.Errorf("%s: joints %d, %s and %d, ends %d and %d; want %d and %d", row.name, len(d.Joints), d.Facts.Intake.Joints, len(listed), d.Facts.Intake.EndSites, d.Facts.Skeleton.EndSites, row.joints, row.ends)
		}
	}
}

// A name that is not there is null in every list of the document.
func TestNoNameIsNull(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{})
	for i := range r.Nodes {
		r.Nodes[i].Name = ""
	}
	r.Skins[0].Name, r.Clips[0].Name, r.File.Generator = "", "", ""
	lamplighter.Misbind(3, 0.1, 0)(r)
	var d any
	if err := json.Unmarshal(text(t, r, Options{}), &d); err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{"name": true, "folded_name": true, "generator": true, "version": true}
	nulls := 0
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, x := range v {
				if names[k] && x == "" {
					t.Errorf("%s.%s is empty", path, k)
				}
				if names[k] && x == nil {
					nulls++
				}
				walk(path+"."+k, x)
			}
		case []any:
			for _, x := range v {
				walk(path+"[]", x)
			}
		}
	}
	walk("", d)
	if nulls < 3*len(r.Skins[0].Joints) {
		t.Errorf("%d names are null, want one a joint in each of three lists", nulls)
	}
}
