package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestNeedsExtension(t *testing.T) {
	requires := func(names ...string) func(*rig.Rig) { return func(r *rig.Rig) { r.File.NotHonored = names } }
	checktest.Run(t, needsExtension, Measure, []checktest.Row{
		{Name: "clean", Rig: skinnedPost},
		{Name: "one", Rig: skinnedPost, Plant: requires("EXT_a"), Want: []checktest.Want{{Grade: check.Stop, Value: 1, Subject: `"EXT_a"`, Pointer: "/extensionsRequired"}}},
		{Name: "two, each named", Rig: skinnedPost, Plant: requires("EXT_a", "EXT_b"), Want: []checktest.Want{
			{Grade: check.Stop, Value: 2, Subject: `"EXT_a", 1 of 2`}, {Grade: check.Stop, Value: 2, Subject: `"EXT_b", 2 of 2`}}},
		{Name: "required and honoured", Rig: skinnedPost, Plant: func(r *rig.Rig) { r.File.Required = []string{"KHR_mesh_quantization"} }},
		{Name: "empty file", Rig: nothing},
	})
}
