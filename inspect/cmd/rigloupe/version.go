package main

import (
	_ "embed"
	"flag"
	"fmt"
	"runtime"

	"rigloupe/inspect/say"
)

// linkedNotices are the licences of what is linked, as `make notices` gathers them.
//
//go:embed notices.txt
var linkedNotices string

func (p *program) version(args []string) (int, error) {
	f := flag.NewFlagSet("version", flag.ContinueOnError)
	licences := f.Bool("licences", false, "")
	rest, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(rest) > 0 {
		return 0, callError{"takes no file, got " + say.Count(len(rest), "argument", "arguments")}
	}
	fmt.Fprintln(p.out, programName)
	if *licences {
		fmt.Fprint(p.out, "Under the MIT licence; built with ", runtime.Version(), ".\n\n", linkedNotices)
	}
	return exitDone, nil
}
