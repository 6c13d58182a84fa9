package panics

import (
	"runtime/debug"
	"strings"
	"testing"
)

func TestPlace(t *testing.T) {
	stack := `goroutine 1 [running]:
runtime/debug.Stack()
	runtime/debug/stack.go:26 +0x3
rigloupe/wasm/bridge.(*Hooks).Func.func1.1()
	rigloupe/wasm/bridge/hooks_js.go:34 +0x5
panic({0x1, 0x2})
	runtime/panic.go:792 +0xe
rigloupe/viewer/raster.(*Plate).Fill(...)
	rigloupe/viewer/raster/fill.go:41
rigloupe/viewer/scene.(*Scene).Draw(0x1)
	rigloupe/viewer/scene/scene.go:130 +0x10
`
	if got := Place([]byte(stack)); got != "viewer/raster/fill.go:41" {
		t.Errorf("got %q", got)
	}
	if got := Place([]byte("nothing of ours")); got != "place unknown" {
		t.Errorf("got %q", got)
	}
}

// A real panic of the runtime, deep below: the innermost line of ours is told.
func TestPlaceOfARealPanic(t *testing.T) {
	defer func() {
		recover()
		if got := Place(debug.Stack()); !strings.HasPrefix(got, "inspect/panics/panics_test.go:") {
			t.Errorf("got %q", got)
		}
	}()
	var list []int
	_ = list[len(t.Name())]
}
