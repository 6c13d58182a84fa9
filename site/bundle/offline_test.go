package main

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestOffline: the list holds every file of the page and its hash, and nothing else that
// lies in the folder; another byte anywhere is another version, the same bytes are the same.
func TestOffline(t *testing.T) {
	dir := folder(t, map[string]string{
		"js/page.js": "1", "css/page.css": "p{}", "gpu.wasm": "\x00asm3", "draco.wasm": "\x00asm4", "worker.js": "w", "fonts/f-OFL.txt": "licence",
		"rigloupe": "binary", "rigloupe.html": "one file", "shots/a.png": "x", "sample.png": "x", "index.html.gz": "z", "js/page.js.br": "z",
	})
	read := func() (version string, files map[string]string) {
		t.Helper()
		if err := writeOffline(dir); err != nil {
			t.Fatal(err)
		}
		data, err := os.ReadFile(filepath.Join(dir, "offline.js"))
		if err != nil {
			t.Fatal(err)
		}
		version = regexp.MustCompile(`VERSION = '([0-9a-f]{12})'`).FindStringSubmatch(string(data))[1]
		var list [][2]string
		if err := json.Unmarshal([]byte(regexp.MustCompile(`FILES = (\[.*\]);`).FindStringSubmatch(string(data))[1]), &list); err != nil {
			t.Fatal(err)
		}
		files = map[string]string{}
		for _, f := range list {
			files[f[0]] = f[1]
		}
		return version, files
	}
	first, files := read()
	for _, name := range []string{"index.html", "wasm_exec.js", "worker.js", "NOTICES.txt", "stage.wasm", "gpu.wasm", "draco.wasm", "examiner.wasm", "js/page.js", "css/page.css", "fonts/f.woff2", "fonts/f-OFL.txt", "manifest.webmanifest", "icon.svg"} {
		data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(data)
		if files[name] != "sha256-"+base64.StdEncoding.EncodeToString(sum[:]) {
			t.Errorf("%s: %q", name, files[name])
		}
	}
	for name := range files {
		if strings.HasSuffix(name, ".gz") || strings.HasSuffix(name, ".br") || strings.Contains(name, "rigloupe") || strings.HasSuffix(name, ".png") || name == "offline.js" {
			t.Errorf("%s is kept", name)
		}
	}
	if again, _ := read(); again != first {
		t.Errorf("%s, then %s of the same files", first, again)
	}
	if err := os.WriteFile(filepath.Join(dir, "worker.js"), []byte("W"), 0o644); err != nil {
		t.Fatal(err)
	}
	if other, _ := read(); other == first {
		t.Error("another file, and the same version")
	}
	var m map[string]any
	if err := json.Unmarshal([]byte(manifest), &m); err != nil || m["start_url"] != "./" {
		t.Error(m, err)
	}
}
