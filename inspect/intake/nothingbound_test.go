package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

func TestNothingBound(t *testing.T) {
	checktest.Run(t, nothingBound, Measure, []checktest.Row{
		{Name: "bound", Rig: skinnedPost},
		{Name: "not", Rig: plainPost, Want: []checktest.Want{{Grade: check.Note, Value: 0, Nodes: []rig.Node{postShape}}}},
		{Name: "a skin that no surface uses", Rig: spareSkin, Want: []checktest.Want{{Grade: check.Note, Value: 0, Nodes: []rig.Node{postShape}}}},
		{Name: "empty file", Rig: nothing, Skip: "no surface in this file"},
	})
}

// Rigid parts that clips move are said to be that, and are not sent off to be bound.
func TestNothingBoundOfParts(t *testing.T) {
	checktest.Run(t, nothingBound, Measure, []checktest.Row{
		{Name: "parts", Rig: func() *rig.Rig { return menagerie.Parts(menagerie.Options{}) },
			Want: []checktest.Want{{Grade: check.Note, Value: 0, Subject: "rigid parts on 21 nodes that clips move"}}},
		{Name: "parts without a clip", Rig: func() *rig.Rig { return menagerie.Parts(menagerie.Options{Still: true}) },
			Want: []checktest.Want{{Grade: check.Note, Value: 0, Subject: "whether the surface is ready to be bound stands under Surface"}}},
	})
}

// spareSkin is the post without a skin beside joints that stand in one.
func spareSkin() *rig.Rig {
	r := plainPost()
	r.Skins = append(r.Skins, rig.SkinData{Joints: []rig.Node{0}, Bind: []rig.Affine{rig.Identity}, Skeleton: rig.None})
	return r
}
