package heap

import (
	"runtime"
	"runtime/debug"
	"testing"
)

// Where little is held the heap may double, where 300 MB are it may grow by 21 % (64 MB), and
// never by less than a tenth.
func TestTighten(t *testing.T) {
	before := debug.SetGCPercent(100)
	defer debug.SetGCPercent(before)
	set := func() int {
		p := debug.SetGCPercent(100)
		debug.SetGCPercent(p)
		return p
	}
	held := make([]byte, 300<<20)
	Tighten(128 << 20)
	if p := set(); p < 20 || p > 21 { // 64 of 300 MB and what the test itself holds
		t.Errorf("300 MB held: the heap may grow by %d %%, want 21", p)
	}
	runtime.KeepAlive(held)
	held = nil
	runtime.GC()
	Tighten(128 << 20)
	if p := set(); p != 100 {
		t.Errorf("nothing held: the heap may grow by %d %%, want 100", p)
	}
	for held, want := range map[uint64]int{0: 100, 64 << 20: 100, 128 << 20: 50, 640 << 20: 10, 4 << 30: 10} {
		if got := percent(held); got != want {
			t.Errorf("%d bytes held: %d %%, want %d", held, got, want)
		}
	}
}

// TestEase: where little is held the heap may grow by 64 MB, to five times as much at most,
// in the middle it may double, and where much is held it is tight.
func TestEase(t *testing.T) {
	before := debug.SetGCPercent(100)
	defer debug.SetGCPercent(before)
	for held, want := range map[uint64]int{0: 400, 16 << 20: 400, 32 << 20: 200, 64 << 20: 100, 100 << 20: 100} {
		if got := eased(held); got != want {
			t.Errorf("%d bytes held: %d %%, want %d", held, got, want)
		}
	}
	set := func() int {
		p := debug.SetGCPercent(100)
		debug.SetGCPercent(p)
		return p
	}
	runtime.GC()
	Ease(128 << 20)
	if p := set(); p != 400 {
		t.Errorf("nothing held: the heap may grow by %d %%, want 400", p)
	}
	held := make([]byte, 300<<20)
	Ease(128 << 20)
	if p := set(); p < 20 || p > 21 {
		t.Errorf("300 MB held: the heap may grow by %d %%, want 21", p)
	}
	runtime.KeepAlive(held)
}
