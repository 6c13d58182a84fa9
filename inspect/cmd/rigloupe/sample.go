package main

import (
	"bytes"
	"flag"
	"fmt"
	"strconv"
	"strings"

	"rigloupe/inspect/desk"
)

// sample writes the built-in figure.
func (p *program) sample(args []string) (int, error) {
	f := flag.NewFlagSet("sample", flag.ContinueOnError)
	to, faults, answer := f.String("out", "", ""), f.String("fault", "", ""), f.String("answer", "", "")
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
	if wish.Vertices < 1 {
		return 0, callError{fmt.Sprintf("--vertices %d: want at least 1", wish.Vertices)}
	}
	out, err := p.output("--out", *to)
	if err != nil {
		return 0, err
	}
	if n, err := strconv.Atoi(*faults); err == nil {
		wish.Number, *faults = n, ""
	}
	if *answer != "" {
		if err := p.writeAnswer(*answer, wish.Number); err != nil {
			return 0, err
		}
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

// writeAnswer writes what the fault of a number is.
func (p *program) writeAnswer(to string, number int) error {
	if number == 0 {
		return callError{"--answer goes with --fault and a number; rigloupe lesson lists them"}
	}
	a, err := desk.Answer(number)
	if err != nil {
		return callError{"--" + err.Error()}
	}
	out, err := p.output("--answer", to)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := desk.WriteJSON(&b, a); err != nil {
		return err
	}
	return out.bytes(b.Bytes(), nil)
}
