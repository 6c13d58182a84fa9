package inspect

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// Whole documents, as examine --json prints them: what changes any number of any station
// shows here, whatever else is asked of it. UPDATE_GOLDEN=1 (make golden) writes them
// anew; look at every line that changed. Documents of planted faults are kept as the
// lines that the fault changes in the sample's; of the corpus, which is not ours to
// commit, only sums are.

const documents = "testdata/documents"

// laid breaks a document into lines: a line a value down to the fields of a joint or a
// finding, what is deeper on one line.
func laid(document []byte) string {
	const deepest = 5
	var b strings.Builder
	depth, quoted := 0, false
	line := func() {
		if depth <= deepest {
			b.WriteString("\n" + strings.Repeat(" ", depth))
		}
	}
	for i, c := range document {
		switch {
		case c == '"' && (i == 0 || document[i-1] != '\\' || i > 1 && document[i-2] == '\\'):
			quoted = !quoted
		case quoted:
		case c == '{' || c == '[':
			depth++
			b.WriteByte(c)
			line()
			continue
		case c == '}' || c == ']':
			line()
			depth--
		case c == ',':
			b.WriteByte(c)
			line()
			continue
		case c == '\n' || c == ' ' || c == '\t':
			continue
		}
		b.WriteByte(c)
	}
	return b.String() + "\n"
}

// changed are the lines that one text has more than another, and those it lacks, in
// their order.
func changed(was, is string) string {
	count := map[string]int{}
	for line := range strings.Lines(was) {
		count[line]++
	}
	var gone, come []string
	for line := range strings.Lines(is) {
		if count[line]--; count[line] < 0 {
			come = append(come, "+"+line)
		}
	}
	for line := range strings.Lines(was) {
		if count[line] > 0 {
			count[line]--
			gone = append(gone, "-"+line)
		}
	}
	return strings.Join(gone, "") + strings.Join(come, "")
}

// golden holds a text against what is kept of it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join(documents, name)
	if os.Getenv("UPDATE_GOLDEN") != "" {
		if err := os.MkdirAll(documents, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		diff := changed(string(want), got)
		t.Errorf("%s differs; UPDATE_GOLDEN=1 writes it anew:\n%.4000s", file, diff)
	}
}

// TestDocuments: the sample, ten faults planted in it, and figures that a fresh machine has.
func TestDocuments(t *testing.T) {
	clean := lamplighter.Build(lamplighter.Options{})
	whole := laid(text(t, clean, Options{}))
	golden(t, "sample.json", whole)
	faults := lamplighter.Faults()
	for _, id := range rounds.Rows([]string{
		"intake/off-ground", "surface/near-coincident", "surface/lopsided", "skeleton/off-centre", "skeleton/bind-mixed",
		"binding/stray-island", "binding/sum-off", "bends/collapse", "motion/foot-skate", "motion/stray-key",
	}, 3) {
		t.Run(id, func(t *testing.T) {
			i := slices.IndexFunc(faults, func(f lamplighter.Fault) bool { return f.ID == id })
			if i < 0 {
				t.Fatal("no such fault is planted")
			}
			broken, _ := faults[i].On(clean)
			golden(t, strings.ReplaceAll(id, "/", "-")+".diff", changed(whole, laid(text(t, broken, Options{}))))
		})
	}
	for name, file := range map[string]string{"simpleskin.json": "gltfio/testdata/simpleskin.gltf", "hand-left.json": "../testdata/cache/hand_left.glb"} {
		t.Run(name, func(t *testing.T) {
			data, err := os.ReadFile(file)
			if errors.Is(err, fs.ErrNotExist) && strings.Contains(file, "cache") {
				t.Skip("no " + file + "; make ready fetches it")
			} else if err != nil {
				t.Fatal(err)
			}
			r, err := gltfio.Read([]gltfio.File{{Name: path.Base(file), Data: data}}, gltfio.Options{})
			if err != nil {
				t.Fatal(err)
			}
			r.File.Generator = "" // the name of a program says nothing of the examination
			golden(t, name, laid(text(t, r, Options{})))
		})
	}
}

// TestDocumentsOfTheCorpus: a sum a model, where the corpus is there.
func TestDocumentsOfTheCorpus(t *testing.T) {
	const folder = "../../shared/corpus/models"
	if _, err := os.Stat(folder); err != nil {
		t.Skip("no corpus at " + folder)
	}
	var sums strings.Builder
	models, err := filepath.Glob(folder + "/*")
	if err != nil {
		t.Fatal(err)
	}
	for _, model := range models {
		var r *rig.Rig
		switch filepath.Ext(model) {
		case ".glb", ".gltf":
			r, err = gltfio.ReadFS(os.DirFS(folder), filepath.Base(model), gltfio.Options{})
		case ".bvh":
			var data []byte
			if data, err = os.ReadFile(model); err == nil {
				r, err = bvh.Read(filepath.Base(model), data)
			}
		default:
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&sums, "%x  %s\n", sha256.Sum256(text(t, r, Options{})), filepath.Base(model))
	}
	golden(t, "corpus.sums", sums.String())
}

// A document is laid out without a change of what it says.
func TestLaid(t *testing.T) {
	in := []byte(`{"a":[1,2,{"b":"x, {\"y\"}: [","c":[[[[1,2]]]]}],"d":null}`)
	out := laid(in)
	if got := strings.NewReplacer("\n", "", " ", "").Replace(out); got != strings.ReplaceAll(string(in), " ", "") {
		t.Errorf("%s\nbecame\n%s", in, out)
	}
	if !strings.Contains(out, `"x, {\"y\"}: ["`) || !bytes.Contains([]byte(out), []byte("[1,2]")) {
		t.Errorf("a text or what is deep was broken up:\n%s", out)
	}
	if got, want := changed("a\nb\nc\n", "a\nx\nc\nc\n"), "-b\n+x\n+c\n"; got != want {
		t.Errorf("changed %q, want %q", got, want)
	}
}
