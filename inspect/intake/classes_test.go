package intake

import (
	"math"
	"testing"
)

// Arms below level, degrees, and what they are called: level up to 10°, an A-pose from 20°
// to 65° (common practice, no source: Skeleton's own lines), and nothing within 3° of a
// line, since angles read off a surface are right to about 5°.
func TestArmClass(t *testing.T) {
	for below, want := range map[float64]string{
		-5: "T", 0: "T", 6.9: "T", 8: "", 10: "", 12.9: "", 13.1: "between", 16.9: "between", 18: "", 22.9: "",
		23.1: "A", 45: "A", 61.9: "A", 63: "", 67.9: "", 68.1: "hanging", 85: "hanging",
	} {
		got := ""
		if c := armClass(below); c != nil {
			got = *c
		}
		if got != want {
			t.Errorf("%g° below level: %q, want %q", below, got, want)
		}
	}
}

// A level direction is called by the axis that is less than 45° away.
func TestDirection(t *testing.T) {
	for degrees, want := range map[float64]string{0: "+Z", 44: "+Z", 46: "+X", 50: "+X", 90: "+X", 134: "+X", 136: "−Z", 180: "−Z", 224: "−Z", 226: "−X", 270: "−X", 310: "−X", 316: "+Z"} {
		s, c := math.Sincos(degrees * math.Pi / 180)
		if got := direction([3]float64{s, 0, c}); got != want {
			t.Errorf("%g° from +Z towards +X: %s, want %s", degrees, got, want)
		}
	}
}
