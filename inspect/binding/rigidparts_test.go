package binding

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestRigidParts(t *testing.T) {
	checktest.Run(t, rigidParts, Measure, []checktest.Row{
		{Name: "clean", Rig: clean},
		{Name: "ladder", Rig: ladder},
		{Name: "one more shell on one joint", Rig: ladder, Plant: shell(2, 1), Want: []checktest.Want{{
			Grade: check.Note, Name: "shells", Value: 1, Joints: []rig.Node{1}, Subject: `on "mid"`, More: map[string]float64{"hold": 3}}}},
		{Name: "nearly", Rig: ladder, Plant: shell(2, .999)},
		{Name: "without weight", Rig: ladder, Plant: both(shell(2, 1), weigh(23))},
		{Name: "limit moved", Rig: ladder, Plant: shell(2, 1), Limits: map[string]float64{"shells": 1}},
		{Name: "no skin", Rig: ladder, Plant: unskinned, Skip: "no skin in this file"},
	})
	r := ladder()
	shell(2, 1)(r)
	if f := measured(t, r).RigidJoint[0]; f[22] != 1 || f[21] != rig.None {
		t.Errorf("joint of 22 and 21: %d %d", f[22], f[21])
	}
}
