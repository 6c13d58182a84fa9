package intake

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// Two people side by side are two figures, one is none to speak of, a body and its clothes
// on two skeletons in one place are one; three are three. What is said of the figures of a
// file as a whole, and where their faults stand, is asked in the engine's own tests.
func TestSeveralFigures(t *testing.T) {
	at := func(x float64) *rig.Rig {
		return menagerie.Person(menagerie.Options{Still: true, At: [3]float64{x, 0, 0}})
	}
	several := func(n float64) []checktest.Want {
		return []checktest.Want{{Grade: check.Note, Name: "figures", Value: n}}
	}
	checktest.Run(t, severalFigures, Measure, []checktest.Row{
		{Name: "one", Rig: func() *rig.Rig { return at(0) }},
		{Name: "two", Rig: func() *rig.Rig { return menagerie.Merge(at(-1.2), at(1.2)) }, Want: several(2)},
		{Name: "two allowed", Rig: func() *rig.Rig { return menagerie.Merge(at(-1.2), at(1.2)) }, Limits: map[string]float64{"figures": 2}},
		{Name: "three", Rig: func() *rig.Rig { return menagerie.Merge(at(-2), at(0), at(2)) }, Want: several(3)},
		{Name: "three where two are allowed", Rig: func() *rig.Rig { return menagerie.Merge(at(-2), at(0), at(2)) }, Limits: map[string]float64{"figures": 2}, Want: several(3)},
		{Name: "two skeletons in one place", Rig: func() *rig.Rig { return menagerie.Merge(at(0), at(0)) }},
	})
}
