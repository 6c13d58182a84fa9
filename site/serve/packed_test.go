package main

import (
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// A file goes out in the smallest form that lies beside it and that the browser takes, by
// RFC 9110 §12.5.3; whatever is not taken, older, or asked for in part goes out plain.
func TestServesWhatIsPacked(t *testing.T) {
	dir := t.TempDir()
	now := time.Now()
	for name, age := range map[string]time.Duration{
		"index.html": 0, "index.html.br": 0, "index.html.gz": 0, "a.wasm": 0, "a.wasm.br": 0, "a.wasm.gz": 0,
		"only.js": 0, "only.js.gz": 0, "none.js": 0, "stale.js": 0, "stale.js.br": time.Hour,
	} {
		p := filepath.Join(dir, name)
		if err := os.WriteFile(p, []byte(name), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(p, now.Add(-age), now.Add(-age)); err != nil {
			t.Fatal(err)
		}
	}
	for _, row := range []struct{ path, accept, part, coding, body, kind string }{
		{"/a.wasm", "gzip, deflate, br, zstd", "", "br", "a.wasm.br", "application/wasm"},
		{"/a.wasm", "gzip, deflate", "", "gzip", "a.wasm.gz", "application/wasm"},
		{"/a.wasm", "br;q=0, gzip;q=0.5", "", "gzip", "a.wasm.gz", "application/wasm"},
		{"/a.wasm", "br; q=0.0, gzip; q=0", "", "", "a.wasm", "application/wasm"},
		{"/a.wasm", "", "", "", "a.wasm", "application/wasm"},
		{"/a.wasm", "brotli", "", "", "a.wasm", "application/wasm"},
		{"/a.wasm", "br", "bytes=2-3", "", "wa", "application/wasm"},
		{"/", "br", "", "br", "index.html.br", "text/html; charset=utf-8"},
		{"/only.js", "br, gzip", "", "gzip", "only.js.gz", "text/javascript; charset=utf-8"},
		{"/none.js", "br, gzip", "", "", "none.js", "text/javascript; charset=utf-8"},
		{"/stale.js", "br", "", "", "stale.js", "text/javascript; charset=utf-8"},
	} {
		r := httptest.NewRequest(http.MethodGet, "http://127.0.0.1:8377"+row.path, nil)
		if row.accept != "" {
			r.Header.Set("Accept-Encoding", row.accept)
		}
		if row.part != "" {
			r.Header.Set("Range", row.part)
		}
		w := httptest.NewRecorder()
		handler(dir).ServeHTTP(w, r)
		h := w.Header()
		if w.Body.String() != row.body || h.Get("Content-Encoding") != row.coding || h.Get("Content-Type") != row.kind {
			t.Errorf("%s, %q %s: %d %q, coded %q, type %q; want %q, %q, %q", row.path, row.accept, row.part, w.Code, w.Body, h.Get("Content-Encoding"), h.Get("Content-Type"), row.body, row.coding, row.kind)
		}
		if h.Get("Vary") != "Accept-Encoding" || h.Get("Content-Security-Policy") == "" {
			t.Errorf("%s: Vary %q, policy %q", row.path, h.Get("Vary"), h.Get("Content-Security-Policy"))
		}
	}
	r := httptest.NewRequest(http.MethodGet, "http://127.0.0.1:8377/../a.wasm", nil)
	r.Header.Set("Accept-Encoding", "br")
	w := httptest.NewRecorder()
	handler(filepath.Join(dir, "no")).ServeHTTP(w, r)
	if w.Code != http.StatusNotFound {
		t.Errorf("outside the folder: %d", w.Code)
	}
}
