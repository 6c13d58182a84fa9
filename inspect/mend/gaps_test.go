package mend

import (
	"math"
	"testing"

	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
)

// A loop is open by more than half a degree or a thousandth of the figure: 2 mm of 2 m (common practice,
// no source). What is no loop is not open.
func TestOpenLoops(t *testing.T) {
	p := func(v float64) *float64 { return &v }
	for _, row := range []struct {
		f    motion.Clip
		want bool
	}{
		{motion.Clip{Loop: true, LoopDegrees: p(.4), LoopMetres: p(.0019)}, false},
		{motion.Clip{Loop: true, LoopDegrees: p(.6)}, true},
		{motion.Clip{Loop: true, LoopMetres: p(.0021)}, true},
		{motion.Clip{LoopDegrees: p(9)}, false},
	} {
		if got := isOpen(&row.f, 2); got != row.want {
			t.Errorf("%v: open %v", row.f, got)
		}
	}
}

// A turn of rounding is none, a thousandth of a radian is one: 1 mm at a metre.
func TestTidyTurns(t *testing.T) {
	for turn, want := range map[float64]float64{5e-7: 0, 1e-3: 1e-3} {
		s, c := math.Sincos(turn / 2)
		got := tidy(rig.TRS{R: [4]float64{s, 0, 0, c}, S: [3]float64{1, 1, 1}})
		if off := 2 * math.Asin(got.R[0]); math.Abs(off-want) > 1e-9 {
			t.Errorf("a turn of %g rad is written as %g", turn, off)
		}
	}
}

// Joints that hold a hundredth of a part lay it; the others count a tenth of those beside them.
func TestLayWeights(t *testing.T) {
	for share, want := range map[float64]float64{0: .1, .009: .1, .011: 1, 1: 1} {
		if got := layWeight(share); got != want {
			t.Errorf("a joint with %g of the part counts %g, want %g", share, got, want)
		}
	}
}
