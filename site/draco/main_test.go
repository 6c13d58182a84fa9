package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// What lies in inspect/draco is what the installed package holds: its program, byte for byte,
// and the names that its script knows it by.
func TestTaken(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	const from = "site/node_modules/draco3dgltf"
	if _, err := os.Stat(from); err != nil {
		t.Skip("the npm package draco3dgltf is not installed: make ready")
	}
	names, program, err := taken(from)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string][]byte{"names.go": names, "native/decoder.wasm": program} {
		if has, err := os.ReadFile(filepath.Join("inspect/draco", name)); err != nil || !bytes.Equal(has, want) {
			t.Errorf("%s is not what the package holds: go run ./site/draco (%v)", name, err)
		}
	}
}

// A script that another tool wrote is refused, and says what is missing.
func TestTakenRefuses(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"package.json": `{"version":"9.9.9"}`, "draco_decoder_gltf.wasm": "", "draco_decoder_gltf_nodejs.js": "a._malloc=function(){return(a._malloc=a.asm.Qb).apply(null,arguments)}"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if _, _, err := taken(dir); err == nil || err.Error() != "free stands 0 times in the script, once is wanted" {
		t.Errorf("%v", err)
	}
}
