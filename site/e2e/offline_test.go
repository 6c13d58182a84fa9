package e2e

import (
	"bytes"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// TestOffline: the page is kept where a person asks for it, and not before; with the server
// cut it opens, examines and tells as ever; another build waits until it is taken, and
// leaves nothing of the old one behind; removed, nothing is kept.
func TestOffline(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"index.html", "wasm_exec.js", "worker.js", "NOTICES.txt", "manifest.webmanifest", "icon.svg", "offline.js", "examiner.wasm", "stage.wasm", "gpu.wasm", "draco.wasm", "js", "css", "fonts"} {
		from := filepath.Join(dist, name)
		if info, err := os.Stat(from); err != nil {
			t.Fatal(err)
		} else if info.IsDir() {
			if err := os.CopyFS(filepath.Join(dir, name), os.DirFS(from)); err != nil {
				t.Fatal(err)
			}
			continue
		}
		data, err := os.ReadFile(from)
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, name), data, 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	address := "127.0.0.1:0"
	begin := func() (cut func()) {
		l, err := net.Listen("tcp", address)
		if err != nil {
			t.Fatal(err)
		}
		address = l.Addr().String()
		server := &http.Server{Handler: http.FileServer(http.Dir(dir))}
		go server.Serve(l)
		return func() { server.Close() }
	}
	cut := begin()
	p := open(t, "http://"+address+"/?present=plain", 1440, 900)
	if got := eval[int](p, `navigator.serviceWorker.getRegistrations().then((r) => r.length)`); got != 0 {
		t.Error("something is kept that nobody asked for")
	}
	faults, err := chromedp.Call(p.ctx, page.GetInstallabilityErrors, cdp.Empty{})
	p.must(err)
	for _, f := range faults.InstallabilityErrors {
		if f.ErrorID != "in-incognito" { // the test's own window
			t.Errorf("not installable: %s", f.ErrorID)
		}
	}
	p.click(`.head [data-act="vow"]`)
	p.click("#offline-keep")
	p.poll("the page kept", `document.body.dataset.kept === 'kept'`)
	p.shot("86-offline")
	p.axe("the page kept")

	cut()
	p.must(chromedp.Do(p.ctx, chromedp.Reload()))
	p.poll("the page without a server", readyJS)
	p.sample()
	p.shot("87-offline-figure")
	if got := eval[int](p, `document.querySelectorAll('#ledger .find').length`); got < 3 {
		t.Errorf("%d findings", got)
	}
	p.clean()

	// Another build: one file differs, and so its hash and the version.
	cut = begin()
	defer func() { cut() }()
	kept, err := os.ReadFile(filepath.Join(dir, "offline.js"))
	if err != nil {
		t.Fatal(err)
	}
	broken := strings.Replace(string(kept), "VERSION = '", "VERSION = 'b", 1)
	if broken == string(kept) {
		t.Fatal("offline.js has no version")
	}
	// While the server is half way to it nothing changes: a file does not fit its hash.
	if err := os.WriteFile(filepath.Join(dir, "offline.js"), []byte(broken), 0o644); err != nil {
		t.Fatal(err)
	}
	notices, err := os.ReadFile(filepath.Join(dir, "NOTICES.txt"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "NOTICES.txt"), append(bytes.Clone(notices), " half"...), 0o644); err != nil {
		t.Fatal(err)
	}
	names := func() string { return eval[string](p, `caches.keys().then((k) => k.sort().join(' | '))`) }
	before := names()
	eval[any](p, `navigator.serviceWorker.getRegistration().then((r) => r.update()).then(() => new Promise((done) => { const look = async () => { const r = await navigator.serviceWorker.getRegistration(); if (!r.installing) done(0); else setTimeout(look, 20); }; look(); })).catch(() => 0)`)
	if got := names(); got != before || eval[bool](p, `navigator.serviceWorker.getRegistration().then((r) => Boolean(r.waiting))`) {
		t.Errorf("kept are %s, %s before", got, before)
	}
	// Now it is whole.
	if err := os.WriteFile(filepath.Join(dir, "NOTICES.txt"), notices, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "offline.js"), []byte(strings.Replace(string(kept), "VERSION = '", "VERSION = 'c", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	eval[any](p, `navigator.serviceWorker.getRegistration().then((r) => r.update()).then(() => 0)`)
	p.poll("the newer page", `document.body.dataset.kept === 'newer'`)
	if eval[bool](p, `document.body.dataset.phase !== 'done'`) {
		t.Error("the figure on the desk went")
	}
	p.click(`.head [data-act="vow"]`)
	p.click("#offline-take")
	p.poll("the page anew", `document.body.dataset.phase === 'first' && document.body.dataset.kept === 'kept' && `+readyJS)
	p.poll("one build kept", `caches.keys().then((k) => k.length === 1 && k[0].includes(' c'))`)
	p.click(`.head [data-act="vow"]`)
	p.click("#offline-forget")
	p.poll("nothing kept", `Promise.all([caches.keys(), navigator.serviceWorker.getRegistrations()]).then(([k, r]) => k.length === 0 && r.length === 0)`)
	p.clean()
}
