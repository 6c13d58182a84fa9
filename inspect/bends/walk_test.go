package bends

import (
	"container/heap"
	"math/rand/v2"
	"testing"
)

// boxed are walkers as container/heap keeps them.
type boxed []walker

func (h boxed) Len() int           { return len(h) }
func (h boxed) Less(i, j int) bool { return h[i].before(h[j]) }
func (h boxed) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *boxed) Push(x any)        { *h = append(*h, x.(walker)) }
func (h *boxed) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}

// TestWalkers: walkers come out as the library's heap gives them, equal ways by place.
func TestWalkers(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	var own walkers
	var want boxed
	for i := range 5000 {
		if len(own) > 0 && rng.IntN(3) == 0 {
			if a, b := own.pop(), heap.Pop(&want).(walker); a != b {
				t.Fatalf("step %d: %v, want %v", i, a, b)
			}
			continue
		}
		w := walker{float64(rng.IntN(40)), rng.Uint32N(1000)}
		own.push(w)
		heap.Push(&want, w)
	}
	for len(own) > 0 {
		if a, b := own.pop(), heap.Pop(&want).(walker); a != b {
			t.Fatalf("at the end: %v, want %v", a, b)
		}
	}
	if len(want) != 0 {
		t.Errorf("%d are left", len(want))
	}
}
