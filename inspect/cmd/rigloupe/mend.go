package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"path/filepath"
	"strings"

	"rigloupe/inspect/desk"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/say"
	"rigloupe/viewer/plates"
)

// mend puts right on a copy what was found: it makes a plan, or does one.
func (p *program) mend(args []string) (int, error) {
	f := flag.NewFlagSet("mend", flag.ContinueOnError)
	suggest, with, to := f.Bool("suggest", false, ""), f.String("with", "", ""), f.String("out", "", "")
	only, dry, goOn, asJSON := f.Int("only", 0, ""), f.Bool("dry-run", false, ""), f.Bool("go-on", false, ""), f.Bool("json", false, "")
	limits, prove, date := f.String("limits", "", ""), f.String("proof", "", ""), f.String("date", "", "")
	var sets, parts list
	f.Var(&sets, "set", "")
	f.Var(&parts, "part", "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	name, err := one(files)
	if err != nil {
		return 0, err
	}
	if len(parts) > 0 && *with == "" && !*suggest {
		*with = "part"
	}
	_, unknown := mend.Named(*with)
	single := *with != "" && unknown == nil
	switch {
	case len(sets) > 0 && !single:
		return 0, callError{"--set NAME=VALUE goes with --with MEND, one of rigloupe mends"}
	case len(parts) > 0 && *suggest:
		return 0, callError{"--part FILE is for a step that takes from it; --suggest makes none"}
	case *prove != "" && (*with == "" || *dry):
		return 0, callError{"--proof tells of a file that is written: it goes with --with PLAN.json --out NEW.glb"}
	case *date != "" && *prove == "":
		return 0, callError{"--date is written onto the proof sheet: it goes with --proof SHEET.html"}
	case *suggest == (*with != ""):
		return 0, callError{"want --suggest, which prints a plan, or --with PLAN.json, which does one"}
	case *suggest && (*to != "" || *only != 0 || *dry || *goOn):
		return 0, callError{"--suggest only prints a plan; do it with --with PLAN.json --out NEW.glb"}
	case *with != "" && (*to == "") != *dry:
		return 0, callError{"want --out NEW.glb, or --dry-run to see what would be done"}
	case *with != "" && *limits != "":
		return 0, callError{"--limits: a plan holds its own; give them with --suggest"}
	case *to != "" && !strings.EqualFold(filepath.Ext(*to), ".glb") && !strings.EqualFold(filepath.Ext(*to), ".vrm"):
		return 0, callError{fmt.Sprintf("--out %q: want a name that ends in .glb or .vrm", *to)}
	}
	o, err := p.options("", *limits)
	if err != nil {
		return 0, err
	}
	var plan *mend.Plan
	reads := *with
	switch {
	case single:
		reads = ""
		if plan, err = mend.Single(*with, sets); err != nil {
			return 0, callError{err.Error()}
		}
	case *with != "":
		data, err := p.text("--with", *with)
		if err != nil {
			return 0, err
		}
		if plan, err = desk.Plan(data); err != nil {
			return 0, callError{fmt.Sprintf("--with %s: %v", shown(*with), err)}
		}
	}
	read := append([]string{name, reads, *limits}, parts...)
	out, err := p.output("--out", *to, read...)
	if err != nil {
		return 0, err
	}
	sheet, err := p.output("--proof", *prove, read...)
	if err != nil {
		return 0, err
	}
	if sheet != nil && sheet.path == out.path {
		return 0, callError{"--out and --proof name the same file"}
	}
	at, err := p.find(name)
	if err != nil {
		return 0, err
	}
	start, err := at.mendable()
	if err != nil {
		return 0, err
	}
	for _, second := range parts {
		at, err := p.find(second)
		if err != nil {
			return 0, err
		}
		other, err := at.mendable()
		if err != nil {
			return 0, err
		}
		start.Beside(other)
	}
	ctx := context.Background()
	if *suggest {
		plan, _, left, err := mend.Suggest(ctx, start, o.Limits)
		if err != nil {
			return 0, err
		}
		said := map[string]bool{}
		for _, r := range left {
			if s := r.Sentence(); !said[s] {
				said[s] = true
				fmt.Fprintln(p.err, typed(line(s)))
			}
		}
		data, err := plan.JSON()
		if err != nil {
			return 0, err
		}
		_, err = p.out.Write(data)
		return exitDone, err
	}
	if _, sha, _ := start.Doc.Source(); plan.File.SHA256 != "" && plan.File.SHA256 != sha {
		fmt.Fprintf(p.err, "rigloupe: the plan was made for another file, %q; it is tried on this one\n", line(plan.File.Name))
	}
	done, ok, err := plan.Run(ctx, start, mend.Options{Only: *only, GoOn: *goOn})
	if err != nil {
		return 0, err
	}
	var receipts []*mend.Receipt
	for _, d := range done {
		receipts = append(receipts, d.Receipt)
		if !*asJSON {
			p.mended(d)
		}
	}
	if out != nil {
		made := desk.Mended(start, done, filepath.Base(*to))
		var proven desk.Saved
		if sheet != nil { // before anything is written: either both stand there or none
			if proven, err = desk.Proof(ctx, start, plan, done, made, *date, plates.New(ctx).Pair); err != nil {
				return 0, err
			}
		}
		if err := out.bytes(made.Data, made.Holds); err != nil {
			return 0, err
		}
		if sheet != nil {
			if err := sheet.bytes(proven.Data, proven.Holds); err != nil {
				return 0, err
			}
		}
	}
	if *asJSON {
		e := json.NewEncoder(p.out)
		e.SetEscapeHTML(false)
		if err := e.Encode(receipts); err != nil {
			return 0, err
		}
	} else if out != nil {
		fmt.Fprintf(p.out, "written to %s\n", line(*to))
		if sheet != nil {
			fmt.Fprintf(p.out, "proof sheet in %s\n", line(*prove))
		}
	}
	if !ok {
		return exitGrade, nil
	}
	return exitDone, nil
}

// mended tells one step for reading.
func (p *program) mended(d mend.Done) {
	r := d.Receipt
	fmt.Fprintf(p.out, "%d  %s\n", d.Step+1, typed(line(r.Sentence())))
	for _, s := range r.Says {
		fmt.Fprintf(p.out, "   %s\n", typed(line(s)))
	}
	for _, m := range r.Measures {
		fmt.Fprintf(p.out, "   %s: %s\n", m.Name, typed(line(m.Says)))
	}
	if r.Why != "refused" {
		for _, s := range r.Refused {
			fmt.Fprintf(p.out, "   left: %s\n", typed(line(s)))
		}
		fmt.Fprintf(p.out, "   moved: %d of %d vertices, %s at most; buffer views: %d untouched, %d rewritten, %d added\n",
			r.Moved.Count, r.Moved.Of, typed(say.Metres(r.Moved.Max)), r.Bytes.Untouched, len(r.Bytes.Rewritten), r.Bytes.Added)
	}
	if d.Odd != "" {
		fmt.Fprintf(p.out, "   not as the plan expects: %s\n", line(d.Odd))
	}
}

// mends lists the mends there are.
func (p *program) mends(args []string) (int, error) {
	f := flag.NewFlagSet("mends", flag.ContinueOnError)
	asJSON := f.Bool("json", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(files) > 0 {
		return 0, callError{"takes no file"}
	}
	if *asJSON {
		return exitDone, mend.WriteTable(p.out)
	}
	for _, m := range mend.Table() {
		answers := strings.Join(m.Answers, ", ")
		if answers == "" {
			answers = "no check; it is asked for by name, or beside " + strings.Join(m.Beside, ", ")
		}
		fmt.Fprintf(p.out, "%s: %s\n  %s\n  answers %s\n", m.ID, m.Title, m.Does, answers)
		for _, v := range m.Parameters {
			fmt.Fprintf(p.out, "    %-10s %s: %s\n", v.Name, v.Range(), v.Says)
		}
	}
	return exitDone, nil
}

// mendable opens a file for mending: the document with its side files.
func (at *place) mendable() (s *mend.State, err error) {
	err = at.with(func(from *desk.Source) error {
		d, err := from.Original()
		if err == nil {
			s, err = mend.Open(d)
		}
		return err
	})
	return s, err
}

// list is an option that may stand several times.
type list []string

func (l *list) String() string     { return strings.Join(*l, " ") }
func (l *list) Set(s string) error { *l = append(*l, s); return nil }
