package main

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// TestPlainStageIsLean: what every page starts with links neither Ebitengine nor a decoder
// of pictures, nor anything of the examination; the other stage does link Ebitengine.
func TestPlainStageIsLean(t *testing.T) {
	deps := func(pkg string) []string {
		c := exec.Command("go", "list", "-deps", pkg)
		c.Dir, c.Env = "../..", append(os.Environ(), "GOOS=js", "GOARCH=wasm")
		out, err := c.CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		return strings.Fields(string(out))
	}
	const ebiten = "github.com/hajimehoshi/ebiten/v2"
	plain := deps("./wasm/plain")
	for _, not := range []string{ebiten, "image/png", "image/jpeg", "compress/flate", "rigloupe/inspect", "rigloupe/inspect/gltfio", "github.com/qmuntal/gltf", "regexp", "net/http"} {
		if slices.Contains(plain, not) {
			t.Errorf("the plain stage links %s", not)
		}
	}
	if !slices.Contains(plain, "rigloupe/wasm/stage") || !slices.Contains(deps("./wasm/gpu"), ebiten) {
		t.Error("these are not the stages")
	}
}
