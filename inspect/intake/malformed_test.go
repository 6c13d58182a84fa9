package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestMalformed(t *testing.T) {
	at := func(place, what string) rig.Malformed {
		return rig.Malformed{Place: place, What: what, Node: rig.None, Mesh: rig.None, Skin: rig.None, Clip: rig.None}
	}
	checktest.Run(t, malformed, Measure, []checktest.Row{
		{Name: "clean", Rig: skinnedPost},
		{Name: "one", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			m := at("/nodes/2/rotation", "not unit; made unit")
			m.Node = postTip
			r.Malformed = []rig.Malformed{m}
		}, Want: []checktest.Want{{Grade: check.Flaw, Value: 1, Nodes: []rig.Node{postTip}, Pointer: "/nodes/2/rotation", Subject: "/nodes/2/rotation: not unit; made unit"}}},
		{Name: "of a mesh", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			m := at("/meshes/0/primitives/0", "x")
			m.Mesh = 0
			r.Malformed = []rig.Malformed{m}
		}, Want: []checktest.Want{{Grade: check.Flaw, Value: 1, Nodes: []rig.Node{postShape}}}},
		{Name: "three of two kinds", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			r.Malformed = []rig.Malformed{at("/a/0", "x"), at("/b/0", "y"), at("/a/1", "x")}
		}, Want: []checktest.Want{{Grade: check.Flaw, Value: 2, Pointer: "/a/0"}, {Grade: check.Flaw, Value: 1, Pointer: "/b/0"}}},
		{Name: "bytes left over are a note, beside a flaw too", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			spare := at("byte 900", "64 bytes behind the JSON; ignored")
			spare.Spare = true
			r.Malformed = []rig.Malformed{spare, at("/a/0", "x")}
		}, Want: []checktest.Want{{Grade: check.Note, Value: 1, Pointer: "byte 900"}, {Grade: check.Flaw, Value: 1, Pointer: "/a/0"}}},
		{Name: "empty file", Rig: nothing},
	})
}
