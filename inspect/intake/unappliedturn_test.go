package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

func turned(n rig.Node, x, y, z, degrees float64) func(*rig.Rig) {
	return func(r *rig.Rig) { set(r, n, func(t *rig.TRS) { t.R = about(x, y, z, degrees) }) }
}

func TestUnappliedTurn(t *testing.T) {
	note := func(degrees float64, nodes ...rig.Node) []checktest.Want {
		return []checktest.Want{{Grade: check.Note, Name: "turn above", Value: degrees, Tolerance: 1e-6, Nodes: nodes}}
	}
	hips := lamplighter.Node("hips")
	checktest.Run(t, unappliedTurn, Measure, []checktest.Row{
		{Name: "clean", Rig: skinnedPost},
		{Name: "clean figure", Rig: sample(nil)},
		{Name: "just under", Rig: skinnedPost, Plant: turned(postTop, 1, 0, 0, .49)},
		{Name: "just over", Rig: skinnedPost, Plant: turned(postTop, 0, 1, 0, .51), Want: note(.51, postTop)},
		{Name: "the other way round", Rig: skinnedPost, Plant: turned(postTop, 1, 0, 0, -90), Want: note(90, postTop)},
		{Name: "the root's own: its frame", Rig: skinnedPost, Plant: turned(postRoot, 1, 0, 0, 90)},
		{Name: "a plain mesh's own", Rig: plainPost, Plant: turned(postShape, 1, 0, 0, 90), Want: note(90, postShape)},
		{Name: "two that cancel out", Rig: plainPost, Plant: func(r *rig.Rig) {
			turned(postTop, 1, 0, 0, 90)(r)
			turned(postShape, 1, 0, 0, -90)(r)
		}},
		{Name: "a second skin whose joints hang on a turned one", Rig: func() *rig.Rig {
			r := post(true)
			r.Nodes = append(r.Nodes, rig.NodeData{Name: "hook", Parent: postTip, TRS: unitTRS, Matrix: rig.Identity, Mesh: rig.None, Skin: rig.None},
				rig.NodeData{Name: "lantern", Parent: rig.None, TRS: unitTRS, Matrix: rig.Identity, Mesh: 0, Skin: 1})
			r.Nodes[postTip].Children = []rig.Node{4}
			r.Skins = append(r.Skins, rig.SkinData{Joints: []rig.Node{4, 4}, Bind: []rig.Affine{rig.Identity, rig.Identity}, HasBind: true})
			r.Surfaces = append(r.Surfaces, rig.Surface{Node: 5, Mesh: 0, Skin: 1})
			r.Scenes[0].Roots = append(r.Scenes[0].Roots, 5)
			r.SetOrder()
			return r
		}, Plant: turned(postTip, 1, 0, 0, 50)},
		{Name: "what hangs on a joint", Rig: func() *rig.Rig {
			r := post(true)
			r.Nodes = append(r.Nodes, rig.NodeData{Name: "hat", Parent: postTip, TRS: unitTRS, Matrix: rig.Identity, Mesh: 0, Skin: rig.None})
			r.Nodes[postTip].Children = []rig.Node{4}
			r.Surfaces = append(r.Surfaces, rig.Surface{Node: 4, Mesh: 0, Skin: rig.None})
			r.SetOrder()
			return r
		}, Plant: turned(4, 1, 0, 0, 90)},
		{Name: "leans", Rig: sample(lamplighter.RootTurn(0, 59)), Want: []checktest.Want{{Grade: check.Note, Value: 59, Tolerance: 1e-6}}},
		{Name: "leans too far", Rig: sample(lamplighter.RootTurn(0, 64)), Want: []checktest.Want{
			{Grade: check.Flaw, Name: "off upright", Value: 64, Tolerance: 4}, {Grade: check.Note, Value: 64, Tolerance: 1e-6}}},
		{Name: "lies", Rig: sample(lamplighter.RootTurn(0, -90)), Want: []checktest.Want{
			{Grade: check.Flaw, Name: "off upright", Value: 90, Tolerance: 6, Joints: []rig.Node{hips}, Nodes: []rig.Node{35}}, // its back is not quite straight
			{Grade: check.Note, Value: 90, Tolerance: 1e-6}}},
		{Name: "no rotation at all", Rig: skinnedPost, Plant: func(r *rig.Rig) { r.Nodes[postTop].R = [4]float64{} }},
		{Name: "empty file", Rig: nothing, Skip: "no surface in this file"},
	})
}
