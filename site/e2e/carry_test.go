package e2e

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"rigloupe/inspect/lamplighter"
)

// savedBy presses a button and answers the bytes and the name of the file it saves.
func savedBy(p *tab, button string) ([]byte, string) {
	p.t.Helper()
	eval[any](p, `savedFiles.length = 0; 0`)
	p.press("#" + button)
	f := p.file()
	return f.data, f.name
}

// TestCarry: a clip of a capture is carried over to a figure of another rest pose,
// plays on the stage with the source beside it, the report's numbers are the command
// line's, and what is saved is the command line's file, byte for byte.
func TestCarry(t *testing.T) {
	dir := t.TempDir()
	walk, figure := filepath.Join(dir, "walk.bvh"), filepath.Join(dir, "lamp.glb")
	runCommand(t, "carry", "sample", "sample", "--clip", "stroll", "--out", walk)
	if err := os.WriteFile(figure, lamplighter.GLB(lamplighter.Options{Pose: lamplighter.A}), 0o644); err != nil {
		t.Fatal(err)
	}
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.drop(figure)
	p.poll("the figure", doneJS)
	own := eval[int](p, `document.querySelectorAll('#time input[name="clip"]').length`)
	p.drop(walk)
	p.poll("the offer", `document.getElementById('offer').open`)
	p.press(`[data-offer="motion"]`)
	p.poll("the table", `document.querySelectorAll('#match-rows tr').length > 20`)
	p.axe("match with carry")
	p.shot("30-carry-match")
	if eval[bool](p, `Boolean(document.getElementById('carry-same'))`) {
		t.Error("another rest pose is taken for the same skeleton")
	}
	p.press(`#carry-over`)
	p.poll("the clip's card", `!document.getElementById('match').open && document.querySelector('#card .carried .left')?.getAttribute('d')`)
	p.poll("the rows of the new clip", `document.querySelectorAll('#card .clip-row').length > 30`)
	if n := eval[int](p, `document.querySelectorAll('#time input[name="clip"]').length || document.querySelectorAll('#time select[data-focus="clip"] option').length`); n != own+1 {
		t.Errorf("%d clips to choose from, with rest; %d before", n, own)
	}

	// It plays, and the source plays beside it.
	drawn := func() string {
		return eval[string](p, `document.querySelector('#card .carried .left').getAttribute('d')`)
	}
	seek := func(at float64) {
		eval[any](p, fmt.Sprintf(`{ const r = document.querySelector('#time input[type=range]'); r.value = %g; r.dispatchEvent(new Event('input', {bubbles: true})); }; 0`, at))
		p.still()
	}
	running := drawn()
	p.poll("both play by themselves", `document.getElementById('play').dataset.icon === 'i-hold' && document.querySelector('#card .carried .left').getAttribute('d') !== `+fmt.Sprintf("%q", running))
	seek(0.1)
	if at := eval[float64](p, `stage.state().seconds`); math.Abs(at-0.1) > 1e-6 {
		t.Errorf("the slider, moved while the clip runs, leads to %g s", at)
	}
	first, line := p.shot("31-carried-day"), drawn()
	seek(0.6)
	second, other := p.shot("32-carried-later"), drawn()
	if bytes.Equal(first, second) {
		t.Error("the picture does not change with the time")
	}
	if line == other {
		t.Error("the source does not move beside it")
	}
	if at := eval[float64](p, `stage.state().seconds`); math.Abs(at-0.6) > 1e-6 {
		t.Errorf("the stage is at %g s", at)
	}

	// The report is the command line's.
	glb, moves := filepath.Join(dir, "out.glb"), filepath.Join(dir, "out.bvh")
	doc := commandLine(t, "carry", walk, figure, "--json", "--out", glb)
	clip := doc["clips"].([]any)[0].(map[string]any)
	text := func(selector string) string {
		return eval[string](p, `[...document.querySelectorAll('`+selector+`')].map((e) => e.textContent).join(' ')`)
	}
	limbs := clip["limbs"].([]any)
	if len(limbs) < 4 {
		t.Fatalf("%d limbs", len(limbs))
	}
	for _, l := range limbs {
		l := l.(map[string]any)
		want := fmt.Sprintf("%.2f° %.2f°", l["mean_degrees"], l["largest_degrees"])
		if got := text(`#card tr[data-limb="` + l["name"].(string) + `"] td`); got != want {
			t.Errorf("%s: the page says %q, the command line %q", l["name"], got, want)
		}
	}
	feet := clip["feet"].([]any)
	if len(feet) != 2 {
		t.Fatalf("%d feet", len(feet))
	}
	for _, f := range feet {
		f := f.(map[string]any)
		want := fmt.Sprintf("%.1f %.1f %.1f", 100*f["source_m_s"].(float64), 100*f["before_m_s"].(float64), 100*f["after_m_s"].(float64))
		if got := text(`#card tr[data-foot="` + f["side"].(string) + `"] td`); got != want {
			t.Errorf("%s foot: the page says %q, the command line %q", f["side"], got, want)
		}
	}
	if says := text("#card .carried-says"); !strings.Contains(says, fmt.Sprintf("%.0f keyframes", clip["frames"])) && !strings.Contains(says, fmt.Sprintf("%.0f\u00a0keyframes", clip["frames"])) {
		t.Errorf("the page says %q, the command line %v keyframes", says, clip["frames"])
	}

	// What is saved is the command line's file.
	runCommand(t, "carry", walk, figure, "--out", moves)
	for _, row := range []struct{ button, file string }{{"carry-glb", glb}, {"carry-bvh", moves}} {
		want, err := os.ReadFile(row.file)
		if err != nil {
			t.Fatal(err)
		}
		got, name := savedBy(p, row.button)
		if !bytes.Equal(got, want) {
			t.Errorf("%s saves %d bytes as %q, the command line wrote %d others", row.button, len(got), name, len(want))
		}
		if want := "lamp-" + clip["name"].(string) + filepath.Ext(row.file); name != want {
			t.Errorf("saved as %q, want %q", name, want)
		}
	}
	p.axe("carried, day")
	p.press(`[data-act="paper"]`)
	p.shot("33-carried-night")
	p.axe("carried, night")

	// Feet left alone give the command line's other numbers; the clip takes the place of the one before.
	p.press(`#card [data-focus="carry-pairs"]`)
	p.poll("the sheet of pairs", `document.getElementById('match').open && document.getElementById('carry-feet')`)
	eval[any](p, `document.getElementById('carry-feet').checked = false; 0`)
	p.press(`#carry-over`)
	p.poll("carried again", `!document.getElementById('match').open`)
	runCommand(t, "carry", walk, figure, "--free-feet", "--out", glb)
	want, err := os.ReadFile(glb)
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := savedBy(p, "carry-glb"); !bytes.Equal(got, want) {
		t.Errorf("with free feet %d bytes are saved, the command line wrote %d others", len(got), len(want))
	}
	if n := eval[int](p, `document.querySelectorAll('#time input[name="clip"]').length || document.querySelectorAll('#time select[data-focus="clip"] option').length`); n != own+1 {
		t.Errorf("carried twice there are %d clips to choose from, with rest", n)
	}
	p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(380, 780)))
	p.shot("34-carried-narrow")
	p.axe("carried, narrow")

	// Read again, the figure has its own clips alone, and stands at rest.
	p.must(chromedp.Do(p.ctx, chromedp.EmulateViewport(1440, 900)))
	p.press(`[data-act="reread"]`)
	p.poll("the figure read again", `document.querySelectorAll('#time input[name="clip"]').length === `+fmt.Sprint(own)+` && !document.querySelector('#card .carried')`)
	p.poll("all of it", doneJS)
	if n := eval[int](p, `stage.state().clip`); n != -1 {
		t.Errorf("read again, the stage shows clip %d", n)
	}
	p.clean()
}

// TestCarrySame: onto the same skeleton all clips are offered at once, and arrive as
// they are; the sample has no file on the disk and is saved all the same.
func TestCarrySame(t *testing.T) {
	walk := filepath.Join(t.TempDir(), "walk.bvh")
	runCommand(t, "carry", "sample", "sample", "--clip", "stroll", "--out", walk)
	p := open(t, serve(t, false).URL+"?present=plain", 1440, 900)
	p.sample()
	p.drop(walk)
	p.poll("the offer", `document.getElementById('offer').open`)
	p.press(`[data-offer="motion"]`)
	p.poll("the offer to take the clips as they are", `document.getElementById('carry-same') && document.querySelectorAll('#match-rows tr').length > 20`)
	p.shot("35-carry-same")
	p.press(`#carry-same`)
	p.poll("the clip's card", `!document.getElementById('match').open && document.querySelector('#card .carried .left')?.getAttribute('d')`)
	if worst := eval[float64](p, `Math.max(...[...document.querySelectorAll('#card tr[data-limb] td:last-child')].map((e) => parseFloat(e.textContent)))`); worst > 0.01 {
		t.Errorf("onto the same skeleton bones are off by up to %g°", worst)
	}
	out := filepath.Join(t.TempDir(), "out.glb")
	runCommand(t, "carry", walk, "sample", "--free-feet", "--out", out)
	want, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := savedBy(p, "carry-glb"); !bytes.Equal(got, want) {
		t.Errorf("%d bytes are saved, the command line wrote %d others", len(got), len(want))
	}
	p.clean()
}
