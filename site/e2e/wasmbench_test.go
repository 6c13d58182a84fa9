package e2e

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// inChromium are the packages whose own benchmarks run in the browser as well.
var inChromium = []string{"inspect", "inspect/bends", "inspect/binding", "inspect/carry", "inspect/deform", "inspect/gltfio", "viewer/raster", "viewer/scene"}

var benchLine = regexp.MustCompile(`(Benchmark\S+)\s+\d+\s+([\d.]+) ns/op(.*)`)

// BenchmarkWebAssembly builds each package's benchmarks for js/wasm and runs them
// in Chromium, whose code generator is the one that counts. RIGLOUPE_BENCH narrows
// them down, as -bench does.
func BenchmarkWebAssembly(b *testing.B) {
	pattern := os.Getenv("RIGLOUPE_BENCH")
	if pattern == "" {
		pattern = "."
	}
	dir := b.TempDir()
	loader, err := os.ReadFile(filepath.Join(dist, "wasm_exec.js"))
	if err != nil {
		b.Fatal(err)
	}
	write(b, filepath.Join(dir, "wasm_exec.js"), loader)
	write(b, filepath.Join(dir, "index.html"), []byte(`<!doctype html><link rel="icon" href="data:,"><script src="wasm_exec.js"></script>`))
	server := httptest.NewServer(http.FileServer(http.Dir(dir)))
	defer server.Close()
	for _, pkg := range inChromium {
		b.Run(pkg, func(b *testing.B) {
			cmd := exec.Command("go", "test", "-c", "-o", filepath.Join(dir, "bench.wasm"), "../../"+pkg)
			cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
			if out, err := cmd.CombinedOutput(); err != nil {
				b.Fatalf("%v\n%s", err, out)
			}
			for b.Loop() {
				report(b, runInTab(b, server.URL, pattern))
			}
		})
	}
}

// runInTab runs bench.wasm in a tab of its own and answers what it printed.
func runInTab(b *testing.B, url, pattern string) string {
	p := &tab{t: b, ctx: browser(b)}
	p.must(chromedp.Do(p.ctx, chromedp.Navigate(url)))
	return p.benched(pattern)
}

// benched runs bench.wasm in the tab and answers what it printed.
func (p *tab) benched(pattern string) string {
	return eval[string](p, fmt.Sprintf(`(async () => {
		let said = ''; const out = new TextDecoder();
		globalThis.fs.writeSync = (fd, buf) => { said += out.decode(buf, { stream: true }); return buf.length; };
		globalThis.fs.write = (fd, buf, offset, length, position, done) => done(null, globalThis.fs.writeSync(fd, buf.subarray(offset, offset + length)));
		globalThis.process.cwd = () => '/';
		const go = new Go(); go.argv = ['bench', '-test.run=^$', '-test.bench=%s', '-test.benchtime=300ms']; go.env = {}; go.exit = () => {};
		const { instance } = await WebAssembly.instantiateStreaming(fetch('bench.wasm'), go.importObject);
		await go.run(instance); return said; })()`, pattern))
}

// report passes the browser's own figures on.
func report(b *testing.B, said string) {
	found := 0
	for _, line := range strings.Split(said, "\n") {
		m := benchLine.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		found++
		ns, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			b.Fatal(err)
		}
		fmt.Printf("  in Chromium: %-58s %12.3f ms %s\n", m[1], ns/1e6, strings.TrimSpace(m[3])) // a benchmark log is cut after ten lines
	}
	if found == 0 {
		b.Errorf("no benchmark ran: %s", said)
	}
}

func write(b testing.TB, name string, data []byte) {
	b.Helper()
	if err := os.WriteFile(name, data, 0o644); err != nil {
		b.Fatal(err)
	}
}
