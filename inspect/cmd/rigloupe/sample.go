package main

import (
	"flag"
	"fmt"
	"os"
	"strings"

	"rigloupe/inspect/lamplighter"
)

// sample writes the built-in figure.
func (p *program) sample(args []string) (int, error) {
	f := flag.NewFlagSet("sample", flag.ContinueOnError)
	to := f.String("out", "", "")
	pose := f.String("pose", "T", "")
	vertices := f.Int("vertices", 10_000, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(files) > 0 || *to == "" {
		return 0, callError{"--out names the file to write"}
	}
	o := lamplighter.Options{Vertices: *vertices}
	switch strings.ToUpper(*pose) {
	case "T":
		o.Pose = lamplighter.T
	case "A":
		o.Pose = lamplighter.A
	default:
		return 0, callError{fmt.Sprintf("--pose %q: want T or A", *pose)}
	}
	if err := os.WriteFile(*to, lamplighter.GLB(o), 0o644); err != nil {
		return 0, callError{fmt.Sprintf("--out: %v", err)}
	}
	return exitDone, nil
}
