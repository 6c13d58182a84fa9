package main

import (
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestTakenPortTakesTheNext(t *testing.T) {
	held, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	port := held.Addr().(*net.TCPAddr).Port
	l, err := listen(port)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	got := l.Addr().(*net.TCPAddr)
	if got.Port <= port || got.Port >= port+tries || !got.IP.IsLoopback() {
		t.Errorf("listens at %v, want a later port than %d of 127.0.0.1", got, port)
	}
}

func TestHeaders(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "x.wasm"), []byte("\x00asm"), 0o644); err != nil {
		t.Fatal(err)
	}
	w := httptest.NewRecorder()
	handler(dir).ServeHTTP(w, httptest.NewRequest(http.MethodGet, "http://127.0.0.1:8377/x.wasm", nil))
	if got := w.Header().Get("Content-Type"); got != "application/wasm" {
		t.Errorf("wasm is sent as %q", got)
	}
	if p := w.Header().Get("Content-Security-Policy"); !strings.Contains(p, "default-src 'none'") || strings.Contains(p, "unsafe-eval'") && !strings.Contains(p, "'wasm-unsafe-eval'") {
		t.Errorf("policy %q", p)
	}
}

// Only this machine's own names are answered, only GET and HEAD, and no folder is
// listed; the rules go with refusals, too.
func TestServesFilesAndNothingElse(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"index.html": "page", "js/a.js": "1", "sub/index.html": "below"} {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, row := range []struct {
		method, host, path string
		code               int
		body               string
	}{
		{"GET", "127.0.0.1:8377", "/", 200, "page"},
		{"GET", "localhost:8377", "/", 200, "page"},
		{"GET", "LOCALHOST", "/js/a.js", 200, "1"},
		{"GET", "[::1]:8377", "/sub/", 200, "below"},
		{"HEAD", "127.0.0.1:8377", "/", 200, ""},
		{"GET", "evil.example", "/", 421, "answers to"},
		{"GET", "evil.example:8377", "/js/a.js", 421, "answers to"},
		{"GET", "127.0.0.1.evil.example:8377", "/", 421, "answers to"},
		{"GET", "", "/", 421, "answers to"},
		{"POST", "127.0.0.1:8377", "/", 405, "only shows"},
		{"PUT", "127.0.0.1:8377", "/js/a.js", 405, "only shows"},
		{"OPTIONS", "127.0.0.1:8377", "/", 405, "only shows"},
		{"GET", "127.0.0.1:8377", "/js/", 404, "not found"},
		{"GET", "127.0.0.1:8377", "/nothing", 404, "not found"},
		{"GET", "127.0.0.1:8377", "/../main.go", 404, "not found"},
	} {
		r := httptest.NewRequest(row.method, "http://x"+row.path, nil)
		r.Host = row.host
		w := httptest.NewRecorder()
		handler(dir).ServeHTTP(w, r)
		if w.Code != row.code || !strings.Contains(w.Body.String(), row.body) || strings.Contains(w.Body.String(), "a.js</a>") {
			t.Errorf("%s %s%s: %d %q", row.method, row.host, row.path, w.Code, w.Body)
		}
		for name, value := range rules {
			if w.Header().Get(name) != value && name != "Cache-Control" {
				t.Errorf("%s %s%s: %s is %q", row.method, row.host, row.path, name, w.Header().Get(name))
			}
		}
	}
}
