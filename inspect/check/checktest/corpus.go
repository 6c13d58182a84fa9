package checktest

import (
	"os"
	"path/filepath"
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

// Open reads a model with the files beside it.
func Open(t testing.TB, path string) *rig.Rig {
	t.Helper()
	r, err := gltfio.ReadFS(os.DirFS(filepath.Dir(path)), filepath.Base(path), gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}
