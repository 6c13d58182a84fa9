package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every module that go.mod names and a program links has its notice; what is only for
// tests has none.
func TestNotices(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	list, err := linked(append(onThePage, terminal)...)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	for _, m := range list {
		if err := m.write(&b, map[string]string{}); err != nil {
			t.Error(err)
		}
	}
	for _, want := range []string{"github.com/hajimehoshi/ebiten/v2 v", "github.com/qmuntal/gltf v", "github.com/go-gl/mathgl v", "github.com/norunners/vert v", "Apache License", "Permission is hereby granted"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q is not in the notices", want)
		}
	}
	for _, not := range []string{"chromedp", "esbuild", "rogpeppe"} {
		if strings.Contains(b.String(), not) {
			t.Errorf("%s is linked into nothing and is in the notices", not)
		}
	}
}

func TestNoticesWantALicence(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "licensed.go"), []byte("package x"), 0o644); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := (module{"x", dir}).write(&b, map[string]string{}); err == nil {
		t.Error("a module without a licence went through")
	}
}

// What the command line carries is what it links; `make notices` writes it anew. The Go
// library's own text is left out: it is that of whoever builds.
func TestTerminalNoticesAreFresh(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	has, err := os.ReadFile("inspect/cmd/rigloupe/notices.txt")
	if err != nil {
		t.Fatal(err)
	}
	want, err := terminalNotices()
	if err != nil {
		t.Fatal(err)
	}
	modules := func(text []byte) string {
		_, rest, found := strings.Cut(string(text), "\ngithub.com/")
		if !found {
			t.Fatal("no module stands in the notices")
		}
		return rest
	}
	if modules(has) != modules(want) {
		t.Error("the notices of the command line are not those of what it links: make notices")
	}
	if !strings.Contains(string(has), "the Go library, LICENSE") {
		t.Error("the Go library is not in the notices of the command line")
	}
}

// DEVELOPERS.md lists what go.mod and package.json ask for, each with its version and why,
// and nothing that neither asks for.
func TestDependenciesAreListed(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	read := func(name string) string {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	asked := map[string]string{}
	for _, m := range regexp.MustCompile(`(?m)^\t(\S+) (v\S+)$`).FindAllStringSubmatch(read("go.mod"), -1) {
		asked[m[1]] = strings.TrimPrefix(m[2], "v")
	}
	for _, m := range regexp.MustCompile(`(?m)^    "([^"]+)": "(\d[^"]*)"`).FindAllStringSubmatch(read("site/package.json"), -1) {
		asked[m[1]] = m[2]
	}
	if m := regexp.MustCompile(`CHECKED := (\S+)@v(\S+)`).FindStringSubmatch(read("Makefile")); m != nil {
		asked[m[1]] = m[2]
	}
	if len(asked) < 15 {
		t.Fatalf("only %d things are asked for: the files are read wrongly", len(asked))
	}
	_, section, _ := strings.Cut(read("DEVELOPERS.md"), "\n## What it stands on\n")
	section, _, _ = strings.Cut(section, "\n## ")
	listed := map[string]string{}
	for _, m := range regexp.MustCompile("(?m)^\\| `([^`]+)` \\| ([^ |]+) \\| ([^|]+) \\|$").FindAllStringSubmatch(section, -1) {
		listed[m[1]] = m[2]
		if len(strings.Fields(m[3])) < 3 {
			t.Errorf("%s is listed without a reason", m[1])
		}
	}
	for name, version := range asked {
		if listed[name] != version {
			t.Errorf("%s is asked for at %s and listed at %q", name, version, listed[name])
		}
	}
	for name := range listed {
		if asked[name] == "" {
			t.Errorf("%s is listed and asked for nowhere", name)
		}
	}
}
