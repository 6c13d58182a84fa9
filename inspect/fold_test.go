package inspect

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/check"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Every check has a kind, and a kind a title of four words at most.
func TestEveryCheckHasAKind(t *testing.T) {
	for _, s := range Catalogue() {
		for _, e := range s.Entries {
			if kindOf(e.ID) < 0 {
				t.Errorf("%s has no kind", e.ID)
			}
		}
	}
	for _, k := range kinds {
		if len(strings.Fields(k.title)) > 4 {
			t.Errorf("%q", k.title)
		}
	}
}

// Notes are folded, each once, in its own station; stops and flaws are not; what is
// folded stands in the document in full.
func TestFolds(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 3000})
	for _, f := range lamplighter.Faults() {
		if slices.Contains([]string{"motion/travel", "motion/under-ground", "motion/scale-keys", "motion/loop-jump", "surface/unused-vertices"}, f.ID) {
			f.Plant(r)
		}
	}
	res := examined(t, r)
	all, seen := res.Findings(), map[int]bool{}
	for _, fold := range res.Folds() {
		if len(fold.Numbers) < 2 {
			t.Errorf("%+v", fold)
		}
		for _, n := range fold.Numbers {
			f := &all[n-1]
			if seen[n] || f.Grade != check.Note || !strings.HasPrefix(f.ID, fold.Station+"/") {
				t.Errorf("%s in %+v", f.ID, fold)
			}
			seen[n] = true
		}
	}
	if len(seen) == 0 || res.NoteRows() > 8 {
		t.Errorf("%d notes folded, %d rows", len(seen), res.NoteRows())
	}
	var b bytes.Buffer
	if err := res.WriteJSON(&b, false); err != nil {
		t.Fatal(err)
	}
	var d struct {
		Summary  struct{ Note, NoteRows int }
		Folds    []Fold
		Findings []struct{ Number int }
	}
	if err := json.Unmarshal(bytes.ReplaceAll(b.Bytes(), []byte("note_rows"), []byte("NoteRows")), &d); err != nil {
		t.Fatal(err)
	}
	if len(d.Findings) != len(all) || d.Summary.Note != res.Count(check.Note) || d.Summary.NoteRows != res.NoteRows() || len(d.Folds) != len(res.Folds()) {
		t.Errorf("%+v", d)
	}
}

// On every real figure at most eight rows of notes.
func TestEightRowsOfNotes(t *testing.T) {
	const corpus = "../../shared/corpus/models"
	paths, _ := filepath.Glob(corpus + "/*")
	if len(paths) == 0 {
		t.Skip("no folder of real models beside the repository: no rows of notes are counted here")
	}
	for _, path := range paths {
		var r *rig.Rig
		var err error
		switch filepath.Ext(path) {
		case ".bvh":
			var data []byte
			if data, err = os.ReadFile(path); err == nil {
				r, err = bvh.Read(filepath.Base(path), data)
			}
		case ".glb", ".gltf":
			r, err = gltfio.ReadFS(os.DirFS(corpus), filepath.Base(path), gltfio.Options{})
		default:
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		res := examined(t, r)
		t.Logf("%s: %d notes in %d rows", filepath.Base(path), res.Count(check.Note), res.NoteRows())
		if res.NoteRows() > 8 {
			t.Errorf("%s: %d rows of notes", filepath.Base(path), res.NoteRows())
		}
	}
}
