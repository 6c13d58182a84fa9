package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Every module that go.mod names and a program links has its notice; what is only for
// tests has none.
func TestNotices(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	list, err := linked()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	for _, m := range list {
		if err := m.write(&b); err != nil {
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
	if err := (module{"x", dir}).write(&b); err == nil {
		t.Error("a module without a licence went through")
	}
}
