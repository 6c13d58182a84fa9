package e2e

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/systeminfo"
	"github.com/chromedp/chromedp"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/space"
)

// drag takes what a selector names and lets it go so many pixels away, as a hand does.
func (p *tab) drag(selector string, dx, dy float64) {
	p.t.Helper()
	p.poll(selector+" to drag", fmt.Sprintf(`document.querySelector(%q)?.getBoundingClientRect().width > 0`, selector))
	at := eval[[]float64](p, fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`, selector))
	for _, e := range []input.DispatchMouseEventParams{
		{Type: "mouseMoved", X: at[0], Y: at[1]},
		{Type: "mousePressed", X: at[0], Y: at[1], Button: "left", ClickCount: 1},
		{Type: "mouseMoved", X: at[0] + dx/2, Y: at[1] + dy/2, Button: "left", Buttons: 1},
		{Type: "mouseMoved", X: at[0] + dx, Y: at[1] + dy, Button: "left", Buttons: 1},
		{Type: "mouseReleased", X: at[0] + dx, Y: at[1] + dy, Button: "left", ClickCount: 1},
	} {
		_, err := chromedp.Call(p.ctx, input.DispatchMouseEvent, e)
		p.must(err)
	}
}

// spotJS answers where a point of the fit is, as its value; "" while it is not set.
const spotJS = `import('./js/state/rooms.js').then(({ rooms }) => rooms.mending.board?.doc?.spots.find((s) => s.name === %q)?.%s ?? '')`

// receiptJS: the mend on trial has its receipt, and can be kept.
const receiptJS = `document.body.dataset.trial && document.querySelector('#trial-receipt .receipt') && !document.getElementById('trial-keep').disabled`

// jobber does the job in one tab, and counts what a person presses.
type jobber struct {
	*tab
	file          map[string]string // of the scenario, by name
	presses, kept int
	most          float64  // memory of the tab when the figure was handed over, MB
	steps         []string // what each took, in seconds
	since         time.Time
}

// newJobber opens the page with the files of the scenario beside it.
func newJobber(t *testing.T, sculpts map[string][]byte) *jobber {
	t.Helper()
	dir := t.TempDir()
	stroll, err := bvh.Write(menagerie.Capture(), 0)
	if err != nil {
		t.Fatal(err)
	}
	j := &jobber{file: map[string]string{}}
	for name, data := range map[string][]byte{"visitor.glb": menagerie.GLB(menagerie.Visitor()), "lantern.glb": menagerie.GLB(menagerie.Lantern(space.Vec{.8, 1.37, 0})), "stroll.bvh": stroll} {
		sculpts[name] = data
	}
	for name, data := range sculpts {
		j.file[name] = filepath.Join(dir, name)
		write(t, j.file[name], data)
	}
	j.tab, j.since = open(t, serve(t, false).URL+"?present=plain", 1440, 900), time.Now()
	j.over("the page")
	t.Cleanup(func() {
		if t.Failed() {
			t.Log(strings.Join(j.steps, "\n"))
		}
	})
	return j
}

func (j *jobber) press(selector string) {
	j.t.Helper()
	j.presses++
	j.click(selector)
}

func (j *jobber) give(names ...string) {
	j.t.Helper()
	j.presses++
	for i := range names {
		names[i] = j.file[names[i]]
	}
	j.drop(names...)
}

// over notes what a step took, and the most memory that the tab's process had by then.
func (j *jobber) over(step string) {
	j.t.Helper()
	held := eval[[]float64](j.tab, `import('./js/programs/shell.js').then((m) => [m.memory().examiner / 1048576, m.memory().stage / 1048576])`)
	j.steps = append(j.steps, fmt.Sprintf("%s %.1f (%.0f MB; examiner %.0f, stage %.0f; now %s)", step, time.Since(j.since).Seconds(), j.peak(), held[0], held[1], j.maps()))
	j.t.Log(j.steps[len(j.steps)-1])
	j.since = time.Now()
}

// keep keeps what is on trial.
func (j *jobber) keep(what string) {
	j.t.Helper()
	j.poll("the receipt of "+what, receiptJS)
	if says := eval[string](j.tab, `document.querySelector('#trial-receipt .no')?.textContent ?? ''`); says != "" {
		j.t.Fatalf("%s: %s", what, says)
	}
	j.kept++
	j.press("#trial-keep")
	j.tab.kept(j.kept)
	j.poll("rest after "+what, `document.body.dataset.phase === 'done' && stage.state().shown && asksOpen.size === 0`) // a clip may play
	j.over(what)
}

func (j *jobber) any(mend string) {
	j.t.Helper()
	j.press("#slip-all")
	j.press(`[data-any="` + mend + `"]`)
}

// sure mends all that is sure of the sculpt on the desk.
func (j *jobber) sure() {
	j.t.Helper()
	j.poll("the sculpt", doneJS)
	j.poll("what can be mended", offersJS)
	j.over("open")
	j.press(`#slip [data-focus="slip-sure"]`)
	j.poll("what is sure", `!document.querySelector('#slip > .now') && document.querySelectorAll('#slip li.kept').length > 0 && `+doneJS)
	j.tab.kept(eval[int](j.tab, `document.querySelectorAll('#slip li.kept').length`))
	j.kept = eval[int](j.tab, `document.querySelectorAll('#slip li.kept').length`)
	j.over("what is sure")
}

// fit lays a skeleton in, with the knee put 6 pixels lower by hand.
func (j *jobber) fit() {
	j.t.Helper()
	j.press(`#road [data-step="fit"]`)
	j.poll("the board", `document.querySelectorAll('.board .point').length === 16`)
	j.poll("the receipt", receiptJS)
	j.shot("80-fit")
	j.axe("the board of a fit")
	if eval[bool](j.tab, `Boolean(document.getElementById('dial-joints'))`) {
		j.t.Error("a person is asked how many joints a chain has")
	}
	was := eval[string](j.tab, fmt.Sprintf(spotJS, "knee", "text"))
	j.presses++
	j.drag(`.board figure:first-child [data-point="knee"] .stud`, 0, 6)
	j.poll("the knee where it was put", fmt.Sprintf(`(`+spotJS+`).then((set) => set === true)`, "knee", "set"))
	j.poll("the receipt again", receiptJS)
	if is := eval[string](j.tab, fmt.Sprintf(spotJS, "knee", "text")); is == was {
		j.t.Errorf("the knee stays at %s", is)
	}
	j.keep("fit")
}

func (j *jobber) bind() {
	j.t.Helper()
	j.press(`#road [data-step="bind"]`)
	j.poll("the mend, or the finding", `document.body.dataset.trial || document.querySelector('#card [data-mend="bind"]')`)
	if !eval[bool](j.tab, `Boolean(document.body.dataset.trial)`) {
		j.press(`#card [data-mend="bind"]`)
	}
	j.poll("the pieces", `document.querySelectorAll('#trial-pieces details').length > 0`)
	j.shot("81-bind")
	j.keep("bind")
}

// dress gives the figure a new rest, the visitor's coat and the lantern.
func (j *jobber) dress() {
	j.t.Helper()
	j.any("rebind")
	j.keep("new rest")
	for _, part := range []string{"visitor.glb", "lantern.glb"} {
		j.give(part)
		j.poll("what it is for", `document.getElementById('offer').open`)
		j.press(`[data-offer="part"]`)
		if part == "lantern.glb" {
			j.poll("the dials", `document.querySelector('#trial input[value="as it stands"]')`)
			j.press(`#trial label:has(input[value="as it stands"])`)
		}
		j.keep(part)
	}
}

// move carries the capture over and lets the chain follow.
func (j *jobber) move() {
	j.t.Helper()
	j.give("stroll.bvh")
	j.poll("what it is for", `document.getElementById('offer').open`)
	j.press(`[data-offer="motion"]`)
	j.poll("the pairs", `document.querySelectorAll('#match-rows tr').length > 10`)
	j.press("#carry-over")
	j.poll("the clip", `document.getElementById('carry-keep')`)
	j.press("#carry-keep")
	j.keep("the clip")
	j.any("follow")
	j.keep("follow")
	// Card and strip tell of the clip as it is now: the links of the chain move.
	j.poll("the clip's card", `/23\sof\s27\sjoints\smove/.test(document.getElementById('card').textContent)`)
	if says := eval[string](j.tab, `document.getElementById('time').textContent`); strings.Contains(says, "below") {
		j.t.Errorf("the strip still says %q", says)
	}
}

// handOver answers the figure and the plan that the page writes.
func (j *jobber) handOver() (glb, plan []byte) {
	j.t.Helper()
	j.press(`#slip-hand`)
	j.poll("the sheet", `document.getElementById('hand-over').open`)
	j.presses++
	eval[any](j.tab, `savedFiles.length = 0; 0`)
	j.tab.press("#hand-over-save")
	j.poll("what is saved", `/^(Saved|Nothing)/.test(document.getElementById('hand-over-says').textContent)`)
	j.over("handing over") // before the test takes the files: as text they are several times as large
	j.most = j.peak()
	for _, f := range j.files(1) {
		switch {
		case bytes.HasPrefix(f.data, []byte("glTF")):
			glb = f.data
		case bytes.HasPrefix(f.data, []byte("{")):
			plan = f.data
		}
	}
	return glb, plan
}

// replayed holds what the page wrote of a sculpt against the command line by the same plan, and
// its examination against what the job promises: no stop, no flaw, one clip, a person's height.
func (j *jobber) replayed(sculpt string, glb, plan []byte) {
	t, dir := j.t, j.t.TempDir()
	t.Helper()
	planFile, out := filepath.Join(dir, "plan.json"), filepath.Join(dir, "figure.glb")
	write(t, planFile, plan)
	run := func(args ...string) []byte {
		t.Helper()
		said, err := exec.Command(filepath.Join(dist, "rigloupe"), args...).Output()
		if e, is := err.(*exec.ExitError); is && e.ExitCode() > 1 {
			t.Fatalf("%v: %v %s", args, err, e.Stderr)
		}
		return said
	}
	run("mend", j.file[sculpt], "--with", planFile, "--part", j.file["visitor.glb"], "--part", j.file["lantern.glb"], "--part", j.file["stroll.bvh"], "--out", out)
	if again, err := os.ReadFile(out); err != nil || !bytes.Equal(again, glb) {
		t.Errorf("the page wrote %d bytes, the command line %d others: %v", len(glb), len(again), err)
	}
	var doc struct {
		Summary  struct{ Stop, Flaw int }
		Findings []struct{ Grade, Title string }
		Facts    struct {
			Intake struct {
				BodyHeight float64 `json:"body_height"`
			}
			Motion struct {
				Clips []struct{ Name string }
			}
		} `json:"facts_of"`
	}
	if err := json.Unmarshal(run("examine", out, "--json", "--fail-on", "never"), &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Summary.Stop+doc.Summary.Flaw > 0 || len(doc.Facts.Motion.Clips) != 1 {
		t.Errorf("%+v", doc)
	}
	if h := doc.Facts.Intake.BodyHeight; h < 1.70 || h > 1.80 {
		t.Errorf("%g m high", h)
	}
	if name := doc.Facts.Motion.Clips[0].Name; !strings.Contains(name, "stroll") && name == "" {
		t.Errorf("the clip is called %q", name)
	}
}

// peak answers the most memory that the tab's own process had resident so far, MB: page,
// workers and all. −1 where the system does not tell.
func (p *tab) peak() float64 {
	p.t.Helper()
	all, err := chromedp.CallBrowser(p.ctx, systeminfo.GetProcessInfo, cdp.Empty{})
	p.must(err)
	most := -1.0
	for _, x := range all.ProcessInfo {
		if x.Type != "renderer" {
			continue
		}
		status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", x.ID))
		if err != nil {
			continue
		}
		for _, line := range strings.Split(string(status), "\n") {
			if rest, is := strings.CutPrefix(line, "VmHWM:"); is {
				if kb, err := strconv.ParseFloat(strings.Fields(rest)[0], 64); err == nil {
					most = max(most, kb/1024)
				}
			}
		}
	}
	return most
}

// memoryOf says what the job took, and answers the tab's part of it, MB.
func (j *jobber) memoryOf() (peak float64) {
	j.t.Logf("%d presses; %.0f MB at most; seconds:\n%s", j.presses, j.most, strings.Join(j.steps, "\n"))
	return j.most
}

// TestJob: from three sculpts to a figure that walks in a coat with a swinging lantern, in one
// tab: every press of a person is counted. What is handed over has no stop and no flaw, every
// step stands done on the road, and the command line makes the same bytes of the plan.
func TestJob(t *testing.T) {
	j := newJobber(t, map[string][]byte{"large.glb": menagerie.GLB(menagerie.Large()), "lopsided.glb": menagerie.GLB(menagerie.Lopsided()), "shaken.glb": menagerie.GLB(menagerie.Shaken())})
	began := time.Now()
	j.give("large.glb", "lopsided.glb", "shaken.glb")
	j.linedUp(3)
	j.press(`.lined button[data-tip="Open large.glb"]`)
	j.sure()
	j.fit()
	j.bind()
	j.dress()
	j.move()
	j.shot("82-job-done")
	if got := eval[[]string](j.tab, `[...document.querySelectorAll('#road li')].map((e) => e.querySelector('[data-step]').dataset.step + ' ' + e.className)`); strings.Join(got, ", ") != "choose done, scale done, weld done, even done, fit done, bind done, rest done, parts done, motion done, hand-over choice" {
		t.Errorf("the road at the end: %v", got)
	}
	glb, plan := j.handOver()
	if j.memoryOf(); j.presses > 40 {
		t.Errorf("%d presses, want 40 at most", j.presses)
	}
	t.Logf("%.0f s in all", time.Since(began).Seconds())
	j.replayed("large.glb", glb, plan)
	j.clean()
}

// jobMemory is what a job with 300,000 vertices may take of a tab's memory, MB: 2 GiB. Measured on
// two quiet cores were 1,680 up to the bind, 1,860 up to the last mend and 2,250 with the proof
// sheet, for which the examiner examines once more (1,440 of them); the job took 270 s.
const jobMemory = 2048

// TestLargeJob: a sculpt of 300,000 vertices, a hundred times too large, dented and cut along
// shaken seams, goes through all steps in one tab within 2 GiB. It takes minutes, so it runs
// only where RIGLOUPE_LARGE is set; its number, where there is one, is metres between vertices.
func TestLargeJob(t *testing.T) {
	asked := os.Getenv("RIGLOUPE_LARGE")
	if asked == "" {
		t.Skip("RIGLOUPE_LARGE is not set: a job of minutes")
	}
	cell, err := strconv.ParseFloat(asked, 64)
	if err != nil || cell <= 0 || cell >= .1 {
		cell = .00306
	}
	sculpt := menagerie.Enlarged(menagerie.Cut(menagerie.Dented(menagerie.SculptOf(cell))))
	t.Logf("%d vertices, %d triangles", sculpt.Meshes[0].Vertices(), len(sculpt.Meshes[0].Triangles)/3)
	j := newJobber(t, map[string][]byte{"sculpt.glb": menagerie.GLB(sculpt)})
	j.waits = 10 * time.Minute
	j.give("sculpt.glb")
	j.sure()
	j.fit()
	j.bind()
	j.dress()
	j.move()
	glb, plan := j.handOver()
	if peak := j.memoryOf(); peak > jobMemory {
		t.Errorf("the tab took %.0f MB, want %d at most", peak, jobMemory)
	}
	j.replayed("sculpt.glb", glb, plan)
	j.clean()
}
