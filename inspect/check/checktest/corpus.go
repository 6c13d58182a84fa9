package checktest

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/rig"
)

// Corpus is a folder of real models with answers from outside (numpy, scipy, straight
// from the accessors), seen from a package two folders below the repository. It is not
// part of the project; what needs it is skipped without it.
const Corpus = "../../../shared/corpus"

// Models lists the glTF files of the corpus; the test is skipped where there are none.
func Models(t testing.TB) []string {
	t.Helper()
	paths, err := filepath.Glob(Corpus + "/models/*.gl*")
	if err != nil {
		t.Fatal(err)
	}
	if len(paths) == 0 {
		t.Skip("no folder of real models beside the repository: nothing is compared with outside answers here")
	}
	return paths
}

// Named reads one model of the corpus for a test of any package; the test is skipped where
// the folder is not there.
func Named(t testing.TB, name string) *rig.Rig {
	t.Helper()
	root, err := filepath.Abs(".")
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(root, "go.mod")); err == nil {
			break
		}
		up := filepath.Dir(root)
		if up == root {
			t.Fatal("no module around this test")
		}
		root = up
	}
	path := filepath.Join(root, "..", "shared", "corpus", "models", name)
	if _, err := os.Stat(path); err != nil {
		t.Skip("no folder of real models beside the repository: nothing real is looked at here")
	}
	return Open(t, path)
}

// Open reads a model with the files beside it.
func Open(t testing.TB, path string) *rig.Rig {
	t.Helper()
	r, err := gltfio.ReadFS(os.DirFS(filepath.Dir(path)), filepath.Base(path), gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Outside reads what stands beside a model of that path in the answers from outside, and
// answers its text; the test is skipped where it has none.
func Outside(t testing.TB, path string, into any) []byte {
	t.Helper()
	name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	text, err := os.ReadFile(Corpus + "/oracle/" + name + ".json")
	if err != nil {
		t.Skip(err)
	}
	if err := json.Unmarshal(text, into); err != nil {
		t.Fatal(err)
	}
	return text
}
