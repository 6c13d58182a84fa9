package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// lines is a function of so many lines, its head and its last brace counted.
func lines(head string, n int) string {
	return head + " {\n" + strings.Repeat("\t_ = 0\n", n-2) + "}\n"
}

// Eighty lines are enough, eighty-one too many, whatever a file is built for; tests and
// data are not looked at. What is allowed is not told, unless it is short.
func TestLook(t *testing.T) {
	list, err := look(fstest.MapFS{
		"a/a.go":          {Data: []byte("package a\n\n" + lines("func Short()", 80) + "\n" + lines("func Long()", 81))},
		"a/b_js.go":       {Data: []byte("//go:build js\n\npackage a\n\ntype T[X any] struct{}\n\n" + lines("func (t *T[X]) Far()", 200))},
		"a/a_test.go":     {Data: []byte("package a\n\n" + lines("func Tests()", 300))},
		"testdata/x/x.go": {Data: []byte("package x\n\n" + lines("func X()", 300))},
	})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := fmt.Sprint(list), "[{a Long a/a.go:84 81} {a T.Far a/b_js.go:7 200}]"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	wrong := judge(list, map[string]string{"a T.Far": "a table", "a Gone": "a switch"})
	if len(wrong) != 2 || !strings.Contains(wrong[0], "a Long has 81 lines") || !strings.Contains(wrong[1], "a Gone is short now") {
		t.Errorf("%q", wrong)
	}
}

// Each exception says why.
func TestAllowed(t *testing.T) {
	for name, why := range allowed {
		if len(why) < 15 || !slices.Contains(strings.Split(name, ""), " ") {
			t.Errorf("%s: %q", name, why)
		}
	}
}
