package binding

import (
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
)

// The faults planted in the sample, in both poses.
func TestSampleFaults(t *testing.T) {
	checktest.Sample{
		Station: &Station, On: []lamplighter.Options{{}, {Pose: lamplighter.A}},
		Measure: map[string]string{"binding/many-influences": "crowded", "binding/mirror-mismatch": "differ"},
	}.Run(t)
}
