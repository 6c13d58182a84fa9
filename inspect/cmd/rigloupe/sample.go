package main

import (
	"flag"
	"strings"

	"rigloupe/inspect/desk"
)

// sample writes the built-in figure.
func (p *program) sample(args []string) (int, error) {
	f := flag.NewFlagSet("sample", flag.ContinueOnError)
	to, faults := f.String("out", "", ""), f.String("fault", "", "")
	var wish desk.Sample
	f.StringVar(&wish.Pose, "pose", "T", "")
	f.StringVar(&wish.Names, "names", "plain", "")
	f.IntVar(&wish.Vertices, "vertices", 10_000, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(files) > 0 || *to == "" {
		return 0, callError{"--out names the file to write"}
	}
	out, err := p.output("--out", *to)
	if err != nil {
		return 0, err
	}
	for id := range strings.SplitSeq(*faults, ",") {
		if id = strings.TrimSpace(id); id != "" {
			wish.Faults = append(wish.Faults, id)
		}
	}
	file, err := wish.File()
	if err != nil {
		return 0, callError{"--" + err.Error()}
	}
	return exitDone, out.bytes(file.Data, nil)
}
