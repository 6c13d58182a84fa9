package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

func TestFacing(t *testing.T) {
	off := func(degrees float64) []checktest.Want {
		return []checktest.Want{{Grade: check.Note, Value: degrees, Tolerance: 1e-6}}
	}
	old := func(r *rig.Rig) { r.Humanoid.Version = "0" }
	checktest.Run(t, facing, Measure, []checktest.Row{
		{Name: "clean", Rig: sample(nil)},
		{Name: "just under", Rig: sample(lamplighter.RootTurn(44, 0))},
		{Name: "just over", Rig: sample(lamplighter.RootTurn(-46, 0)), Want: off(46)},
		{Name: "backwards", Rig: sample(lamplighter.RootTurn(180, 0)), Want: off(180)},
		{Name: "VRM 0.x, as it declares", Rig: sample(lamplighter.RootTurn(180, 0)), Plant: old},
		{Name: "VRM 0.x, against it", Rig: sample(nil), Plant: old, Want: off(180)},
		{Name: "sides named the wrong way: the toes tell", Rig: sample(nil), Plant: swapSides},
		{Name: "lies", Rig: sample(lamplighter.RootTurn(0, -90)), Skip: "the way the figure faces cannot be told"},
		{Name: "no figure", Rig: skinnedPost, Skip: "no figure recognised in this file"},
		{Name: "empty file", Rig: nothing, Skip: "no figure recognised in this file"},
	})
}

// swapSides exchanges left and right in all names.
func swapSides(r *rig.Rig) {
	for i := range r.Nodes {
		n := []rune(r.Nodes[i].Name)
		for k := 1; k < len(n); k++ {
			if n[k-1] == '_' && n[k] == 'L' {
				n[k] = 'R'
			} else if n[k-1] == '_' && n[k] == 'R' {
				n[k] = 'L'
			}
		}
		r.Nodes[i].Name = string(n)
	}
}
