package e2e

import (
	"bufio"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// TestFirefox runs the smoke test in Debian's Firefox, served and from disk.
func TestFirefox(t *testing.T) {
	if _, err := exec.LookPath("firefox-esr"); err != nil {
		t.Fatal("firefox-esr is needed; `make ready` installs it")
	}
	file, err := filepath.Abs(filepath.Join(dist, "rigloupe.html"))
	if err != nil {
		t.Fatal(err)
	}
	hand, err := filepath.Abs(real(t))
	if err != nil {
		t.Fatal(err)
	}
	for name, url := range map[string]string{"served": serve(t, false).URL, "from disk": "file://" + file} {
		t.Run(name, func(t *testing.T) {
			folder := filepath.Join(shots, filepath.Base(t.Name()))
			if err := os.MkdirAll(folder, 0o755); err != nil {
				t.Fatal(err)
			}
			out, err := exec.Command("node", "firefox.mjs", url, hand, folder).CombinedOutput()
			t.Logf("%s", out)
			if err != nil {
				t.Fatal(err)
			}
		})
	}
}

// TestFirefoxMends: three mends kept, one taken back, the rest handed over in Firefox; the
// saved file has the ledger that was promised.
func TestFirefoxMends(t *testing.T) {
	if _, err := exec.LookPath("firefox-esr"); err != nil {
		t.Fatal("firefox-esr is needed; `make ready` installs it")
	}
	out, err := exec.Command("node", "firefoxmend.mjs", serve(t, false).URL, toMend(t, t.TempDir()), shots).CombinedOutput()
	t.Logf("%s", out)
	if err != nil {
		t.Fatal(err)
	}
}

// TestFirefoxOffline: kept where a person asks for it, the page opens and examines in Firefox
// with the server cut.
func TestFirefoxOffline(t *testing.T) {
	if _, err := exec.LookPath("firefox-esr"); err != nil {
		t.Fatal("firefox-esr is needed; `make ready` installs it")
	}
	s := httptest.NewServer(http.FileServer(http.Dir(dist)))
	defer s.Close()
	cmd := exec.Command("node", "firefoxoffline.mjs", s.URL+"/", shots)
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	said, write := io.Pipe()
	cmd.Stdout, cmd.Stderr = write, write
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait(); write.Close() }()
	for lines := bufio.NewScanner(said); lines.Scan(); {
		t.Log(lines.Text())
		if lines.Text() == "kept" {
			s.CloseClientConnections()
			s.Close()
			if _, err := io.WriteString(in, "cut\n"); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
}
