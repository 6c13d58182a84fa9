package e2e

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// plantedFiles writes sample figures with faults through the command line.
func plantedFiles(t *testing.T, vertices string, models map[string]string) map[string]string {
	t.Helper()
	dir := t.TempDir()
	paths := map[string]string{}
	for name, faults := range models {
		paths[name] = filepath.Join(dir, name)
		cmd := exec.Command(filepath.Join(dist, "rigloupe"), "sample", "--vertices", vertices, "--fault", faults, "--out", paths[name])
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	return paths
}

// linedUp waits until a line-up of so many models is done.
func (p *tab) linedUp(n int) {
	p.t.Helper()
	p.poll("the line-up", fmt.Sprintf(`document.body.dataset.lineup === 'open' && document.querySelectorAll('.lined tbody tr').length === %d && !document.querySelector('#lineup [data-focus="stop"]') && !document.querySelector('.lined progress')`, n))
}

// names are those of the rows, from the top.
func (p *tab) names() string {
	p.t.Helper()
	return strings.Join(eval[[]string](p, `[...document.querySelectorAll('.lined tbody th')].map((e) => e.textContent)`), " ")
}

// TestLineup: several models dropped together become a table that says what the
// command line says; heads sort it, cells lead to findings, and it is still there
// on the way back.
func TestLineup(t *testing.T) {
	paths := plantedFiles(t, "5000", map[string]string{
		"sound.glb": "intake/nothing-bound", "lop.glb": "surface/lopsided,intake/nothing-bound",
		"cracked.glb": "surface/branching-edges,intake/nothing-bound", "bound.glb": "",
	})
	broken := filepath.Join(filepath.Dir(paths["sound.glb"]), "broken.glb")
	if err := os.WriteFile(broken, []byte("no"), 0o644); err != nil {
		t.Fatal(err)
	}
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.quiet()
	p.drop(paths["cracked.glb"], paths["lop.glb"], paths["sound.glb"])
	p.linedUp(3)
	p.shot("60-lineup-first")
	if got := p.names(); got != "sound.glb lop.glb cracked.glb" {
		t.Errorf("rows %s", got)
	}
	says := eval[string](p, `document.querySelector('.argues .prose').textContent`)
	if !strings.Contains(says, `"sound.glb" is the best of these 3 for rigging: it is ready to bind as it stands. The runner-up, "lop.glb", stands behind because it has 1 flaw (sides not alike)`) {
		t.Errorf("argues %q", says)
	}
	p.axe("line-up")

	// Saved, it is the command line's, byte for byte.
	p.click(`#lineup [data-focus="json"]`)
	p.click(`#lineup [data-focus="csv"]`)
	files := map[string]string{}
	for _, f := range p.files(2) {
		files[f.name] = string(f.data)
	}
	csv := filepath.Join(t.TempDir(), "t.csv")
	want, err := exec.Command(filepath.Join(dist, "rigloupe"), "lineup", "--json", "--csv", csv, "--fail-on", "never", paths["sound.glb"], paths["lop.glb"], paths["cracked.glb"]).Output()
	if err != nil {
		t.Fatal(err)
	}
	if got := files["line-up.json"]; got != string(want) {
		t.Errorf("the page saves\n%s\nthe command line writes\n%s", got, want)
	}
	table, err := os.ReadFile(csv)
	if err != nil {
		t.Fatal(err)
	}
	if got := files["line-up.csv"]; got != string(table) {
		t.Errorf("the page saves\n%s\nthe command line writes\n%s", got, table)
	}

	// More are added, one that cannot be read among them; a second time the same is not.
	p.drop(paths["bound.glb"], broken, paths["sound.glb"])
	p.linedUp(5)
	if got := p.names(); got != "bound.glb sound.glb lop.glb cracked.glb broken.glb" {
		t.Errorf("rows %s", got)
	}
	if got := eval[string](p, `document.querySelector('.lined tbody tr:last-child').textContent`); !strings.Contains(got, "neither a GLB") {
		t.Errorf("the row of the broken file says %q", got)
	}
	p.shot("61-lineup-five")

	// Heads sort by key and click, and say so.
	p.click(`.lined thead [data-focus="sort-lopsided"]`)
	if got, sort := p.names(), eval[string](p, `document.querySelector('[data-focus="sort-lopsided"]').closest('th').getAttribute('aria-sort')`); !strings.HasPrefix(got, "lop.glb cracked.glb") || !strings.HasSuffix(got, "broken.glb") || sort != "descending" {
		t.Errorf("by lopsided: %s, aria-sort %s", got, sort)
	}
	p.key("\r")
	if got := p.names(); !strings.HasSuffix(got, "lop.glb broken.glb") {
		t.Errorf("pressed again: %s", got)
	}

	// A cell leads to the finding: the model is opened with it chosen.
	row := `[...document.querySelectorAll('.lined tbody tr')].find((r) => r.querySelector('th').textContent === 'lop.glb')`
	p.pressThe("the cell", row+`.querySelector('[data-focus^="lopsided-"]')`)
	p.poll("the model of the cell", `document.querySelector('#file-name').textContent.includes('lop.glb') && document.querySelector('#card .finding') && `+doneJS)
	if got := eval[string](p, `document.querySelector('#card').textContent`); !strings.Contains(got, "Sides not alike") || !strings.Contains(got, "Flaw") {
		t.Errorf("the card shows %.200q", got)
	}
	if p.names() != "" && eval[string](p, `getComputedStyle(document.querySelector('#lineup')).visibility`) != "hidden" {
		t.Error("the table still covers the stage")
	}
	p.settled()
	p.shot("62-lineup-opened")
	p.axe("a model of the line-up")

	// Back: as it was left.
	p.click(`.acts [data-act="lineup"]`)
	p.poll("the table again", `document.body.dataset.lineup === 'open'`)
	if got := p.names(); !strings.HasSuffix(got, "lop.glb broken.glb") {
		t.Errorf("on the way back: %s", got)
	}
	if got := eval[string](p, `document.querySelector('.lined tr[aria-current] th').textContent`); got != "lop.glb" {
		t.Errorf("current row %q", got)
	}
	p.click(`[data-act="paper"]`)
	p.settled()
	p.shot("63-lineup-night")
	p.axe("line-up by night")
	p.click(`[data-act="paper"]`)

	// Taken out; the argument follows.
	p.pressThe("the button", `[...document.querySelectorAll('.lined tbody tr')].find((r) => r.querySelector('th').textContent === 'bound.glb').querySelector('[data-focus^="out-"]')`)
	p.poll("the argument without it", `document.querySelector('.argues .prose').textContent.startsWith('"sound.glb" is the best of these 3')`)

	// Escape goes back to the model.
	p.key("\x1b")
	p.poll("the stage", `document.body.dataset.lineup === undefined`)
	if got := p.asked(); len(got) > 0 {
		t.Errorf("asked for %v", got)
	}
	p.clean()
}

// TestLineupStop: stopped between two models, what is done stays, and the rest can
// be examined afterwards.
func TestLineupStop(t *testing.T) {
	paths := plantedFiles(t, "5000", map[string]string{"a.glb": "intake/nothing-bound"})
	paths["b.glb"] = plantedFiles(t, "150000", map[string]string{"b.glb": ""})["b.glb"] // seconds to examine
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 390, 844)
	p.shot("64-lineup-phone-first")
	p.drop(paths["a.glb"], paths["b.glb"])
	p.poll("the second at work", `document.querySelector('.lined progress') && document.querySelectorAll('.lined tbody .text').length === 1`)
	p.shot("65-lineup-phone-work")
	p.click(`#lineup [data-focus="stop"]`)
	p.poll("what was stopped", `document.querySelector('#lineup [data-focus="again"]')`)
	if got := eval[string](p, `document.querySelector('.lined tbody tr:last-child').textContent`); !strings.Contains(got, "not examined: stopped") {
		t.Errorf("the stopped row says %q", got)
	}
	if got := eval[string](p, `document.querySelector('.argues .prose').textContent`); !strings.Contains(got, "the only one that was examined") {
		t.Errorf("argues %q", got)
	}
	p.click(`#lineup [data-focus="again"]`)
	p.poll("both", `document.querySelectorAll('.lined tbody .text').length === 2 && !document.querySelector('.lined progress')`)
	p.linedUp(2)
	p.shot("66-lineup-phone")
	p.axe("line-up on a phone")
	if wide := eval[float64](p, `document.documentElement.scrollWidth`); wide > 390 {
		t.Errorf("the page is %v px wide on a phone", wide)
	}
	p.click(`.lined tbody tr .text`)
	p.poll("the model", `document.body.dataset.lineup === undefined && `+doneJS)
	p.shot("67-lineup-phone-opened")
	p.clean()
}

// TestLineupSides: a .gltf without its buffer is a row that says so; the buffer
// dropped afterwards mends the row.
func TestLineupSides(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	model := write("flat.gltf", `{"asset":{"version":"2.0"},"buffers":[{"uri":"flat.bin","byteLength":36}],"bufferViews":[{"buffer":0,"byteLength":36}],
"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[0,0,0]}],
"meshes":[{"primitives":[{"attributes":{"POSITION":0}}]}],"nodes":[{"mesh":0}],"scenes":[{"nodes":[0]}],"scene":0}`)
	buffer := write("flat.bin", strings.Repeat("\x00", 36))
	sound := plantedFiles(t, "5000", map[string]string{"sound.glb": "intake/nothing-bound"})["sound.glb"]
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1000, 800)
	p.drop(model, sound)
	p.linedUp(2)
	if got := eval[string](p, `document.querySelector('.lined tbody tr:last-child').textContent`); !strings.Contains(got, "flat.bin") {
		t.Errorf("the row without its buffer says %q", got)
	}
	p.shot("70-lineup-narrow")
	p.drop(buffer)
	p.poll("both rows", `document.querySelectorAll('.lined tbody tr td:first-child').length === 2 && [...document.querySelectorAll('.lined tbody tr td:first-child')].every((e) => e.textContent !== '')`)
	if got := p.names(); got != "sound.glb flat.gltf" {
		t.Errorf("rows %s", got)
	}
	p.clean()
}

// TestLineupOfTheOpen: the figure that is open is the first row, without a second
// examination, and others are dropped beside it.
func TestLineupOfTheOpen(t *testing.T) {
	paths := plantedFiles(t, "5000", map[string]string{"bare.glb": "intake/nothing-bound"})
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1280, 800)
	p.click(`.acts [data-act="lineup"]`)
	p.poll("the empty table", `document.body.dataset.lineup === 'open'`)
	p.shot("68-lineup-empty")
	p.axe("empty line-up")
	p.key("\x1b")
	p.sample()
	p.click(`.acts [data-act="lineup"]`)
	p.linedUp(1)
	p.poll("its picture", `document.querySelector('.lined .portrait img')?.naturalWidth === 104`)
	p.drop(paths["bare.glb"])
	p.linedUp(2)
	if got := p.names(); got != "lamplighter.glb bare.glb" {
		t.Errorf("rows %s", got)
	}
	if got := eval[string](p, `document.querySelector('.argues .prose').textContent`); !strings.Contains(got, `To be bound anew, "bare.glb"`) {
		t.Errorf("argues %q", got)
	}
	p.shot("69-lineup-open")
	p.clean()
}

// TestLineupSieve: each row has its picture by day and by night and a line of reason; rows
// are sifted by words and by what stands in the way; a line-up that was saved is loaded in
// another page, says that it holds no models, and takes a model that is dropped.
func TestLineupSieve(t *testing.T) {
	paths := plantedFiles(t, "5000", map[string]string{"sound.glb": "", "unbound.glb": "binding/unbound", "bare.glb": "intake/nothing-bound"})
	s := serve(t, false)
	p := open(t, s.URL+"?present=plain", 1440, 900)
	p.drop(paths["sound.glb"], paths["unbound.glb"], paths["bare.glb"])
	p.linedUp(3)
	p.poll("the pictures", `[...document.querySelectorAll('.lined .portrait img')].filter((i) => i.complete && i.naturalWidth === 104).length === 3`)
	day := eval[string](p, `document.querySelector('.lined .portrait img').src`)
	p.shot("71-lineup-pictures")
	p.axe("a line-up with pictures")
	if got := eval[string](p, `[...document.querySelectorAll('.lined .why')].map((e) => e.textContent).join('|')`); !strings.Contains(got, "already bound, and no stop stands in its way") || !strings.Contains(got, "vertices bound to nothing") {
		t.Errorf("reasons: %s", got)
	}
	if tall := eval[float64](p, `Math.max(...[...document.querySelectorAll('.lined tbody tr')].map((r) => r.offsetHeight))`); tall > 80 {
		t.Errorf("a row is %g px high", tall)
	}
	p.press(`[data-act="paper"]`)
	p.poll("the pictures by night", `document.querySelector('.lined .portrait img').src !== '`+day+`'`)
	p.shot("72-lineup-pictures-night")
	p.press(`[data-act="paper"]`)

	p.click("#lineup-wanted")
	for _, c := range "to nothing" {
		p.key(string(c))
	}
	p.poll("one row", `document.querySelectorAll('.lined tbody th').length === 1`)
	if got := p.names(); got != "unbound.glb" || eval[string](p, `document.activeElement.id`) != "lineup-wanted" {
		t.Errorf("%s is left, the focus is at %s", got, eval[string](p, `document.activeElement.id`))
	}
	eval[any](p, `(() => { const f = document.getElementById('lineup-wanted'); f.value = ''; f.dispatchEvent(new Event('input')); })()`)
	p.press("#lineup-fit")
	p.poll("what is fit", `document.querySelectorAll('.lined tbody th').length === 2`)
	if got := p.names(); strings.Contains(got, "unbound") {
		t.Errorf("fit are %s", got)
	}
	p.press(`#lineup [data-focus="json"]`)
	f := p.file()
	saved := filepath.Join(t.TempDir(), f.name)
	if err := os.WriteFile(saved, f.data, 0o644); err != nil {
		t.Fatal(err)
	}
	p.clean()

	q := open(t, s.URL+"?present=plain", 1440, 900)
	q.click(`.acts [data-act="lineup"]`)
	q.poll("the empty table", `document.body.dataset.lineup === 'open' && document.getElementById('lineup-load')`)
	q.upload("#lineup-load", saved)
	q.linedUp(3)
	if got, want := q.names(), strings.Join([]string{"sound.glb", "bare.glb", "unbound.glb"}, " "); got != want {
		t.Errorf("loaded: %s, want %s", got, want)
	}
	q.click(`.lined tbody tr .text`)
	q.poll("what it says", `/holds no models/.test(document.getElementById('state').textContent)`)
	q.drop(paths["sound.glb"])
	q.poll("its picture", `document.querySelectorAll('.lined .portrait img').length === 1`)
	q.linedUp(3)
	q.click(`.lined tbody tr .text`)
	q.poll("the model", `document.body.dataset.lineup === undefined && `+doneJS)
	q.clean()
}
