package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/report"
	"rigloupe/inspect/say"
	"rigloupe/viewer/plates"
	"rigloupe/wasm/heap"
)

func (p *program) examine(args []string) (int, error) {
	f := flag.NewFlagSet("examine", flag.ContinueOnError)
	asJSON := f.Bool("json", false, "")
	only := f.String("only", "", "")
	limits := f.String("limits", "", "")
	failOn := f.String("fail-on", "stop", "")
	var shows detail
	f.BoolVar(&shows.why, "why", false, "")
	f.BoolVar(&shows.notes, "notes", false, "")
	f.BoolVar(&shows.all, "all", false, "")
	f.BoolVar(&shows.timings, "timings", false, "")
	table := f.String("joints-csv", "", "")
	junitTo := f.String("junit", "", "")
	baseline := f.String("baseline", "", "")
	reportTo, date := f.String("report", "", ""), f.String("date", "", "")
	units := f.String("units", "m", "")
	jobs, list, resume := f.Int("jobs", 0, ""), f.String("list", "", ""), f.String("resume", "", "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(files) == 0 && *list == "" {
		return 0, callError{"name a file to examine, or sample"}
	}
	bar, err := barOf(*failOn)
	if err != nil {
		return 0, err
	}
	options, err := p.options(*only, *limits)
	if err != nil {
		return 0, err
	}
	for _, own := range options.Limits {
		shows.limits += len(own)
	}
	lengths, err := say.Lengths(*units)
	if err != nil {
		return 0, callError{fmt.Sprintf("--units %v", err)}
	}
	readIn = lengths
	defer func() { readIn = say.InMetres }()
	if given(f, "jobs") || *list != "" || *resume != "" {
		switch {
		case !*asJSON:
			return 0, callError{"--jobs, --list and --resume go with --json"}
		case *table != "" || *junitTo != "" || *baseline != "" || *reportTo != "":
			return 0, callError{"--jobs, --list and --resume write JSON alone"}
		case given(f, "jobs") && *jobs < 1:
			return 0, callError{fmt.Sprintf("--jobs %d: want at least 1", *jobs)}
		}
		l := &library{p: p, options: options, bar: bar, timings: shows.timings, jobs: max(*jobs, 1), resume: *resume}
		return l.examine(files, *list)
	}
	if *table != "" && len(files) != 1 {
		return 0, callError{fmt.Sprintf("--joints-csv takes one file, got %d", len(files))}
	}
	if *table != "" && len(options.Only) > 0 && !slices.Contains(options.Only, "binding") {
		return 0, callError{"--joints-csv needs the station binding, which --only leaves out"}
	}
	to, err := p.output("--joints-csv", *table, append(files, *limits)...)
	if err != nil {
		return 0, err
	}
	switch {
	case *reportTo != "" && len(files) != 1:
		return 0, callError{fmt.Sprintf("--report takes one file, got %d", len(files))}
	case *date != "" && *reportTo == "":
		return 0, callError{"--date is written onto the report: it goes with --report R.html"}
	}
	paper := &reported{date: *date, lengths: lengths}
	if paper.to, err = p.output("--report", *reportTo, append(files, *limits)...); err != nil {
		return 0, err
	}
	builds, err := p.builds(*junitTo, *baseline, append(files, *limits)...)
	if err != nil {
		return 0, err
	}
	if shows.timings {
		options.Clock = time.Now
	}
	code := exitDone
	for i, name := range files {
		worst, err := p.examineOne(name, options, to, paper, builds, bar, *asJSON, shows, i > 0)
		if err != nil {
			builds.unread(name, err)
			if _, bad := err.(callError); bad {
				return 0, err
			}
			fmt.Fprintf(p.err, "rigloupe: %s\n", line(err.Error()))
			if *asJSON {
				line, _ := json.Marshal(map[string]string{"file": filepath.Base(name), "error": err.Error()})
				fmt.Fprintf(p.out, "%s\n", line)
			}
			code = exitUnread
			continue
		}
		if worst >= bar && code == exitDone {
			code = exitGrade
		}
	}
	return code, builds.write()
}

// given tells that an option stands in the call.
func given(f *flag.FlagSet, name string) (is bool) {
	f.Visit(func(o *flag.Flag) { is = is || o.Name == name })
	return is
}

// barOf is the grade of --fail-on; never lies above all.
func barOf(failOn string) (check.Grade, error) {
	bar, ok := map[string]check.Grade{"stop": check.Stop, "flaw": check.Flaw, "note": check.Note, "never": check.Stop + 1}[failOn]
	if !ok {
		return 0, callError{fmt.Sprintf("--fail-on %q: want stop, flaw, note or never", failOn)}
	}
	return bar, nil
}

func (p *program) examineOne(name string, o inspect.Options, table *output, paper *reported, b *builds, bar check.Grade, asJSON bool, shows detail, gap bool) (worst check.Grade, err error) {
	defer rescueFile(name, &err)
	at, err := p.find(name)
	if err != nil {
		return 0, err
	}
	r, err := at.read()
	if err != nil {
		return 0, err
	}
	o.Progress = tight
	res, err := inspect.Examine(context.Background(), r, o)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", shown(name), err)
	}
	if table != nil {
		if err := table.write(res.WriteJoints, nil); err != nil {
			return 0, err
		}
	}
	if err := paper.write(at, res, o.Limits); err != nil {
		return 0, err
	}
	worst, err = b.add(name, res, bar)
	if err != nil {
		return 0, err
	}
	if asJSON {
		_ = res.WriteJSON(p.out, shows.timings) // what standard output does not take is told once, at the end
		return worst, nil
	}
	if gap {
		fmt.Fprintln(p.out)
	}
	writeLedger(p.out, res, shows)
	return worst, nil
}

// reported is where the report of an examination goes, nil: nowhere.
type reported struct {
	to      *output
	date    string
	lengths say.Length
}

func (w *reported) write(at *place, res *inspect.Result, limits check.Overrides) error {
	if w.to == nil {
		return nil
	}
	var s desk.Saved
	err := at.with(func(from *desk.Source) (err error) {
		draw := plates.New(context.Background())
		s, err = desk.Report(res, limits, from, w.date, w.lengths, report.Draw{Sides: draw.Sides, Finding: draw.Finding})
		return err
	})
	if err != nil {
		return fmt.Errorf("%s: %w", shown(at.name), err)
	}
	return w.to.bytes(s.Data, s.Holds)
}

// options reads --only and --limits; a mistake in them is a wrong call.
func (p *program) options(only, limits string) (o inspect.Options, err error) {
	for _, s := range strings.Split(only, ",") {
		if s = strings.TrimSpace(s); s != "" {
			o.Only = append(o.Only, s)
		}
	}
	if limits != "" {
		data, err := p.text("--limits", limits)
		if err != nil {
			return o, err
		}
		if o.Limits, err = inspect.ParseLimits(data); err != nil {
			return o, callError{fmt.Sprintf("--limits %s: %v", limits, err)}
		}
	}
	if err := inspect.CheckOptions(o); err != nil {
		return o, callError{fmt.Sprintf("--only: %v", err)}
	}
	return o, nil
}

// tight keeps memory near what is held, station by station, where that is much (inspect.Options):
// a heap that may double takes twice of a large tree.
func tight(_ string, done, _ int) {
	if done == 0 {
		heap.Tighten(128 << 20)
	}
}
