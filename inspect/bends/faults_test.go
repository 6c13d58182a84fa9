package bends

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// The faults planted in the sample, in both poses.
func TestSampleFaults(t *testing.T) {
	checktest.Sample{
		Station: &Station, On: []lamplighter.Options{{}, {Pose: lamplighter.A}}, Judged: check.Note,
		Near: map[string]float64{
			"bends/collapse":    0.03, // the ends of the stretch lose less
			"bends/twist-pinch": 0.02, // weights in steps of 1/2048
			// What these grade, the stretch and the share of triangles, is not worked out.
			"bends/stretch":     math.Inf(1),
			"bends/turned-over": math.Inf(1),
		},
		// Of a patch that only shows in part most of it.
		Named: map[string]float64{"bends/stretch": 0.7, "bends/turned-over": 0.7, "bends/twist-pinch": 0.8},
		More:  func(t *testing.T, r *rig.Rig, f *check.Finding) { posed(t, f.ID, measured(t, r), f) },
	}.Run(t)
}
