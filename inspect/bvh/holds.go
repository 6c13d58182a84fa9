package bvh

import "fmt"

// Holds tells whether a file that was written reads back as a whole movement, without
// anything that had to be read around: nil, or what is wrong.
func Holds(data []byte) error {
	r, err := Read("the file written", data)
	switch {
	case err != nil:
		return err
	case len(r.Malformed) > 0:
		return fmt.Errorf("it reads back with a fault: %s: %s", r.Malformed[0].Place, r.Malformed[0].What)
	case len(r.Clips) != 1:
		return fmt.Errorf("it reads back without a movement")
	}
	return nil
}
