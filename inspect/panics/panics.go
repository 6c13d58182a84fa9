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
	after, ours := false, false
	for line := range strings.Lines(string(stack)) {
		line = strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(line, "panic("):
			after = true
		case !after:
		case ours:
			file, _, _ := strings.Cut(line, " ")
			if i := strings.LastIndex(file, "rigloupe/"); i >= 0 {
				return file[i+len("rigloupe/"):]
			}
			dir, name := path.Split(file)
			return path.Join(path.Base(dir), name)
		default:
			ours = strings.HasPrefix(line, "rigloupe/") || strings.HasPrefix(line, "main.")
		}
	}
	return "place unknown"
}
