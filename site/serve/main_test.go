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
	handler(dir).ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/x.wasm", nil))
	if got := w.Header().Get("Content-Type"); got != "application/wasm" {
		t.Errorf("wasm is sent as %q", got)
	}
	if p := w.Header().Get("Content-Security-Policy"); !strings.Contains(p, "default-src 'none'") || strings.Contains(p, "unsafe-eval'") && !strings.Contains(p, "'wasm-unsafe-eval'") {
		t.Errorf("policy %q", p)
	}
}
