package skeleton

import (
	"testing"

	"rigloupe/inspect/check/checktest"
)

// The faults planted in the sample.
func TestSampleFaults(t *testing.T) {
	checktest.Sample{
		Station: &Station,
		Measure: map[string]string{
			"skeleton/off-centre: elbows 40 mm to the back": "worst joint off by",
			"skeleton/off-centre: elbows 90 mm to the back": "winding number",
			"skeleton/bind-odd: bent at the spine by 10°":   "largest turn",
			"skeleton/proportions":                          "left forearm",
			"skeleton/zero-length":                          "length",
			"skeleton/axes: left forearm rolled by 40°":     "pairs",
		},
		Size: map[string]float64{
			"skeleton/off-centre: elbows 90 mm to the back": 0,         // outside
			"skeleton/proportions":                          3 * 0.135, // half as long again as it was
			"skeleton/zero-length":                          0,
			"skeleton/axes: left forearm rolled by 40°":     1. / 8, // of the pairs
		},
		Near: map[string]float64{
			"skeleton/off-centre: elbows 40 mm to the back": 1e-4, // the section is not quite round
			"skeleton/off-centre: elbows 90 mm to the back": 1e-9,
			"skeleton/proportions":                          2e-3,
			"skeleton/zero-length":                          1e-12,
		},
	}.Run(t)
}
