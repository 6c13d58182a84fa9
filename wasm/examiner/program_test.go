package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
)

// program is the command line, built once for all tests of this package.
func program(t *testing.T) string {
	t.Helper()
	path, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

var (
	builtIn string // its folder; "": none was built
	built   = sync.OnceValues(func() (string, error) {
		dir, err := os.MkdirTemp("", "rigloupe")
		if err != nil {
			return "", err
		}
		builtIn = dir
		path := filepath.Join(dir, "rigloupe")
		c := exec.Command("go", "build", "-o", path, "rigloupe/inspect/cmd/rigloupe")
		c.Stderr = os.Stderr
		return path, c.Run()
	})
)

func TestMain(m *testing.M) {
	code := m.Run()
	if builtIn != "" {
		os.RemoveAll(builtIn)
	}
	os.Exit(code)
}
