package binding

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func TestUnbound(t *testing.T) {
	skin := rig.Skin(0)
	checktest.Run(t, unbound, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "ladder", Rig: ladder},
		{Name: "one vertex", Rig: ladder, Plant: weigh(5), Want: []checktest.Want{{
			Grade: check.Stop, Name: "vertices", Value: 1, Vertices: []rig.Vertex{5}, Skin: &skin, Subject: "1 vertex"}}},
		{Name: "the hat brim", Rig: clean, Plant: func(r *rig.Rig) { clear(r.Meshes[0].Weights[4*100 : 4*114]) }, Want: []checktest.Want{{
			Grade: check.Stop, Name: "vertices", Value: 14, Subject: "14 vertices",
			Vertices: []rig.Vertex{100, 101, 102, 103, 104, 105, 106, 107, 108, 109, 110, 111, 112, 113}}}},
		{Name: "on one surface of two", Rig: ladder, Plant: both(weigh(5), hang("lantern", rig.None, false, true)), Want: []checktest.Want{{
			Grade: check.Stop, Name: "vertices", Value: 1, Vertices: []rig.Vertex{5}, Subject: `surface "strip", 1 vertex`, Point: &space.Vec{-.1, .2, 0}, Near: 1e-6}}},
		{Name: "the faintest weight is a weight", Rig: ladder, Plant: weigh(5, 1e-30)},
		{Name: "a vertex no triangle uses", Rig: ladder, Plant: loose},
		{Name: "none has any", Rig: ladder, Plant: func(r *rig.Rig) { clear(r.Meshes[0].Weights) }, Want: []checktest.Want{{
			Grade: check.Stop, Name: "vertices", Value: 22}}},
		{Name: "no joints in the mesh", Rig: ladder, Plant: func(r *rig.Rig) { m := &r.Meshes[0]; m.K, m.Joints, m.Weights = 0, nil, nil }, Want: []checktest.Want{{
			Grade: check.Stop, Name: "vertices", Value: 22}}},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
		{Name: "a skin nobody uses", Rig: ladder, Plant: idleSkin, Skip: "no surface uses a skin"},
	})
}
