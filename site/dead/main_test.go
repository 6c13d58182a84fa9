package main

import (
	"slices"
	"testing"
)

// Dead is what every program that holds the package leaves out.
func TestUnreached(t *testing.T) {
	fn := func(p, n string) function { return function{p, n, p + ".go:1"} }
	native := run{map[string]bool{"both": true, "own": true}, []function{fn("both", "nobody"), fn("both", "wasm calls it"), fn("own", "alone")}}
	wasm := run{map[string]bool{"both": true, "other": true}, []function{fn("both", "nobody"), fn("both", "native calls it"), fn("other", "there")}}
	kept["both kept"] = "for this test"
	defer delete(kept, "both kept")
	native.dead, wasm.dead = append(native.dead, fn("both", "kept")), append(wasm.dead, fn("both", "kept"))
	want := []function{fn("both", "nobody"), fn("own", "alone"), fn("other", "there")}
	if got := unreached([]run{native, wasm}); !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
