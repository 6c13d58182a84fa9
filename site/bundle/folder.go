package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// fonts come from npm, unchanged, with their licence.
var fonts = []struct{ pkg, file, licence string }{
	{"@fontsource-variable/brygada-1918", "brygada-1918-latin-wght-normal.woff2", "brygada-1918-OFL.txt"},
	{"@fontsource-variable/sofia-sans-semi-condensed", "sofia-sans-semi-condensed-latin-wght-normal.woff2", "sofia-sans-semi-condensed-OFL.txt"},
}

// writeFolder writes the page as it is served: its modules and its sheets joined, the
// pictures and fonts that the sheets name, and the loader that belongs to this very compiler.
func writeFolder(from, to string) error {
	for _, old := range []string{"js", "css"} { // of a build before
		if err := os.RemoveAll(filepath.Join(to, old)); err != nil {
			return err
		}
	}
	for _, f := range fonts {
		dir := filepath.Join(from, "node_modules", filepath.FromSlash(f.pkg))
		if err := copyAll(filepath.Join(dir, "files", f.file), filepath.Join(to, "fonts", f.file)); err != nil {
			return fmt.Errorf("%w; run npm ci in %s", err, from)
		}
		if err := copyAll(filepath.Join(dir, "LICENSE"), filepath.Join(to, "fonts", f.licence)); err != nil {
			return err
		}
	}
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return fmt.Errorf("go env GOROOT: %w", err)
	}
	loader := filepath.Join(strings.TrimSpace(string(out)), "lib", "wasm", "wasm_exec.js")
	if err := copyAll(loader, filepath.Join(to, "wasm_exec.js")); err != nil {
		return err
	}
	if err := copyAll(decoder, filepath.Join(to, "draco.wasm")); err != nil {
		return err
	}
	return writeServed(from, to)
}

// decoder is the program that unpacks shapes packed by Draco, where the command line has it too.
const decoder = "inspect/draco/native/decoder.wasm"

// copyAll copies a file or a folder.
func copyAll(from, to string) error {
	info, err := os.Stat(from)
	if err != nil {
		return err
	}
	if info.IsDir() {
		if err := os.RemoveAll(to); err != nil {
			return err
		}
		return os.CopyFS(to, os.DirFS(from))
	}
	data, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	return os.WriteFile(to, data, 0o644)
}
