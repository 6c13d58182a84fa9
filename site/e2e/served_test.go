package e2e

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"
)

// The page works under every rule that our own server sends: its programs start from
// blobs, which a browser that isolates the page by those rules lets through.
func TestUnderTheServersRules(t *testing.T) {
	server := filepath.Join(t.TempDir(), "serve")
	if out, err := exec.Command("go", "build", "-o", server, "../serve").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	c := exec.Command(server, "-dir", dist, "-port", "8480")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	c.Stderr = os.Stderr
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Process.Kill(); c.Wait() })
	url, lines := "", bufio.NewScanner(out)
	for url == "" && lines.Scan() {
		url = regexp.MustCompile(`http://127\.0\.0\.1:\d+/`).FindString(lines.Text())
	}
	if url == "" {
		t.Fatal("the server does not say where it is")
	}
	p := open(t, url+"?present=plain", 1000, 700)
	p.sample()
	if !eval[bool](p, `self.crossOriginIsolated`) {
		t.Error("the page is not cut off from other sites' windows")
	}
	p.clean()
}
