package bends

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Walking out from the rim of a limb reaches what walking out from all of it does, by the
// same ways: on the sample, on one with weights thrown about, where vertices of one place
// hang on different joints.
func TestTheRimIsEnough(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 10))
	smaller := 0
	for _, odd := range []float64{0, 0.01, 0.2} {
		r := checktest.Built(lamplighter.Options{Vertices: 2000})
		for i := range r.Meshes {
			m := &r.Meshes[i]
			for v := range m.Positions[:len(m.Positions)/3] {
				if m.K > 1 && rnd.Float64() < odd {
					w, at := rnd.Float32(), v*m.K
					clear(m.Weights[at : at+m.K])
					m.Weights[at], m.Weights[at+1] = w, 1-w
					m.Joints[at], m.Joints[at+1] = uint16(rnd.IntN(len(r.Skins[0].Joints))), m.Joints[at]
				}
			}
		}
		b := newBody(exam.New(r))
		for _, j := range r.Skins[0].Joints {
			z := b.newZone(j)
			all, rim := limbOf(b, z), z.rim()
			isLimb := make([]bool, len(b.of))
			for _, p := range all {
				isLimb[p] = true
			}
			if len(rim) < len(all) {
				smaller++
			}
			var reached [2][]bool
			var best [2][]float64
			for k, from := range [2][]uint32{all, rim} {
				walked := z.spread(from, func(p uint32) bool { return isLimb[p] }, .2, 0)
				reached[k], best[k] = slices.Clone(b.reached), slices.Clone(b.best)
				for _, p := range walked {
					b.reached[p], b.best[p] = false, math.Inf(1)
				}
			}
			if !slices.Equal(reached[0], reached[1]) || !slices.Equal(best[0], best[1]) {
				t.Fatalf("%g of the weights odd, joint %d: the rim reaches other places", odd, j)
			}
		}
	}
	if smaller == 0 {
		t.Error("the rim is never smaller than the limb")
	}
}

// The rim goes by where a limb ends, not by how much follows it as one piece.
func TestTheRimDoesNotGrowWithTheLimb(t *testing.T) {
	rim := func(rings int) (rim, limb int) {
		b := newBody(exam.New(tube(1, .2, rings, 8, true, func(x, _ float64) float64 { return max(0, math.Copysign(1, x)) })))
		z := b.newZone(rig.Node(1))
		return len(z.rim()), len(limbOf(b, z))
	}
	few, short := rim(64)
	many, long := rim(512)
	if few == 0 || many > few || long < 7*short {
		t.Errorf("rims of %d and %d places, limbs of %d and %d", few, many, short, long)
	}
}
