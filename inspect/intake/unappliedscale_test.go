package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func scaled(n rig.Node, x, y, z float64) func(*rig.Rig) {
	return func(r *rig.Rig) { set(r, n, func(t *rig.TRS) { t.S = [3]float64{x, y, z} }) }
}

func TestUnappliedScale(t *testing.T) {
	flaw := func(off float64, joints []rig.Node, nodes ...rig.Node) []checktest.Want {
		return []checktest.Want{{Grade: check.Flaw, Value: off, Tolerance: 1e-9, Joints: joints, Nodes: nodes}}
	}
	root := []rig.Node{postRoot}
	checktest.Run(t, unappliedScale, Measure, []checktest.Row{
		{Name: "clean", Rig: skinnedPost},
		{Name: "clean mesh", Rig: plainPost},
		{Name: "clean figure", Rig: sample(nil)},
		{Name: "just under", Rig: skinnedPost, Plant: scaled(postTop, 1.0009, 1, 1)},
		{Name: "just over", Rig: skinnedPost, Plant: scaled(postTop, 1, 1.0011, 1), Want: flaw(.0011, root, postTop, postRoot)},
		{Name: "smaller", Rig: skinnedPost, Plant: scaled(postTop, .01, .01, .01), Want: []checktest.Want{{
			Grade: check.Flaw, Value: .99, Tolerance: 1e-6, Joints: root, Nodes: []rig.Node{postTop, postRoot},
			More:    map[string]float64{"factor": .01, "height that results": .02},
			Subject: "factor 0.01 above 1 skeleton root; skeleton root and skinned mesh both stand under it"}}},
		{Name: "on the root joint itself", Rig: skinnedPost, Plant: scaled(postRoot, 2, 2, 2), Want: flaw(1, root, postRoot)},
		{Name: "on one of five joints side by side: a joint's scale", Rig: skinnedPost, Plant: beside(2, 1, 1, 1, 1)},
		{Name: "on all of them", Rig: skinnedPost, Plant: beside(2, 2, 2, 2, 2), Want: []checktest.Want{{Grade: check.Flaw, Value: 1, Tolerance: 1e-9}}},
		{Name: "below the root: not this check's", Rig: skinnedPost, Plant: scaled(postTip, 2, 2, 2)},
		{Name: "on the node of a plain mesh", Rig: plainPost, Plant: scaled(postShape, 2, 2, 2), Want: flaw(1, nil, postShape)},
		{Name: "two that cancel out", Rig: skinnedPost, Plant: func(r *rig.Rig) {
			scaled(postTop, 2, 2, 2)(r)
			scaled(postRoot, .5, .5, .5)(r)
		}},
		{Name: "the packing's own scale", Rig: plainPost, Plant: func(r *rig.Rig) {
			scaled(postShape, .001, .001, .001)(r)
			r.Meshes[0].Primitives[0].PositionType = shortType
		}},
		{Name: "nothing left", Rig: skinnedPost, Plant: scaled(postTop, 0, 0, 0), Want: flaw(1, root, postTop, postRoot)},
		{Name: "limit moved", Rig: skinnedPost, Plant: scaled(postTop, 2, 2, 2), Limits: map[string]float64{"off": 1.5}},
		{Name: "no vertex", Rig: hollow},
		{Name: "empty file", Rig: nothing, Skip: "no surface in this file"},
	})
}

// beside puts joints beside the skeleton of a post, below nothing, each of a size.
func beside(sizes ...float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for i, k := range sizes {
			n := rig.Node(len(r.Nodes))
			d := rig.NodeData{Parent: rig.None, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: [3]float64{float64(i), 0, 0}, R: [4]float64{0, 0, 0, 1}, S: [3]float64{k, k, k}}}
			d.Matrix = d.TRS.Affine()
			r.Nodes = append(r.Nodes, d)
			if len(r.Scenes) > 0 {
				r.Scenes[0].Roots = append(r.Scenes[0].Roots, n)
			}
			r.Skins[0].Joints, r.Skins[0].Bind = append(r.Skins[0].Joints, n), append(r.Skins[0].Bind, rig.Identity)
		}
		r.SetOrder()
	}
}
