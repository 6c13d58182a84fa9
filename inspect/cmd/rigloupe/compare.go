package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"rigloupe/inspect"
	"rigloupe/inspect/compare"
)

// compare sets two examinations of one figure side by side: models, or documents that
// examine --json saved.
func (p *program) compare(args []string) (int, error) {
	f := flag.NewFlagSet("compare", flag.ContinueOnError)
	asJSON := f.Bool("json", false, "")
	limits := f.String("limits", "", "")
	failOn := f.String("fail-on", "stop", "")
	names, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(names) != 2 {
		return 0, callError{fmt.Sprintf("want the older file and the newer one, got %d", len(names))}
	}
	bar, err := barOf(*failOn)
	if err != nil {
		return 0, err
	}
	options, err := p.options("", *limits)
	if err != nil {
		return 0, err
	}
	var sides [2]*compare.Side
	for i, name := range names {
		if sides[i], err = p.side(name, options); err != nil {
			return 0, err
		}
	}
	r := compare.Between(sides[0], sides[1])
	code := exitDone
	if r.Worst() >= bar {
		code = exitGrade
	}
	if *asJSON {
		enc := json.NewEncoder(p.out)
		enc.SetEscapeHTML(false)
		return code, enc.Encode(r)
	}
	writeCompared(p.out, r)
	return code, nil
}

// side is one file's examination: a saved one is read, a model is examined.
func (p *program) side(name string, o inspect.Options) (s *compare.Side, err error) {
	defer rescueFile(name, &err)
	if strings.HasSuffix(strings.ToLower(name), ".json") {
		data, err := p.text("", name)
		if err != nil {
			return nil, errors.New(strings.TrimSpace(err.Error())) // unread, as a model would be
		}
		if s, err = compare.Read(data); err != nil {
			return nil, fmt.Errorf("%s: %w", shown(name), err)
		}
		return s, nil
	}
	r, err := p.open(name)
	if err != nil {
		return nil, err
	}
	res, err := inspect.Examine(context.Background(), r, o)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", shown(name), err)
	}
	return compare.Of(res)
}

// writeCompared prints what changed, the worst first.
func writeCompared(w io.Writer, r *compare.Report) {
	fmt.Fprintln(w, line(r.Old)+" → "+line(r.New))
	paragraph(w, "  ", r.Says)
	for _, t := range r.Unknown {
		paragraph(w, "  ", "Not compared, since one side was not looked at: "+t+".")
	}
	for _, c := range r.Counts {
		fmt.Fprintln(w, spread("  "+c.Name, c.Was+" → "+c.Is))
	}
	single := func(title string, list []compare.Finding) {
		if len(list) > 0 {
			fmt.Fprintf(w, "\n%s\n", title)
		}
		for _, f := range list {
			fmt.Fprintln(w, spread(fmt.Sprintf("  %s %2d  %s", markOf(f.Grade), f.Number, f.Title), f.Says))
			paragraph(w, "        ", f.Subject)
		}
	}
	pairs := func(title string, list []compare.Pair) {
		if len(list) > 0 {
			fmt.Fprintf(w, "\n%s\n", title)
		}
		for _, c := range list {
			was, is := c.Was.Says, c.Is.Says
			if c.Was.Grade != c.Is.Grade {
				was, is = c.Was.Grade+" "+was, c.Is.Grade+" "+is
			}
			fmt.Fprintln(w, spread(fmt.Sprintf("  %s %2d  %s", markOf(c.Is.Grade), c.Is.Number, c.Is.Title), was+" → "+is))
			paragraph(w, "        ", c.Is.Subject)
		}
	}
	single("New", r.Fresh)
	pairs("Worse", r.Worse)
	single("Gone", r.Gone)
	pairs("Better", r.Better)
}

// markOf is the mark of a grade by its word.
func markOf(grade string) string {
	for g, m := range marks {
		if g.String() == grade {
			return m
		}
	}
	return " "
}
