package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"rigloupe/inspect/bends"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/say"
)

// bends lists what every move of the bend set does, the worst first.
func (p *program) bends(args []string) (int, error) {
	f := flag.NewFlagSet("bends", flag.ContinueOnError)
	top := f.Int("top", 20, "")
	asJSON, asCSV := f.Bool("json", false, ""), f.Bool("csv", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	name, err := one(files)
	if err != nil {
		return 0, err
	}
	if *top < 0 {
		return 0, callError{fmt.Sprintf("--top %d: want 0, for all, or how many", *top)}
	}
	r, err := p.open(name)
	if err != nil {
		return 0, err
	}
	facts, err := bends.Measure(context.Background(), exam.New(r))
	switch {
	case err != nil:
		return 0, fmt.Errorf("%q: %w", name, err)
	case *asJSON:
		return exitDone, json.NewEncoder(p.out).Encode(facts)
	case *asCSV:
		return exitDone, facts.WriteCSV(p.csv)
	case facts.Why() != "":
		fmt.Fprintf(p.out, "nothing was bent: %s\n", facts.Why())
		return exitDone, nil
	}
	writeMoves(p.out, facts, *top)
	return exitDone, nil
}

// writeMoves draws the table of moves; top 0: all.
func writeMoves(out io.Writer, f *bends.Facts, top int) {
	moves := f.Moves
	if top > 0 && top < len(moves) {
		moves = moves[:top]
	}
	fmt.Fprintf(out, "%d of %d moves, the worst first; each one joint from rest to an end of its range. Linear blend | dual quaternion. Stretch is what 1 %% of the triangles pass.\n", len(moves), len(f.Moves))
	fmt.Fprintln(out, "Severity 1 is where a measure becomes a flaw; a move that can be a note at most stops there.")
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  severity\tjoint\taxis\tdegrees\tvolume left\twidth left\tstretch\tturned over\tcrack\tdrawn along")
	for i := range moves {
		m := &moves[i]
		cells := []string{say.Plain(m.Severity), f.Name(m), m.Axis, say.Quantity(m.Degrees, say.Degree), both(m.Volume, m.VolumeDual, say.Percent), both(m.Radius, m.RadiusDual, say.Percent),
			both(m.P99, m.P99Dual, say.Plain), both(m.Turned, m.TurnedDual, say.Percent), say.Metres(m.Crack), say.Whole(m.Bleed)}
		fmt.Fprintln(w, "  "+typed(strings.Join(cells, "\t")))
	}
	w.Flush()
}

// both is a measure by either method: "54 % | 98 %"; a dash where there is none.
func both(linear, dual *float64, says func(float64) string) string {
	one := func(p *float64) string {
		if p == nil {
			return "–"
		}
		return says(*p)
	}
	if linear == nil && dual == nil {
		return "–"
	}
	return one(linear) + " | " + one(dual)
}
