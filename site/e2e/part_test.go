package e2e

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/desk"
)

// TestTakePart: a second figure is dropped while one stands; a part of it is ticked, tried,
// refused with nothing ticked, kept and handed over: the command line makes the same file of
// the plan and the second file, and refuses without it.
func TestTakePart(t *testing.T) {
	dir := t.TempDir()
	put := func(name string, s desk.Sample) string {
		f, err := s.File()
		if err != nil {
			t.Fatal(err)
		}
		name = filepath.Join(dir, name)
		write(t, name, f.Data)
		return name
	}
	figure, second := put("figure.glb", desk.Sample{Vertices: 4000}), put("second.glb", desk.Sample{Pose: "A", Names: "prefix", Vertices: 4000})
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.drop(figure)
	p.poll("the figure", doneJS)
	p.poll("the road", `document.querySelector('[data-step="parts"]')?.getBoundingClientRect().width > 0`)
	p.drop(second)
	p.poll("what it is for", `document.getElementById('offer').open`)
	p.shot("70-second-figure")
	p.click(`[data-offer="part"]`)
	tried := `document.querySelector('#trial-receipt .receipt') && !document.getElementById('trial-keep').disabled`
	p.poll("the receipt", tried)
	p.poll("the figure as it would be", `stage.state().beside && stage.state().fine`)
	p.shot("71-part-on-trial")
	p.axe("a part on trial")
	if got := eval[string](p, `document.getElementById('trial').textContent`); !strings.Contains(got, "From second.glb") || !strings.Contains(got, "laid on by a factor of") {
		t.Errorf("%s", got)
	}
	// With nothing ticked it is refused with what there is.
	p.press(`#trial [data-name="Lamplighter"]`)
	p.poll("the refusal", `document.getElementById('trial-receipt').textContent.includes('Say which of its surfaces to take')`)
	p.press(`#trial [data-name="Lamplighter"]`)
	p.poll("the receipt again", tried)
	p.click("#trial-keep")
	p.poll("insisting, or kept", `!document.body.dataset.trial || document.getElementById('trial-keep').textContent === 'Keep it with that'`)
	eval[any](p, `document.getElementById('trial-keep')?.click(); 0`)
	p.kept(1)
	p.poll("the picture", `stage.state().fine`)
	p.shot("72-part-kept")
	p.click("#slip-hand")
	p.poll("the sheet", `document.getElementById('hand-over').open`)
	files := p.handed()
	var glb, plan []byte
	for _, data := range files { // by what they hold
		switch {
		case bytes.HasPrefix(data, []byte("glTF")):
			glb = data
		case bytes.HasPrefix(data, []byte("{")):
			plan = data
		}
	}
	if len(glb) == 0 || !bytes.Contains(plan, []byte(`"name": "second.glb"`)) {
		t.Fatalf("%d files, a figure of %d bytes and a plan of %d", len(files), len(glb), len(plan))
	}
	planFile, out := filepath.Join(dir, "plan.json"), filepath.Join(dir, "figure-mended.glb")
	write(t, planFile, plan)
	if said, err := exec.Command(filepath.Join(dist, "rigloupe"), "mend", figure, "--with", planFile, "--part", second, "--out", out).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	if want, err := os.ReadFile(out); err != nil || !bytes.Equal(want, glb) {
		t.Errorf("the page wrote %d bytes, the command line %d others: %v", len(glb), len(want), err)
	}
	if said, err := exec.Command(filepath.Join(dist, "rigloupe"), "mend", figure, "--with", planFile, "--dry-run").CombinedOutput(); err == nil || !strings.Contains(string(said), "is not at hand") {
		t.Errorf("without the second file: %s", said)
	}
	p.clean()
}
