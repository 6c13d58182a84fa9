package proof

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/original"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/rounds"
)

// corpus is a folder of real models beside the repository; what needs it skips without.
const corpus = "../../../shared/corpus/models"

func open(t *testing.T, name string, data []byte) *mend.State {
	t.Helper()
	d, err := original.Open([]gltfio.File{{Name: name, Data: data}})
	if err != nil {
		t.Fatal(err)
	}
	s, err := mend.Open(d)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// faulty is the sample with the first fault that each check finds.
func faulty(t *testing.T, name string, ids ...string) *mend.State {
	t.Helper()
	r := lamplighter.Build(lamplighter.Options{Sway: true, Vertices: 6000})
	for _, id := range ids {
		for _, f := range lamplighter.Faults() {
			if f.ID == id {
				r, _ = f.On(r)
				break
			}
		}
	}
	return open(t, name, lamplighter.Write(r))
}

func run(t *testing.T, s *mend.State, p *mend.Plan) []mend.Done {
	t.Helper()
	if err := p.Check(); err != nil {
		t.Fatal(err)
	}
	done, _, err := p.Run(context.Background(), s, mend.Options{GoOn: true})
	if err != nil {
		t.Fatal(err)
	}
	return done
}

// sheet is the sheet of a run without pictures.
func sheet(t *testing.T, s *mend.State, p *mend.Plan, done []mend.Done) (data []byte, text string) {
	t.Helper()
	end := done[len(done)-1].State
	sum := sha256.Sum256(end.Bytes)
	data, err := (&Sheet{Start: s, Plan: p, Done: done, Written: paper.File{Name: "new.glb", SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(end.Bytes))}}).HTML(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return data, read(data)
}

// read is what a person reads of a sheet.
func read(data []byte) string {
	_, body, _ := strings.Cut(string(data), "<main>")
	return strings.Join(strings.Fields(strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(body, " ")))), " ")
}

func has(t *testing.T, text string, wants ...string) {
	t.Helper()
	missing := false
	for _, w := range wants {
		if !strings.Contains(text, w) {
			t.Errorf("%q is not on the sheet", w)
			missing = true
		}
	}
	if missing {
		t.Log(text)
	}
}

// TestSheet: what came in, what was written, what was cleared and what stays stand on the
// sheet, and the plan on it does the same again, to the byte and to the receipt.
func TestSheet(t *testing.T) {
	start := faulty(t, "lamp.glb", "binding/sum-off", "intake/unapplied-scale")
	p, end, _, err := mend.Suggest(context.Background(), start, nil)
	if err != nil || len(p.Steps) < 2 {
		t.Fatal(p, err)
	}
	done := run(t, start, p)
	data, text := sheet(t, start, p, done)
	again, _ := sheet(t, start, p, run(t, start, p))
	if !bytes.Equal(data, again) {
		t.Error("the same run gives another sheet")
	}
	name, sum, _ := start.Doc.Source()
	out := sha256.Sum256(end.Bytes)
	spaced := func(s string) string {
		var parts []string
		for i := 0; i < len(s); i += 8 {
			parts = append(parts, s[i:i+8])
		}
		return strings.Join(parts, " ")
	}
	has(t, text, name, spaced(sum), "new.glb", spaced(hex.EncodeToString(out[:])), "rigloupe 0.1.0", "as delivered",
		"1 Bring to scale: kept", "3 Clean weights: kept", "3 mends kept · ", " cleared · none planted", "Scale not applied cleared 0.99 off 1 clear", "Unlikely height came to light 18.6 mm 18.6 mm", "Settings Factor × 100; the rest as delivered",
		" % volume, 2 places −", "What stays Finding Place Measure Limit Surface stretched when bent", "Weights changed", "Nothing: no step that was kept plants a flaw or a stop.", "Not looked at", "Mended by", "Signature")
	for _, d := range done {
		has(t, text, spaced(d.Receipt.SHA256()))
	}
	d, err := paper.Read(data)
	if err != nil || !d.Whole || d.Kind != Kind {
		t.Fatal(d, err)
	}
	back, err := mend.ParsePlan([]byte(d.Texts[PlanText]))
	if err != nil {
		t.Fatal(err)
	}
	redone := run(t, start, back)
	for i := range redone {
		if redone[i].Odd != "" || redone[i].Receipt.SHA256() != back.Steps[i].Receipt || back.Steps[i].Receipt != done[i].Receipt.SHA256() {
			t.Errorf("step %d does something else: %s", i+1, redone[i].Odd)
		}
	}
	if got := redone[len(redone)-1].State.Bytes; !bytes.Equal(got, end.Bytes) {
		t.Error("the plan on the sheet writes another file")
	}
}

// TestNotKept: a step that was refused or not kept is told with its reason, has no place in
// the plan on the sheet, and what it would have cleared stays.
func TestNotKept(t *testing.T) {
	start := faulty(t, "lamp.glb", "binding/sum-off")
	p := &mend.Plan{Version: 1, Order: "free", Steps: []mend.Step{
		{Mend: "sweep"}, {Mend: "hang", Parameters: mend.Values{"on": map[string]string{"hips": "head"}}}, {Mend: "clean"}, {Mend: "names", Off: true},
	}}
	done := run(t, start, p)
	data, text := sheet(t, start, p, done)
	has(t, text, "1 mend kept · ", " · 2 others not kept", "1 Drop unused data: refused", "All data of the file are in use.", "2 Hang on: refused", "would hang on itself", "3 Clean weights: kept")
	d, _ := paper.Read(data)
	back, err := mend.ParsePlan([]byte(d.Texts[PlanText]))
	if err != nil || len(back.Steps) != 1 || back.Steps[0].Mend != "clean" || back.Order != "free" {
		t.Errorf("%+v, %v", back, err)
	}
	none := &mend.Plan{Version: 1, Steps: []mend.Step{{Mend: "sweep"}}}
	_, text = sheet(t, start, none, run(t, start, none))
	has(t, text, "No mend kept: the figure is as it came in.")
	if data, err := (&Sheet{Start: start, Plan: &mend.Plan{Version: 1}}).HTML(context.Background()); err != nil {
		t.Error(err)
	} else {
		has(t, read(data), "No mend kept: the figure is as it came in.", "The plan has no step to do.")
	}
}

// TestInsisted: what a step plants and a person insists on stands on the sheet, and the
// plan there insists on it, too.
func TestInsisted(t *testing.T) {
	start := faulty(t, "lamp.glb")
	p := &mend.Plan{Version: 1, Steps: []mend.Step{{Mend: "scale", Parameters: mend.Values{"factor": 40.0}, Accept: []string{"intake/odd-height", "intake/off-ground"}}}}
	done := run(t, start, p)
	if r := done[0].Receipt; !r.Kept || len(r.Accepted) == 0 {
		t.Fatalf("kept %v, %s, accepted %v", r.Kept, r.Why, r.Accepted)
	}
	data, text := sheet(t, start, p, done)
	has(t, text, "1 Bring to scale: kept, insisted on", " planted · insisted on", "Step 1, Bring to scale, plants “", "planted, insisted on", ", before clear")
	if strings.Contains(text, "none planted") {
		t.Error("the sheet says that nothing was planted")
	}
	d, _ := paper.Read(data)
	back, _ := mend.ParsePlan([]byte(d.Texts[PlanText]))
	if r := run(t, start, back)[0].Receipt; !r.Kept {
		t.Error("the plan on the sheet is not kept: ", r.Why)
	}
}

// TestLimitsMoved: limits that were moved stand on the sheet with what they were.
func TestLimitsMoved(t *testing.T) {
	start := faulty(t, "lamp.glb", "binding/sum-off")
	p := &mend.Plan{Version: 1, Steps: []mend.Step{{Mend: "clean"}}, Limits: map[string]map[string]float64{"surface/lopsided": {"share": .5}}}
	_, text := sheet(t, start, p, run(t, start, p))
	has(t, text, "share: more than 50 % (as delivered: more than ")
	if n := strings.Count(text, "(as delivered: "); n != 1 || strings.Contains(text, "Limits as delivered") {
		t.Errorf("one limit was moved, %d are told", n)
	}
}

// TestNames: names within the figure are text, and those of the file stand whole.
func TestNames(t *testing.T) {
	rounds.Dear(t)
	evil := `<b>"x"</b>` + strings.Repeat("ж", 200) + "\u202Egpj.glb"
	r, _ := lamplighter.Faults()[0].On(lamplighter.Build(lamplighter.Options{Vertices: 6000}))
	for i := range r.Nodes {
		r.Nodes[i].Name = `</td><script>` + r.Nodes[i].Name
	}
	start := open(t, evil, lamplighter.Write(r))
	p := &mend.Plan{Version: 1, Steps: []mend.Step{{Mend: "clean"}, {Mend: "names"}}}
	done := run(t, start, p)
	data, text := sheet(t, start, p, done)
	if bytes.Contains(data, []byte("<script")) || bytes.Contains(data, []byte("\u202E")) || bytes.Contains(data, []byte(`<b>"x`)) {
		t.Error("a name is more than text")
	}
	has(t, text, strings.Repeat("ж", 200)+`\u202egpj.glb`)
}

// TestSideFiles: of a model with files beside it the sheet says that the hash is of the
// main file alone.
func TestSideFiles(t *testing.T) {
	if _, err := os.Stat(filepath.Join(corpus, "interpolation_test.gltf")); err != nil {
		t.Skip("no folder of real models beside the repository")
	}
	d, err := original.OpenFS(os.DirFS(corpus), "interpolation_test.gltf", gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := mend.Open(d)
	if err != nil {
		t.Fatal(err)
	}
	p := &mend.Plan{Version: 1, Steps: []mend.Step{{Mend: "thin"}}}
	_, text := sheet(t, s, p, run(t, s, p))
	has(t, text, "1 file taken in; the hash of what came in is that of the main file alone.")
}

// TestVerify: which file a sheet is about, and whether it was changed.
func TestVerify(t *testing.T) {
	start := faulty(t, "lamp.glb", "binding/sum-off")
	p := &mend.Plan{Version: 1, Steps: []mend.Step{{Mend: "clean"}}}
	done := run(t, start, p)
	data, _ := sheet(t, start, p, done)
	_, source, _ := start.Doc.Source()
	sum := sha256.Sum256(done[0].State.Bytes)
	written := hex.EncodeToString(sum[:])
	changed := bytes.Replace(data, []byte("kept"), []byte("lost"), 1)
	for _, row := range []struct {
		name  string
		sheet []byte
		sums  []string
		role  string
		good  bool
		says  string
	}{
		{"written", data, []string{written}, paper.Written, true, "is the file that was written; the sheet is as it was made"},
		{"source", data, []string{source}, paper.Source, true, "is the file that came in"},
		{"packed", data, []string{"00", source}, paper.Source, true, "is the file that came in"},
		{"another", data, []string{"00"}, "", false, "is another file; the sheet is as it was made"},
		{"changed", changed, []string{written}, paper.Written, false, "The sheet was changed since it was made."},
	} {
		v, err := paper.Verify(row.sheet, "x.glb", 5, row.sums...)
		if err != nil || v.File.Role != row.role || v.Good() != row.good || !strings.Contains(v.Says, row.says) {
			t.Errorf("%s: %+v, %v", row.name, v, err)
		}
	}
	if _, err := paper.Verify([]byte("no"), "x", 1, ""); err == nil {
		t.Error("what is no sheet was taken")
	}
}
