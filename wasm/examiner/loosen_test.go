package main

import (
	"runtime"
	"runtime/debug"
	"testing"

	"rigloupe/inspect/gltfio"
)

// While a file is read the heap may grow to five times as much where the file is small, a
// megabyte at most in all its parts, and else as it might before.
func TestLoosenForSmallFiles(t *testing.T) {
	before := debug.SetGCPercent(100)
	defer debug.SetGCPercent(before)
	for _, row := range []struct{ a, b, want int }{{100, 0, 400}, {500_000, 500_000, 400}, {700_000, 500_000, 100}, {3_000_000, 0, 100}} {
		runtime.GC() // little is held
		debug.SetGCPercent(100)
		loosen([]gltfio.File{{Data: make([]byte, row.a)}, {Data: make([]byte, row.b)}})
		if p := debug.SetGCPercent(100); p != row.want {
			t.Errorf("%d and %d bytes: the heap may grow by %d %%, want %d", row.a, row.b, p, row.want)
		}
	}
}
