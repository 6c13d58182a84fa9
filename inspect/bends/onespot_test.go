package bends

import (
	"testing"

	"rigloupe/inspect/exam"
)

// Places that lie in one spot are no way of length 0 that is walked for ever: that is
// what vertices become whose weights point nowhere, or that a joint of scale 0 moves.
func TestPlacesInOneSpot(t *testing.T) {
	b := newBody(exam.New(tube(1, .2, 8, 8, true, ramp(.5))))
	clear(b.rest)
	z := b.newZone(1)
	limb := limbOf(b, z)
	walked := z.spread(limb, func(p uint32) bool { return z.shareOf(b.of[p]) >= .5 }, .5, 0)
	reached := 0
	for p, r := range b.reached {
		if r && z.shareOf(b.of[p]) < .5 {
			reached++
		}
	}
	if want := len(b.of) - len(limb); reached != want || len(walked) > 4*want {
		t.Errorf("%d of %d places reached, %d written", reached, want, len(walked))
	}
}

// A place with many neighbours around is looked at once, not once for each of them: a
// limb that ends in a fan of n triangles takes a walk of n steps.
func TestFanBesideALimb(t *testing.T) {
	steps := func(sides int) (n int) {
		r := tube(1, .2, 4, sides, true, ramp(.5))
		m := &r.Meshes[0]
		m.Weights[len(m.Weights)-4], m.Weights[len(m.Weights)-3] = .7, .3 // the middle of the cap
		b := newBody(exam.New(r))
		z := b.newZone(1)
		walked := z.spread(limbOf(b, z), func(p uint32) bool { return z.shareOf(b.of[p]) >= .5 }, .5, 0)
		return len(walked)
	}
	small, large := steps(64), steps(1024)
	if small == 0 || large > 20*small {
		t.Errorf("%d and %d places written for 64 and 1,024 sides", small, large)
	}
}

func limbOf(b *body, z *zone) (list []uint32) {
	seen := map[uint32]bool{}
	for _, v := range z.moves() {
		if p := b.place[v]; !seen[p] && z.shareOf(v) >= .5 {
			seen[p] = true
			list = append(list, p)
		}
	}
	return list
}
