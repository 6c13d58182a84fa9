package motion

import (
	"math/rand/v2"
	"testing"

	"rigloupe/inspect/rig"
)

// TestSeriesRemembers: what a series remembers of keys and origins is what it would work
// out afresh, bit by bit, in whatever order it is asked.
func TestSeriesRemembers(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 3))
	c := &rig.Channel{Path: rig.Rotation, Interpolation: rig.Linear, Width: 4}
	for k := range 40 {
		c.Times = append(c.Times, float32(k)/30)
		for range 4 {
			c.Values = append(c.Values, float32(r.NormFloat64())) // of any length: files hold such
		}
	}
	s := series{c: c}
	s.units(nil)
	for range 20000 {
		if r.IntN(3) == 0 {
			s.set(r.IntN(40))
			continue
		}
		k := r.IntN(40)
		fresh := series{c: c}
		fresh.set(s.origin)
		if s.back.W == 0 && s.back.V.Len() == 0 {
			continue // no origin yet
		}
		if got, want := s.place(k), fresh.place(k); got != want {
			t.Fatalf("key %d from %d: %v, afresh %v", k, s.origin, got, want)
		}
	}
}
