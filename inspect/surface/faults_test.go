package surface

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
)

// The faults planted in the sample, in both poses.
func TestSampleFaults(t *testing.T) {
	checktest.Sample{
		Station: &Station, On: []lamplighter.Options{{}, {Pose: lamplighter.A}}, Judged: check.Note,
		Measure: map[string]string{
			"surface/lopsided": "share",
			"surface/lopsided: one vertex of the left cuff pulled out by 20 mm": "largest mismatch",
		},
		// Sizes of lopsided are upper bounds: of a lantern that is shifted, some vertices
		// come to lie where another was; and near the image of a vertex that is pulled out
		// there may be a closer one than its partner.
		Near:  map[string]float64{"surface/lopsided": 0.05, "surface/lopsided: one vertex of the left cuff pulled out by 20 mm": 0.006},
		Named: map[string]float64{"surface/lopsided": 0.8},
	}.Run(t)
}
