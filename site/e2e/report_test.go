package e2e

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestReport: the button, its shortcut and, on a phone, the sheet of the file give the
// bytes that the command line writes; the sheet counts the pictures, and can be stopped.
func TestReport(t *testing.T) {
	dir := t.TempDir()
	figure := toMend(t, dir)
	name, err := filepath.Abs(filepath.Join(dist, "rigloupe"))
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(name, "examine", "lamp.glb", "--report", "want.html", "--date", "24 December", "--fail-on", "never")
	c.Dir = dir
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	want, err := os.ReadFile(filepath.Join(dir, "want.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range []int64{1440, 390} {
		p := open(t, serve(t, false).URL+"?present=plain", w, 844)
		if eval[bool](p, `Boolean(document.querySelector('.head [data-act="report"]').offsetParent)`) {
			t.Error("a report is offered where there is no figure")
		}
		p.drop(figure)
		p.poll("the figure", doneJS)
		if w == 390 {
			p.click(`#tabs [data-tab="file"]`)
			p.poll("the sheet of the file", `document.querySelector('#file-sheet [data-act="report"]')?.offsetParent`)
			p.click(`#file-sheet [data-act="report"]`)
		} else {
			eval[any](p, `document.getElementById('pad').focus(); 0`)
			p.key("e")
		}
		p.poll("the sheet", `document.getElementById('report').open`)
		if got := eval[string](p, `document.getElementById('report-date').value`); !strings.Contains(got, " 20") {
			t.Errorf("the date is %q", got)
		}
		eval[any](p, `document.getElementById('report-date').value = '24 December'; window.told = []; new MutationObserver(() => window.told.push(document.getElementById('report-says').textContent)).observe(document.getElementById('report-says'), {childList: true, characterData: true, subtree: true}); 0`)
		// Stopped, nothing is saved, and it can be asked for again.
		p.click("#report-save")
		p.poll("it draws", `/\d of \d+ pictures/.test(document.getElementById('report-says').textContent)`)
		p.shot("70-report-" + map[bool]string{true: "phone", false: "day"}[w == 390])
		p.click("#report-back")
		p.poll("stopped", `document.getElementById('report').open && document.getElementById('report-says').textContent.startsWith('Stopped')`)
		if n := eval[int](p, `savedFiles.length`); n != 0 {
			t.Errorf("%d files were saved though it was stopped", n)
		}
		p.click("#report-save")
		if got := p.file(); got.name != "lamp-report.html" || !bytes.Equal(got.data, want) {
			t.Errorf("%d px: %s has %d bytes, the command line writes %d", w, got.name, len(got.data), len(want))
		}
		p.poll("said", `document.getElementById('report-says').textContent.startsWith('Saved: lamp-report.html')`)
		p.axe("the sheet of the report")
		p.click("#report-back")
		p.poll("closed", `!document.getElementById('report').open`)
		p.clean()
	}
}
