package rig

import (
	"strings"
	"testing"
	"unicode/utf8"

	"rigloupe/inspect/ceiling"
)

// TestCutNames: a name on the limit stays, a longer one is cut at a letter and noted; a
// thousand of them do not make a thousand notes.
func TestCutNames(t *testing.T) {
	fits := strings.Repeat("n", ceiling.Name)
	r := &Rig{
		File:   File{Generator: strings.Repeat("g", 5000)},
		Nodes:  []NodeData{{Name: fits}, {Name: strings.Repeat("é", ceiling.Name)}},
		Meshes: []MeshData{{Name: strings.Repeat("m", 10<<20), Targets: []Target{{Name: fits + "n"}}}},
	}
	r.CutNames()
	if r.Nodes[0].Name != fits {
		t.Error("a name on the limit is changed")
	}
	for _, s := range []string{r.Nodes[1].Name, r.Meshes[0].Name, r.Meshes[0].Targets[0].Name, r.File.Generator} {
		if len(s) > ceiling.Name+len("…") || !strings.HasSuffix(s, "…") || !utf8.ValidString(s) {
			t.Errorf("%d bytes, %q…", len(s), s[:10])
		}
	}
	if len(r.Malformed) != 4 || r.Malformed[2].Place != "/meshes/0/name" || !strings.Contains(r.Malformed[2].What, "10485760 bytes") {
		t.Errorf("%+v", r.Malformed)
	}
	many := &Rig{Nodes: make([]NodeData, 1000)}
	for i := range many.Nodes {
		many.Nodes[i].Name = fits + "n"
	}
	many.CutNames()
	if len(many.Malformed) != ceiling.LongNames {
		t.Errorf("%d notes", len(many.Malformed))
	}
}
