package bvh

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
)

// A frame of 59 s is a step, however odd; one of 61 s is none and is played at 30 a second.
func TestLongestFrame(t *testing.T) {
	for dt, want := range map[float64]float64{59: 59, 61: 1. / 30, 2e-6: 2e-6, 5e-7: 1. / 30} {
		f := &file{}
		if got := f.frameTime(dt, 3, 1); math.Abs(got-want) > 1e-12 {
			t.Errorf("%g s a row is read as %g, want %g", dt, got, want)
		}
	}
}

// An order of angles is left where its middle one comes within ten degrees of 90°: the
// sine of 80° is 0.985.
func TestOrderNear90(t *testing.T) {
	// The middle angle of Z X Y is that about X.
	for degrees, want := range map[float64]int{60: 0, 79: 0, 82: 1, 90: 1} {
		s, c := math.Sincos(degrees * math.Pi / 180)
		if got := chooseOrder([]mgl64.Mat3{{1, 0, 0, 0, c, s, 0, -s, c}}); got != want {
			t.Errorf("%g° about X: order %d, want %d", degrees, got, want)
		}
	}
}

// A row takes the moment of a keyframe that rounding puts beside it, not that of one a
// quarter of a step away: the clip would play unevenly.
func TestFramesMeetKeys(t *testing.T) {
	r := &rig.Rig{Clips: []rig.ClipData{{Start: 0, Seconds: .2, Channels: []rig.Channel{{Times: []float32{0, .04, .0804, .13, .16, .2}}}}}}
	times, step, err := frames(r, 0, 100)
	if err != nil || math.Abs(step-.04) > 1e-9 {
		t.Fatalf("step %g, %v", step, err)
	}
	for i, want := range []float64{0, .04, float64(float32(.0804)), .12, .16, .2} {
		if math.Abs(times[i]-want) > 1e-6 {
			t.Errorf("row %d at %g s, want %g", i, times[i], want)
		}
	}
}
