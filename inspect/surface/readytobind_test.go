package surface

import (
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
)

// The verdict goes with what stands, and says first what is to be done first.
func TestReadyLimits(t *testing.T) {
	tiny, tinyTri := ball(2, 0.25, 3)
	first := func(grade check.Grade, value float64, subject string) []checktest.Want {
		return []checktest.Want{{Grade: grade, Name: "faults", Value: value, Subject: subject}}
	}
	thinTri := append(slices.Clone(sphereTri), 0, sphereTri[0], 0)
	checktest.Run(t, readyToBind, Measure, []checktest.Row{
		{Name: "sound", Rig: shape(sphere, sphereTri)},
		{Name: "open is no fault", Rig: shape(sphere, sphereTri[3:])},
		{Name: "a near pair", Rig: shape(sphere, sphereTri), Plant: apart(5e-6), Want: first(check.Stop, 1, "first: 4 open edges beside those they should be joined to")},
		{Name: "a pair that is held apart", Rig: shape(sphere, sphereTri), Plant: both(apart(5e-6), weighted(1))},
		{Name: "main shell inside out", Rig: shape(sphere, inverted(sphereTri)), Want: first(check.Stop, 1, "first: 1 main shell, inside out")},
		{Name: "a small shell inside out", Rig: shape(with(sphere, sphereTri, tiny, tinyTri, true)), Want: first(check.Note, 1, "first: 1 shell inside out")},
		{Name: "no area", Rig: shape(sphere, thinTri), Want: first(check.Note, 1, "first: 1 triangle without area")},
		{Name: "a near pair and no area", Rig: shape(sphere, thinTri), Plant: apart(5e-6), Want: []checktest.Want{{
			Grade: check.Stop, Name: "faults", Value: 1, Subject: "first: 1 pair of vertices almost in one place", More: map[string]float64{"steps in all": 2}}}},
		{Name: "no triangle", Rig: shape(sphere, nil), Skip: "no triangles in this file"},
	})
}
