package main

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

//go:embed offline.js
var offline string

// icon and manifest let a browser offer the page as an app of its own.
//
//go:embed icon.svg
var icon string

const manifest = `{
  "name": "Rigloupe",
  "short_name": "Rigloupe",
  "description": "Shows what will go wrong when a character made by someone else has to move.",
  "start_url": "./",
  "scope": "./",
  "display": "standalone",
  "background_color": "#efe9d8",
  "theme_color": "#f9f5e8",
  "icons": [{ "src": "icon.svg", "sizes": "any", "type": "image/svg+xml", "purpose": "any" }]
}
`

// kept tells whether a file of the folder is part of the page: what tests, the command line
// and earlier builds left there is not, nor are packed copies or the single file.
func kept(name string) bool {
	switch dir, _, nested := strings.Cut(name, "/"); {
	case strings.HasSuffix(name, ".gz"), strings.HasSuffix(name, ".br"):
		return false
	case nested:
		return slices.Contains([]string{"js", "css", "fonts"}, dir)
	}
	return slices.Contains([]string{"index.html", "wasm_exec.js", "worker.js", "NOTICES.txt", "manifest.webmanifest", "icon.svg"}, name) || strings.HasSuffix(name, ".wasm")
}

// writeOffline writes the manifest, the icon, and the worker that keeps the page: with the
// list of all its files as they lie in the folder, each with its hash, and a version made
// of those, so that another build is another worker.
func writeOffline(dir string) error {
	for name, text := range map[string]string{"manifest.webmanifest": manifest, "icon.svg": icon} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			return err
		}
	}
	var list [][2]string
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, p)
		if err != nil {
			return err
		}
		if name = filepath.ToSlash(name); !kept(name) {
			return nil
		}
		data, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(data)
		list = append(list, [2]string{name, "sha256-" + base64.StdEncoding.EncodeToString(sum[:])})
		return nil
	})
	if err != nil {
		return err
	}
	files, err := json.Marshal(list)
	if err != nil {
		return err
	}
	whole := sha256.Sum256(files)
	for _, mark := range []string{"'VERSION'", "['FILES']"} {
		if strings.Count(offline, mark) != 1 {
			return fmt.Errorf("offline.js: want %s once", mark)
		}
	}
	text := strings.NewReplacer("'VERSION'", "'"+hex.EncodeToString(whole[:6])+"'", "['FILES']", string(files)).Replace(offline)
	return os.WriteFile(filepath.Join(dir, "offline.js"), []byte(text), 0o644)
}
