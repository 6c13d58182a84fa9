package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

// TestReadmeTable: the README's table of checks is the one the program prints.
// UPDATE_GOLDEN=1 rewrites it.
func TestReadmeTable(t *testing.T) {
	const name = "../../../README.md"
	const start, end = "<!-- checks: printed by `rigloupe checks --markdown`; a test compares -->\n", "<!-- end of checks -->"
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	i, j := strings.Index(text, start), strings.Index(text, end)
	if i < 0 || j < i {
		t.Fatal("README.md has lost the marks around its table of checks")
	}
	i += len(start)
	var want bytes.Buffer
	writeTable(&want)
	if text[i:j] == want.String() {
		return
	}
	if os.Getenv("UPDATE_GOLDEN") == "" {
		t.Fatal("the table of checks in README.md is stale; `make golden` rewrites it")
	}
	if err := os.WriteFile(name, []byte(text[:i]+want.String()+text[j:]), 0o644); err != nil {
		t.Fatal(err)
	}
}
