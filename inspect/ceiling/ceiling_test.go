package ceiling

import (
	"os"
	"strings"
	"testing"
)

// TestTableIsPrinted: DEVELOPERS.md shows the table as it is. `make checks` rewrites it.
func TestTableIsPrinted(t *testing.T) {
	const name, begins, ends = "../../DEVELOPERS.md", "<!-- ceilings: make checks prints them -->\n", "<!-- /ceilings -->"
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(data), begins)
	was, after, closed := strings.Cut(rest, ends)
	if !ok || !closed {
		t.Fatal("DEVELOPERS.md has no place for the ceilings")
	}
	if was == Markdown() {
		return
	}
	if os.Getenv("UPDATE_GOLDEN") == "" {
		t.Fatal("the ceilings in DEVELOPERS.md are stale; `make checks` rewrites them")
	}
	if err := os.WriteFile(name, []byte(before+begins+Markdown()+ends+after), 0o644); err != nil {
		t.Fatal(err)
	}
}

// A row says what it bounds, by how much and what happens, and no two the same.
func TestRows(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Table() {
		if r.What == "" || r.Most == "" || r.Then == "" || seen[r.What] {
			t.Errorf("%+v", r)
		}
		seen[r.What] = true
	}
}
