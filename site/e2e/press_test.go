package e2e

import (
	"os/exec"
	"testing"
)

// TestPressOutlivesRedraw: a part that is written anew between the button going down and
// coming up loses no press, and no press acts twice, in both browsers; press.mjs tells it.
func TestPressOutlivesRedraw(t *testing.T) {
	url, figure := serve(t, false).URL+"?present=plain", toMend(t, t.TempDir())
	for browser, programs := range map[string][]string{"chrome": {"chromium", "chromium-browser", "google-chrome"}, "firefox": {"firefox-esr", "firefox"}} {
		t.Run(browser, func(t *testing.T) {
			for _, program := range programs {
				path, err := exec.LookPath(program)
				if err != nil {
					continue
				}
				out, err := exec.Command("node", "press.mjs", browser, path, url, figure, shots).CombinedOutput()
				t.Logf("%s", out)
				if err != nil {
					t.Fatal(err)
				}
				return
			}
			t.Fatalf("none of %q is here; `make ready` installs it", programs)
		})
	}
}
