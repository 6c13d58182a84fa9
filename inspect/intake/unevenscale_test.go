package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestUnevenScale(t *testing.T) {
	root := []rig.Node{postRoot}
	turned := func(x, y, z, degrees float64) func(*rig.Rig) {
		return func(r *rig.Rig) {
			scaled(postTop, x, y, z)(r)
			set(r, postTip, func(t *rig.TRS) { t.R = about(0, 0, 1, degrees) })
		}
	}
	checktest.Run(t, unevenScale, Measure, []checktest.Row{
		{Name: "clean", Rig: skinnedPost},
		{Name: "clean figure", Rig: sample(nil)},
		{Name: "even", Rig: skinnedPost, Plant: scaled(postTop, 100, 100, 100)},
		{Name: "just under", Rig: skinnedPost, Plant: scaled(postTop, 1.0009, 1, 1)},
		{Name: "just over", Rig: skinnedPost, Plant: scaled(postTop, 1.0011, 1, 1),
			Want: []checktest.Want{{Grade: check.Flaw, Name: "largest ÷ smallest axis", Value: 1.0011, Tolerance: 1e-9, Joints: root, Nodes: []rig.Node{postTop, postRoot}}}},
		// Closed form: below S(2,1,1) a child turned by 45° has cos −0.6 between its axes.
		{Name: "turned below", Rig: skinnedPost, Plant: turned(2, 1, 1, 45),
			Want: []checktest.Want{{Grade: check.Stop, Name: "shear", Value: .6, Tolerance: 1e-9, Joints: root, More: map[string]float64{"largest ÷ smallest axis": 2}}}},
		// For a small unevenness u and a turn a the cos is u·sin 2a.
		{Name: "turned below, shear just under", Rig: skinnedPost, Plant: turned(1.0011, 1, 1, 25),
			Want: []checktest.Want{{Grade: check.Flaw, Name: "largest ÷ smallest axis", Value: 1.0011, Tolerance: 1e-9}}},
		{Name: "turned below, shear just over", Rig: skinnedPost, Plant: turned(1.0011, 1, 1, 40),
			Want: []checktest.Want{{Grade: check.Stop, Name: "shear", Value: .0011 * .984808, Tolerance: 1e-6}}},
		{Name: "turned below an even one", Rig: skinnedPost, Plant: turned(2, 2, 2, 45)},
		{Name: "mirrored", Rig: skinnedPost, Plant: scaled(postTop, -1, 1, 1),
			Want: []checktest.Want{{Grade: check.Flaw, Name: "sign of the determinant", Value: -1, Nodes: []rig.Node{postTop, postRoot}}}},
		{Name: "mirrored twice", Rig: skinnedPost, Plant: scaled(postTop, -1, -1, 1)},
		{Name: "plain mesh", Rig: plainPost, Plant: scaled(postShape, 1, 3, 1),
			Want: []checktest.Want{{Grade: check.Flaw, Value: 3, Nodes: []rig.Node{postShape}}}},
		{Name: "scaled to nothing", Rig: skinnedPost, Plant: scaled(postTop, 0, 0, 0)},
		{Name: "empty file", Rig: nothing, Skip: "no surface in this file"},
	})
}
