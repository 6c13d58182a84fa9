package surface

import (
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/rig"
)

// Both sides of each limit of the station, on solids of known size: found at the
// right place, as large as planted, and silent just before.
func TestNearCoincidentLimits(t *testing.T) {
	n := rig.Vertex(len(sphere) / 3)
	// The triangle that is taken off has two edges at vertex 0, and so has the rest: four
	// open edges, which all meet. The edges of this ball are 0.14 to 0.2 long.
	split := []checktest.Want{{Grade: check.Flaw, Name: "share of the open edges", Value: 1, More: map[string]float64{"open edges that meet another": 4}}}
	pair := func(pairs float64) []checktest.Want {
		w := slices.Clone(split)
		w[0].More = map[string]float64{"pairs almost in one place": pairs}
		return w
	}
	held := one(check.Note, "held apart", 1, 0, n)
	checktest.Run(t, nearCoincident, Measure, []checktest.Row{
		{Name: "whole", Rig: shape(sphere, sphereTri)},
		{Name: "0.98e-5 of the diagonal apart", Rig: shape(sphere, sphereTri), Plant: apart(0.98e-5 * sphereD), Want: pair(1)},
		{Name: "1.02e-5 apart: a seam, no pair", Rig: shape(sphere, sphereTri), Plant: apart(1.02e-5 * sphereD), Want: pair(0)},
		{Name: "1.98e-3 apart", Rig: shape(sphere, sphereTri), Plant: apart(1.98e-3 * sphereD), Want: split},
		{Name: "2.02e-3 apart: open on purpose", Rig: shape(sphere, sphereTri), Plant: apart(2.02e-3 * sphereD)},
		{Name: "equal places are one", Rig: shape(sphere, sphereTri), Plant: apart(0)},
		{Name: "weights 0.0098 apart", Rig: shape(sphere, sphereTri), Plant: both(apart(5e-6), weighted(0.0049)), Want: split},
		{Name: "weights 0.0102 apart: held", Rig: shape(sphere, sphereTri), Plant: both(apart(5e-6), weighted(0.0051)), Want: held},
		{Name: "held ones allowed", Rig: shape(sphere, sphereTri), Plant: both(apart(5e-6), weighted(1)), Limits: map[string]float64{"held-apart": 1}},
		{Name: "the share allowed: the pair is told", Rig: shape(sphere, sphereTri), Plant: apart(5e-6), Limits: map[string]float64{"seam": 1}, Want: one(check.Flaw, "pairs", 1, 0, n)},
		{Name: "share and pair allowed: a note", Rig: shape(sphere, sphereTri), Plant: apart(5e-6), Limits: map[string]float64{"seam": 1, "pairs": 1},
			Want: []checktest.Want{{Grade: check.Note, Name: "open edges that meet another", Value: 4}}},
	})
}
