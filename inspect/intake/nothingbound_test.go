package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestNothingBound(t *testing.T) {
	checktest.Run(t, nothingBound, Measure, []checktest.Row{
		{Name: "bound", Rig: skinnedPost},
		{Name: "not", Rig: plainPost, Want: []checktest.Want{{Grade: check.Note, Value: 0, Nodes: []rig.Node{postShape}}}},
		{Name: "empty file", Rig: nothing, Skip: "no surface in this file"},
	})
}
