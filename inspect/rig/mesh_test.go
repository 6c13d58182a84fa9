package rig

import (
	"math"
	"testing"
)

// By hand: the largest weight, the first slot of equal ones, no joint beyond the skin's
// list, none without weight.
func TestStrongest(t *testing.T) {
	nan := float32(math.NaN())
	m := &MeshData{K: 3, Positions: make([]float32, 3*6),
		Joints:  []uint16{4, 2, 7, 5, 6, 5, 9, 1, 0, 3, 3, 3, 0, 1, 2, 8, 9, 10},
		Weights: []float32{.2, .5, .3, .4, .4, .2, .9, .06, .04, 0, 0, 0, nan, .1, -2, 1, 1, 1}}
	for v, want := range []int{2, 5, 1, -1, 1, -1} {
		if got := m.Strongest(v, 8); got != want {
			t.Errorf("vertex %d: joint %d, want %d", v, got, want)
		}
	}
	if got := m.Strongest(2, 10); got != 9 {
		t.Errorf("of ten joints the tenth is one: %d", got)
	}
}
