package inspect

import (
	"fmt"
	"runtime/debug"

	"rigloupe/inspect/panics"
)

// Fault is a panic met in a station: a mistake of ours, never of the file. What was
// finished before it stays.
type Fault struct {
	Station string
	What    any
	Stack   []byte
}

func (f *Fault) Error() string {
	return fmt.Sprintf("a fault of the program, met in %s, %s: %v; please report it with the file", f.Station, panics.Place(f.Stack), f.What)
}

// guard makes a Fault of a panic in work, and says of any other error where it was met.
func guard(station string, work func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &Fault{station, p, debug.Stack()}
		}
	}()
	if err := work(); err != nil {
		return fmt.Errorf("station %s: %w", station, err)
	}
	return nil
}
