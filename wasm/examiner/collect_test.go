package main

import (
	"runtime"
	"runtime/debug"
	"testing"
)

// Where much is held the heap may grow by a quarter before it is looked through, where
// little is it may double: 300 MB and none of it (the limit is 256).
func TestCollectKeepsTight(t *testing.T) {
	before := debug.SetGCPercent(100)
	defer debug.SetGCPercent(before)
	percent := func() int {
		p := debug.SetGCPercent(100)
		debug.SetGCPercent(p)
		return p
	}
	held := make([]byte, 300<<20)
	collect()
	if p := percent(); p != 25 {
		t.Errorf("300 MB held: the heap may grow by %d %%, want 25", p)
	}
	runtime.KeepAlive(held)
	held = nil
	runtime.GC()
	collect()
	if p := percent(); p != 100 {
		t.Errorf("nothing held: the heap may grow by %d %%, want 100", p)
	}
}
