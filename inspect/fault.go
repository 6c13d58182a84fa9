package inspect

import (
	"fmt"
	"runtime/debug"
	"strings"
)

// Fault is a panic met in a station: a mistake of ours, never of the file. What was
// finished before it stays.
type Fault struct {
	Station string
	What    any
	Stack   []byte
}

func (f *Fault) Error() string {
	return fmt.Sprintf("a fault of the program, met in %s, %s: %v; please report it with the file", f.Station, f.place(), f.What)
}

// place is the innermost line of ours below the panic.
func (f *Fault) place() string {
	after := false
	for line := range strings.Lines(string(f.Stack)) {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "panic(") {
			after = true
		}
		if i := strings.LastIndex(line, "rigloupe/"); after && i >= 0 && strings.Contains(line, ".go:") {
			where, _, _ := strings.Cut(line[i+len("rigloupe/"):], " ")
			return where
		}
	}
	return "place unknown"
}

// guard makes a Fault of a panic in work.
func guard(station string, work func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &Fault{station, p, debug.Stack()}
		}
	}()
	return work()
}
