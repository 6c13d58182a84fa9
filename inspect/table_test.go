package inspect

import (
	"bytes"
	"os"
	"regexp"
	"strings"
	"testing"
)

// TestCatalogueTable: inspect/CHECKS.md is the one the program prints. `make checks`
// rewrites it, as UPDATE_GOLDEN=1 does.
func TestCatalogueTable(t *testing.T) {
	const name = "CHECKS.md"
	var want bytes.Buffer
	WriteTable(&want)
	have, err := os.ReadFile(name)
	if err == nil && bytes.Equal(have, want.Bytes()) {
		return
	}
	if os.Getenv("UPDATE_GOLDEN") == "" {
		t.Fatal("inspect/CHECKS.md is stale; `make checks` rewrites it", err)
	}
	if err := os.WriteFile(name, want.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestCatalogueTableHolds: a row a check, five cells each as the table of GitHub Flavored Markdown
// wants it (its specification, Tables: a pipe within a cell is escaped), no exponent, and
// limits that say which way they are passed.
func TestCatalogueTableHolds(t *testing.T) {
	var b bytes.Buffer
	WriteTable(&b)
	rows := 0
	for _, line := range strings.Split(b.String(), "\n") {
		if !strings.HasPrefix(line, "| `") {
			continue
		}
		rows++
		cells := regexp.MustCompile(`(^|[^\\])\|`).FindAllString(line, -1)
		if len(cells) != 6 {
			t.Errorf("%d bars, want 6: %s", len(cells), line)
		}
		if m := regexp.MustCompile(`\d[eE][-+]?\d`).FindString(line); m != "" {
			t.Errorf("an exponent, %s: %s", m, line)
		}
	}
	checks := 0
	for _, s := range Catalogue() {
		checks += len(s.Entries)
		for _, e := range s.Entries {
			for _, l := range e.Limits {
				if !regexp.MustCompile(`^(more than|fewer than|less than|any) | or (more|fewer|less)$`).MatchString(l.Says()) {
					t.Errorf("%s, %s: %q does not say which way it is passed", e.ID, l.Name, l.Says())
				}
			}
		}
	}
	if rows != checks {
		t.Errorf("%d rows for %d checks", rows, checks)
	}
	if !strings.Contains(b.String(), "`skins`: fewer than 1 skin → note") {
		t.Error("skins are not fewer than 1")
	}
}
