package bends

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// hinge goes over from one joint to the other within one edge, at x just above 0.
func hinge(x, _ float64) float64 {
	if x > 1e-9 {
		return 1
	}
	return 0
}

func TestStretch(t *testing.T) {
	// A ring that goes over within one edge of 0.05 m is sheared by the chord of the turn:
	// 2 r sin(θ/2) ÷ 0.05, stretch (s + √(s² + 4))/2 (as W47); the chord is straight, the
	// ring is round, so a triangle's own plane differs a little.
	sheared := func(r, degrees float64) float64 {
		s := 2 * r * math.Sin(degrees*math.Pi/360) / .05
		return (s + math.Sqrt(s*s+4)) / 2
	}
	tubes := func(r float64) func() *rig.Rig { return func() *rig.Rig { return tube(1, r, 40, 48, true, hinge) } }
	checktest.Run(t, stretch, Measure, []checktest.Row{
		{Name: "an even ramp, no figure", Rig: tubeOf(ramp(1))},
		{Name: "a thin hinge", Rig: tubes(.1)},
		{Name: "one as thick as to show at the end", Rig: tubes(.2), Want: []checktest.Want{{Grade: check.Note, Name: "stretch", Value: sheared(.2, 90), Tolerance: .15, Joints: []rig.Node{1}}}},
		{Name: "one as thick as to show half way", Rig: tubes(.4), Want: []checktest.Want{{Grade: check.Flaw, Name: "stretch half way", Value: sheared(.4, 45), Tolerance: .15, Joints: []rig.Node{1}, More: map[string]float64{"angle": 45}}}},
		{Name: "limit moved", Rig: tubes(.4), Limits: map[string]float64{"half": 7, "end": 20}},
		{Name: "clean figure", Rig: clean},
		// Six or seven triangles of 630: one more than the one in a hundred that may be longer.
		{Name: "one vertex of the mitten on the chest", Rig: clean, Plant: func(r *rig.Rig) { lamplighter.Pinned(1)(r) },
			Want: []checktest.Want{{Grade: check.Note, Name: "stretch", Value: p99LongWay(t, 1, "hand_L", 1), Tolerance: 1e-4, Joints: []rig.Node{lamplighter.Node("hand_L")}}}},
		{Name: "the same, limit moved", Rig: clean, Plant: func(r *rig.Rig) { lamplighter.Pinned(1)(r) }, Limits: map[string]float64{"end": 5}},
		{Name: "ten of them", Rig: clean, Plant: func(r *rig.Rig) { lamplighter.Pinned(10)(r) }, Limits: map[string]float64{"end": 100},
			Want: []checktest.Want{{Grade: check.Flaw, Name: "stretch half way", Value: p99LongWay(t, 10, "upperArm_L", .5), Tolerance: 1e-3}}},
	})
}

// p99LongWay is the largest 99th percentile over a joint's moves, each by part of its
// range, with vertices of the left mitten pinned to the chest.
func p99LongWay(t *testing.T, pinned int, name string, part float64) (most float64) {
	t.Helper()
	r := clean()
	lamplighter.Pinned(pinned)(r)
	joint := lamplighter.Node(name)
	for _, turn := range measured(t, r).Turns {
		for _, degrees := range [2]float64{turn.Min, turn.Max} {
			if turn.Joint == joint && degrees != 0 {
				most = max(most, measureBrute(r, joint, turn.Dir, degrees*part, deform.Linear).p99)
			}
		}
	}
	return most
}

// The 99th percentile by nearest rank, against a sorted list.
func TestPercentile(t *testing.T) {
	for _, w := range []struct {
		above, below []float64 // squared
		n            int
		want         float64
	}{
		{[]float64{4}, nil, 100, 1}, // one of a hundred may exceed it
		{[]float64{4, 9}, nil, 100, 2},
		{[]float64{4, 9, 16}, nil, 3, 4}, // of a few, the largest
		{nil, []float64{.25, .81}, 2, .9},
		{nil, []float64{.25, .81}, 3, 1},
		{[]float64{4}, []float64{.81}, 200, 1},
		{[]float64{4, 4, 4}, []float64{.81}, 200, 2},
		{nil, nil, 10, 1},
	} {
		z := &zone{above: w.above, below: w.below}
		near(t, "percentile", z.percentile(w.n), w.want, 1e-12)
	}
}
