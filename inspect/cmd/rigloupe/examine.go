package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
)

func (p *program) examine(args []string) (int, error) {
	f := flag.NewFlagSet("examine", flag.ContinueOnError)
	asJSON := f.Bool("json", false, "")
	only := f.String("only", "", "")
	limits := f.String("limits", "", "")
	failOn := f.String("fail-on", "stop", "")
	timings := f.Bool("timings", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(files) == 0 {
		return 0, callError{"name a file to examine, or sample"}
	}
	bar, ok := map[string]check.Grade{"stop": check.Stop, "flaw": check.Flaw, "note": check.Note, "never": check.Stop + 1}[*failOn]
	if !ok {
		return 0, callError{fmt.Sprintf("--fail-on %q: want stop, flaw, note or never", *failOn)}
	}
	options, err := p.options(*only, *limits)
	if err != nil {
		return 0, err
	}
	if *timings {
		options.Clock = time.Now
	}
	code := exitDone
	for i, name := range files {
		worst, err := p.examineOne(name, options, *asJSON, *timings, i > 0)
		if err != nil {
			if _, bad := err.(callError); bad {
				return 0, err
			}
			fmt.Fprintf(p.err, "rigloupe: %v\n", err)
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
	return code, nil
}

func (p *program) examineOne(name string, o inspect.Options, asJSON, timings, gap bool) (check.Grade, error) {
	r, err := p.open(name)
	if err != nil {
		return 0, err
	}
	res, err := inspect.Examine(context.Background(), r, o)
	if err != nil {
		return 0, fmt.Errorf("%q: %w", name, err)
	}
	if asJSON {
		return res.Worst(), res.WriteJSON(p.out, timings)
	}
	if gap {
		fmt.Fprintln(p.out)
	}
	writeLedger(p.out, res, timings)
	return res.Worst(), nil
}

// options reads --only and --limits; a mistake in them is a wrong call.
func (p *program) options(only, limits string) (o inspect.Options, err error) {
	for _, s := range strings.Split(only, ",") {
		if s = strings.TrimSpace(s); s != "" {
			o.Only = append(o.Only, s)
		}
	}
	if limits != "" {
		data, err := os.ReadFile(limits)
		if err != nil {
			return o, callError{fmt.Sprintf("--limits: %v", err)}
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
