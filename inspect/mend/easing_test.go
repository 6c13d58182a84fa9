package mend

import (
	"math"
	"testing"

	"rigloupe/inspect/rig"
)

// A gap is spread so that on average it adds 60° a second: 90° over a second and a half; no
// gap over less than a fifth of a second, none over more than half of its clip (values
// chosen by us).
func TestLoopEasesFor(t *testing.T) {
	l := &looper{w: &Work{Rig: &rig.Rig{Clips: []rig.ClipData{{Start: 1, Seconds: 5}}}, Values: Values{}}}
	for _, row := range [][2]float64{{90, 1.5}, {30, .5}, {6, .2}, {1, .2}, {180, 2}} {
		if got, err := l.over(0, row[0]*math.Pi/180); err != nil || math.Abs(got-row[1]) > 1e-12 {
			t.Errorf("a gap of %g° is spread over %g s, want %g; %v", row[0], got, row[1], err)
		}
	}
}
