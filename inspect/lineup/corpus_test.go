package lineup

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/gltfio"
)

// models is a folder of real models; it is not part of the project.
const models = "../../../shared/corpus/models"

// TestCorpus holds the measured columns of real models against a golden file; how
// many findings each has is left out, since every new check moves that.
func TestCorpus(t *testing.T) {
	entries, err := os.ReadDir(models)
	if err != nil {
		t.Skip("no folder of real models beside the repository")
	}
	var rows []Row
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".glb") && !strings.HasSuffix(e.Name(), ".gltf") {
			continue
		}
		r, err := gltfio.ReadFS(os.DirFS(models), e.Name(), gltfio.Options{})
		if err != nil {
			t.Fatalf("%s: %v", e.Name(), err)
		}
		res, err := inspect.Examine(context.Background(), r, inspect.Options{})
		if err != nil {
			t.Fatalf("%s: %v", e.Name(), err)
		}
		rows = append(rows, Of(e.Name(), res))
	}
	table := New(rows)
	if err := table.Sort("file"); err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for i := range table.Rows {
		r := &table.Rows[i]
		fmt.Fprintf(&b, "%s: bound %v %q", r.File, r.Bound, r.Body)
		for _, c := range columns {
			if c.Check == "" {
				continue
			}
			if v, ok := r.Cells[c.Key].Value.(float64); ok {
				fmt.Fprintf(&b, ", %s %.4g", c.Key, v)
			} else {
				fmt.Fprintf(&b, ", %s %v", c.Key, r.Cells[c.Key].Value)
			}
		}
		b.WriteByte('\n')
	}
	golden := filepath.Join("testdata", "corpus.golden")
	if os.Getenv("UPDATE_GOLDEN") != "" {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if got := b.String(); got != string(want) {
		t.Errorf("the table of the real models has changed; look at it, then UPDATE_GOLDEN=1\n%s\nwas\n%s", got, want)
	}
}
