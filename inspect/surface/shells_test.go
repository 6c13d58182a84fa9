package surface

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

func TestShellLimits(t *testing.T) {
	// A ball of radius r beside one of 1 has r² ÷ (1 + r²) of the area.
	two := func(r float32) func() *rig.Rig {
		q, more := ball(3, r, 2)
		return shape(with(sphere, sphereTri, q, more, false))
	}
	n := rig.Vertex(len(sphere) / 3)
	crumb := []rig.Vertex{}
	for v := range n {
		crumb = append(crumb, n+v)
	}
	several := checktest.Want{Grade: check.Note, Name: "shells", Value: 2}
	checktest.Run(t, shells, Measure, []checktest.Row{
		{Name: "one", Rig: shape(sphere, sphereTri)},
		{Name: "two, the small one 0.1005 % of the area", Rig: two(0.03172), Want: []checktest.Want{several}},
		{Name: "0.0995 %: a crumb", Rig: two(0.03156), Want: []checktest.Want{several, {Grade: check.Note, Name: "crumbs", Value: 1, Vertices: crumb}}},
		{Name: "two allowed", Rig: two(0.5), Limits: map[string]float64{"shells": 2}},
	})
}
