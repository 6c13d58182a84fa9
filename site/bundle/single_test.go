package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

const page = `<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'">
<link rel="stylesheet" href="css/a.css">
<script src="wasm_exec.js"></script>
<script type="module" src="js/main.js"></script>
</head><body><p>Rigloupe</p>
</body></html>`

var unpacker = filepath.Join("..", "js", "programs", "unpacker.js")

// folder writes a small built page.
func folder(t *testing.T, change map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	files := map[string]string{
		"index.html": page, "wasm_exec.js": "globalThis.Go = 1;", "stage.wasm": "\x00asm1", "examiner.wasm": "\x00asm2", "draco.wasm": "\x00asm4",
		"css/a.css": "@font-face{font-family:F;src:url(../fonts/f.woff2)} p{color:red}", "fonts/f.woff2": "font",
		"js/main.js": "import {b} from './b.js'; console.log(b);", "js/b.js": "export const b = 'ü';", "worker.js": "onmessage = 1;", "NOTICES.txt": "notices of others",
	}
	for name, text := range change {
		files[name] = text
	}
	for name, text := range files {
		p := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// TestSingleFile: every inline text stands under its hash and nothing is left to fetch.
func TestSingleFile(t *testing.T) {
	dir := folder(t, nil)
	to := filepath.Join(dir, "one.html")
	if err := writeSingle(dir, unpacker, to); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(to)
	if err != nil {
		t.Fatal(err)
	}
	html := string(data)
	for _, left := range []string{" src=", "href=\"css", "import "} {
		if strings.Contains(html, left) {
			t.Errorf("%q is left in the single file", left)
		}
	}
	for _, e := range []string{`<style>([^<]*)</style>`, `<script>([^<]*)</script>`, `<script type="module">([^<]*)</script>`} {
		m := regexp.MustCompile(e).FindStringSubmatch(html)
		if m == nil {
			t.Errorf("no %s", e)
			continue
		}
		if !strings.Contains(html, hash(m[1])) {
			t.Errorf("%s has no hash in the policy", e)
		}
	}
	for _, id := range []string{"worker", "notices", "unpacker", "programs", "draco"} {
		if !strings.Contains(html, `id="`+id+`"`) {
			t.Errorf("data block %q is missing", id)
		}
	}
	if !strings.Contains(html, "url(data:font/woff2") && !strings.Contains(html, `url("data:font/woff2`) {
		t.Error("the font is not inside")
	}
}

func TestSingleFileRefuses(t *testing.T) {
	for _, row := range []struct{ name, file, text, want string }{
		{"a script that ends itself", "worker.js", "x = '</script>'", "worker.js"},
		{"a loader that opens a comment", "wasm_exec.js", "x <!-- y", "wasm_exec.js"},
		{"a module that is missing", "js/main.js", "import './gone.js'", "gone.js"},
		{"a page without a policy", "index.html", "<html></html>", "index.html"},
	} {
		t.Run(row.name, func(t *testing.T) {
			dir := folder(t, map[string]string{row.file: row.text})
			err := writeSingle(dir, unpacker, filepath.Join(dir, "one.html"))
			if err == nil || !strings.Contains(err.Error(), row.want) {
				t.Errorf("got %v, want an error that names %s", err, row.want)
			}
		})
	}
}
