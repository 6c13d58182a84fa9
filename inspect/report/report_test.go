package report

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/bvh"
	"rigloupe/inspect/check"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/rig"
)

// corpus is a folder of real models beside the repository; what needs it skips without.
const corpus = "../../../shared/corpus/models"

// examined is an examination of a rig as it is read back from its file.
func examined(t *testing.T, r *rig.Rig, o inspect.Options) *inspect.Result {
	t.Helper()
	read, err := gltfio.Read([]gltfio.File{{Name: "lamp.glb", Data: lamplighter.Write(r)}}, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	res, err := inspect.Examine(context.Background(), read, o)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

func planted(t *testing.T, id string) *rig.Rig {
	t.Helper()
	for _, f := range lamplighter.Faults() {
		if f.ID == id {
			r, _ := f.On(lamplighter.Build(lamplighter.Options{Vertices: 6000}))
			return r
		}
	}
	t.Fatalf("no fault for %s", id)
	return nil
}

func written(t *testing.T, o *Report) (data []byte, text string) {
	t.Helper()
	data, err := o.HTML()
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(string(data), "<main>")
	words := html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(body, " "))
	return data, strings.Join(strings.Fields(strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(words)), " ")
}

func has(t *testing.T, text string, wants ...string) {
	t.Helper()
	for _, w := range wants {
		if !strings.Contains(text, w) {
			t.Errorf("%q is not in the report", w)
		}
	}
}

// TestReport: the verdict, every finding with its number, measure, limit and remedy, every
// joint and clip, every check with its limits stand in the report; the same examination
// gives the same bytes.
func TestReport(t *testing.T) {
	res := examined(t, planted(t, "binding/stray-island"), inspect.Options{})
	o := &Report{Result: res, File: paper.File{Name: "lamp.glb", SHA256: strings.Repeat("0a", 32), Bytes: 510676}}
	data, text := written(t, o)
	again, _ := written(t, &Report{Result: res, File: o.File})
	if !bytes.Equal(data, again) {
		t.Error("the same examination gives another report")
	}
	spaces := strings.NewReplacer("\u00a0", " ", "\u202f", " ")
	has(t, text, spaces.Replace(res.Verdict().Says), "lamp.glb 510 676 bytes (511 kB) 0a0a0a0a 0a0a0a0a", "7 954 vertices", "34 joints, 2 clips", "Limits as delivered", "Examined by Date Signature")
	for i, f := range res.Findings() {
		has(t, text, fmt.Sprintf("%d %s", i+1, f.Title), spaces.Replace(strings.ReplaceAll(f.Subject, "  ", " ")), spaces.Replace(f.Measures[0].Says()), f.Why, strings.Split(f.Remedy, "\n")[0], "Source: "+f.Source)
	}
	for _, n := range []string{`"hips"`, `"lowerArm_L"`, `"chain_R_6"`, "stroll", "wave"} {
		has(t, text, n)
	}
	for _, s := range inspect.Catalogue() {
		for _, e := range s.Entries {
			has(t, text, e.Title+" "+s.Title)
		}
	}
	if n := strings.Count(string(data), `class="bars"`); n != 34 {
		t.Errorf("%d histograms, want one a joint, 34", n)
	}
	if n := len(regexp.MustCompile(`class="ribbon"[^\n]*?<rect`).FindAll(data, -1)); n != 2 {
		t.Errorf("%d ribbons, want one a clip, 2", n)
	}
	d, err := paper.Read(data)
	if err != nil || !d.Whole || d.Kind != Kind || d.Of(o.File.SHA256) != paper.Examined {
		t.Errorf("%+v, %v", d, err)
	}
}

// TestWhatRan: of an examination of some stations the report says so and has no verdict;
// moved limits stand in it twice, with what they are as delivered and by their check.
func TestWhatRan(t *testing.T) {
	limits := check.Overrides{"surface/lopsided": {"share": .5}}
	res := examined(t, planted(t, "binding/sum-off"), inspect.Options{Only: []string{"surface"}, Limits: limits})
	_, text := written(t, &Report{Result: res, Limits: limits})
	has(t, text, "found; not all stations were looked at.", "Station left out of this examination: ", "share: more than 50 % (as delivered: more than ", "share: flaw more than 50 %")
	if strings.Contains(text, " Joints Joint") || strings.Contains(text, "Weights off one Binding clear") {
		t.Error("what was not looked at is told as if it had been")
	}
}

// TestNothingFound: a figure without any finding has a report that says so.
func TestNothingFound(t *testing.T) {
	res := examined(t, lamplighter.Build(lamplighter.Options{Vertices: 6000}), inspect.Options{Only: []string{"surface"}})
	if len(res.Findings()) > 0 {
		t.Fatal(res.Findings()[0].ID)
	}
	_, text := written(t, &Report{Result: res})
	has(t, text, "Nothing: every check that ran is clear.")
}

// TestHostile: names of joints, clips and of the generator are text.
func TestHostile(t *testing.T) {
	r := planted(t, "skeleton/name-clash")
	for i := range r.Nodes {
		r.Nodes[i].Name = "</td><script>alert(1)</script>\u202E" + r.Nodes[i].Name
	}
	for i := range r.Clips {
		r.Clips[i].Name = `"><img src=x onerror=alert(1)>`
	}
	res := examined(t, r, inspect.Options{})
	res.File.Generator = "<b>\u2066"
	data, text := written(t, &Report{Result: res, File: paper.File{Name: strings.Repeat("<i>", 4000)}})
	if bad := regexp.MustCompile(`<script|<img src=x|<b>\x{2066}|[\x{202E}\x{2066}]|<i>`).Find(data); bad != nil {
		t.Errorf("%q stands in the report", bad)
	}
	has(t, text, "</td><script>alert(1)</script>", `"><img src=x onerror=alert(1)>`, strings.Repeat("<i>", 4000))
}

// TestPictures: each finding has its own picture where it has a place, and an error of the
// drawing is told.
func TestPictures(t *testing.T) {
	res := examined(t, planted(t, "binding/stray-island"), inspect.Options{})
	var asked []int
	draw := Draw{
		Sides: func(*inspect.Result) ([]paper.Picture, error) { return make([]paper.Picture, 4), nil },
		Finding: func(_ *inspect.Result, n int) (paper.Picture, bool, error) {
			asked = append(asked, n)
			return paper.Picture{PNG: fmt.Appendf(nil, "picture %d", n)}, n != 2, nil
		},
	}
	data, _ := written(t, &Report{Result: res, Draw: draw})
	if n := len(res.Findings()); len(asked) != n || strings.Count(string(data), "<img ") != 4+n-1 || strings.Count(string(data), ` bare"`) != 1 {
		t.Errorf("asked for %v, %d pictures", asked, strings.Count(string(data), "<img "))
	}
	// In the verdict's order; a stop or a flaw has the large picture, a note a small one.
	if v := res.Verdict(); !slices.Equal(asked, v.Order) {
		t.Errorf("drawn in the order %v, want %v", asked, v.Order)
	}
	if n := res.Count(check.Stop) + res.Count(check.Flaw); n == 0 || strings.Count(string(data), `class="finding large`) != n {
		t.Errorf("%d are large, want %d", strings.Count(string(data), `class="finding large`), n)
	}
	draw.Finding = func(*inspect.Result, int) (p paper.Picture, has bool, err error) { return p, false, os.ErrClosed }
	if _, err := (&Report{Result: res, Draw: draw}).HTML(); err != os.ErrClosed {
		t.Error(err)
	}
}

// TestCapture: motion capture, which has no surface and no skin, has a report.
func TestCapture(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(corpus, "01_01.bvh"))
	if err != nil {
		t.Skip("no folder of real models beside the repository")
	}
	r, err := bvh.Read("01_01.bvh", data)
	if err != nil {
		t.Fatal(err)
	}
	res, err := inspect.Examine(context.Background(), r, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	out, text := written(t, &Report{Result: res})
	has(t, text, "BVH", "No skin in this file")
	if n := strings.Count(string(out), `class="ribbon"`); n != 1 {
		t.Errorf("%d ribbons", n)
	}
}
