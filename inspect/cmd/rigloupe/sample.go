package main

import (
	"flag"
	"fmt"
	"slices"
	"strings"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// sample writes the built-in figure.
func (p *program) sample(args []string) (int, error) {
	f := flag.NewFlagSet("sample", flag.ContinueOnError)
	to := f.String("out", "", "")
	pose := f.String("pose", "T", "")
	vertices := f.Int("vertices", 10_000, "")
	faults := f.String("fault", "", "")
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
	o := lamplighter.Options{Vertices: *vertices}
	switch strings.ToUpper(*pose) {
	case "T":
		o.Pose = lamplighter.T
	case "A":
		o.Pose = lamplighter.A
	default:
		return 0, callError{fmt.Sprintf("--pose %q: want T or A", *pose)}
	}
	r := lamplighter.Build(o)
	for _, id := range strings.Split(*faults, ",") {
		if id = strings.TrimSpace(id); id != "" {
			if r, err = plant(r, id); err != nil {
				return 0, err
			}
		}
	}
	// A planted fault may be one that no reader lets pass.
	return exitDone, out.bytes(lamplighter.Write(r), nil)
}

// plant plants the first fault that is known for a check. A fault may need what an
// earlier one has taken away, a skin for instance; that is told, too.
func plant(r *rig.Rig, id string) (out *rig.Rig, err error) {
	all := lamplighter.Faults()
	i := slices.IndexFunc(all, func(f lamplighter.Fault) bool { return f.ID == id })
	if i < 0 {
		return nil, callError{fmt.Sprintf("--fault %q: no fault is known for that check; rigloupe checks lists them", id)}
	}
	defer func() {
		if recover() != nil {
			err = callError{fmt.Sprintf("--fault %q cannot be planted after the ones named before it; name it first", id)}
		}
	}()
	out, _ = all[i].On(r)
	return out, nil
}
