package motion

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
)

// The faults planted in the sample, in two variants.
func TestSampleFaults(t *testing.T) {
	checktest.Sample{
		Station: &Station, On: []lamplighter.Options{{Sway: true}, {Sway: true, Pose: lamplighter.A, Names: lamplighter.Snake}}, Judged: check.Note,
		Near: map[string]float64{"motion/worst-frame": math.Inf(1)}, // not worked out: it depends on every triangle at the waist
	}.Run(t)
}
