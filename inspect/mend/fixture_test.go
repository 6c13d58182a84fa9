package mend

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// corpus is a folder of real models beside the repository; what needs it skips without.
const corpus = "../../../shared/corpus/models"

func stateOf(t testing.TB, files ...gltfio.File) *State {
	t.Helper()
	d, err := original.Open(files)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Open(d)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// ofRig is a rig of lamplighter as a file.
func ofRig(t testing.TB, r *rig.Rig) *State {
	t.Helper()
	return stateOf(t, gltfio.File{Name: "figure.glb", Data: lamplighter.Write(r)})
}

// corpusState opens a real model.
func corpusState(t testing.TB, name string) *State {
	t.Helper()
	if _, err := os.Stat(filepath.Join(corpus, name)); err != nil {
		t.Skip("no folder of real models beside the repository: ", name)
	}
	d, err := original.OpenFS(os.DirFS(corpus), name, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := Open(d)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func try(t testing.TB, s *State, id string, v Values) *Trial {
	t.Helper()
	m, err := Named(id)
	if err != nil {
		t.Fatal(err)
	}
	x, err := s.Try(context.Background(), m, v)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func prove(t testing.TB, x *Trial) *Receipt {
	t.Helper()
	r, err := x.Prove(context.Background(), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// sample is the figure without any fault of its own; in the short form the coarse one.
func sample() *rig.Rig {
	if !rounds.Long() {
		return lamplighter.Clone(coarse())
	}
	return fine()
}

// fine is the sample with all its vertices, where a size or a hash is told. The coarse one
// has the fewest there are: its elbow stretches up to the limit.
func fine() *rig.Rig { return lamplighter.Clone(built()) }

var built = sync.OnceValue(func() *rig.Rig { return lamplighter.Build(lamplighter.Options{Sway: true}) })

var coarse = sync.OnceValue(func() *rig.Rig { return lamplighter.Build(lamplighter.Options{Sway: true, Vertices: 4000}) })

// planted is every fault of the sample that a check of these ids finds; in the short form
// the first of each check.
func planted(ids ...string) (out []lamplighter.Fault) {
	had := map[string]bool{}
	for _, f := range lamplighter.Faults() {
		if !slices.Contains(ids, f.ID) {
			continue
		}
		if !had[f.ID] || rounds.Long() {
			out = append(out, f)
		}
		had[f.ID] = true
	}
	return out
}

// gradeOf is the worst grade of a check in an examined state.
func gradeOf(t testing.TB, s *State, id string) check.Grade {
	t.Helper()
	r, err := s.Examine(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	_, by := seen(r)
	return by[id].grade
}

func examOf(s *State) *exam.Exam { return exam.New(s.Rig) }

// ForCheck lists the mends that answer a check.
func ForCheck(id string) (out []Mend) {
	for _, m := range Table() {
		if slices.Contains(m.Answers, id) {
			out = append(out, m)
		}
	}
	return out
}
