// Package panics reads what a panic leaves behind.
package panics

import (
	"path"
	"strings"
)

// Place finds where in our own code a stack (runtime/debug.Stack, taken while the panic
// is caught) was when it broke: the first function of ours below the call of panic, as
// "viewer/raster/fill.go:41".
func Place(stack []byte) string {
	after, ours := false, ""
	for line := range strings.Lines(string(stack)) {
		line = strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(line, "panic("):
			after = true
		case !after:
		case ours != "":
			file, _, _ := strings.Cut(line, " ")
			return path.Join(ours, path.Base(file))
		case strings.HasPrefix(line, "main."):
			ours = "main"
		case strings.HasPrefix(line, "rigloupe/"):
			ours = folder(line)
		}
	}
	return "place unknown"
}

// folder is that of the function a line of a stack names: the file's own path depends on
// where and how the program was built.
func folder(line string) string {
	name, _, _ := strings.Cut(strings.TrimPrefix(line, "rigloupe/"), "(")
	dir, last := path.Split(name)
	last, _, _ = strings.Cut(last, ".")
	return dir + last
}
