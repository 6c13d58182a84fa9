package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"

	"rigloupe/inspect"
	"rigloupe/inspect/road"
)

// road tells where figures stand on the way to a moving character, and what is left to do.
func (p *program) road(args []string) (int, error) {
	f := flag.NewFlagSet("road", flag.ContinueOnError)
	asJSON := f.Bool("json", false, "")
	limits := f.String("limits", "", "")
	names, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(names) != 1 {
		return 0, callError{fmt.Sprintf("want one model, got %d", len(names))}
	}
	options, err := p.options("", *limits)
	if err != nil {
		return 0, err
	}
	r, err := p.open(names[0])
	if err != nil {
		return 0, err
	}
	res, err := inspect.Examine(context.Background(), r, options)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", shown(names[0]), err)
	}
	if way := road.Of(res); *asJSON {
		enc := json.NewEncoder(p.out)
		enc.SetEscapeHTML(false)
		return exitDone, enc.Encode(way)
	} else {
		writeRoad(p.out, res, &way)
	}
	return exitDone, nil
}

// writeRoad prints a line a step: a mark, what there is or is left, and the numbers of the
// findings that are put right in it.
func writeRoad(w io.Writer, res *inspect.Result, way *road.Road) {
	fmt.Fprintln(w, line(res.File.Name))
	paragraph(w, "  ", way.Says)
	for i, s := range way.Steps {
		mark := map[road.State]string{road.Done: "done", road.ToDo: "to do", road.Choice: "choice", road.Needless: "-"}[s.State]
		fmt.Fprintf(w, "  %2d  %-16s  %-6s  %s\n", i+1, s.Title, mark, s.Says)
	}
}
