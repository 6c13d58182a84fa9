package motion

import (
	"math"
	"testing"

	"rigloupe/inspect/rig"
)

// A clip at 30 frames a second, of which one step in twenty is cut short by rounding and
// half are skipped: it was keyed at 1/30 s.
func TestFrameIsTheShortStep(t *testing.T) {
	ch := rig.Channel{Times: []float32{0}}
	at := float32(0)
	for k := range 40 {
		switch {
		case k%20 == 0:
			at += .02
		case k%2 == 0:
			at += .1
		default:
			at += 1. / 30
		}
		ch.Times = append(ch.Times, at)
	}
	if got := frame(&rig.ClipData{Channels: []rig.Channel{ch}}, []keyed{{moves: true}}); math.Abs(got-1./30) > 1e-5 {
		t.Errorf("keyed at %g s", got)
	}
}
