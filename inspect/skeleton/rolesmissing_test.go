package skeleton

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
)

func TestRolesMissing(t *testing.T) {
	bothSides(t, "skeleton/roles", lamp, []side{
		{name: "all there"},
		{name: "a hand cut off", plant: of(lamplighter.Amputate), grade: check.Note, measure: "missing", value: 1},
		{name: "a hand cut off, one may be missing", plant: of(lamplighter.Amputate), limits: map[string]float64{"missing": 1}},
	})
}
