package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"path/filepath"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/desk"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/say"
	"rigloupe/viewer/plates"
)

// mendCall is a call of mend.
type mendCall struct {
	file, with, to      string
	limits, prove, date string
	only                int
	suggest, dry, goOn  bool
	json                bool
	single              bool // with names a mend, not a plan
	sets                list // NAME=VALUE of that mend
	parts               list // files that a step takes from
	plan                *mend.Plan
	out, sheet          *output // nil: not written
}

// mend puts right on a copy what was found: it makes a plan, or does one.
func (p *program) mend(args []string) (int, error) {
	var c mendCall
	if err := p.readMend(&c, args); err != nil {
		return 0, err
	}
	o, err := p.options("", c.limits)
	if err != nil {
		return 0, err
	}
	reads, err := p.readPlan(&c)
	if err != nil {
		return 0, err
	}
	read := append([]string{c.file, reads, c.limits}, c.parts...)
	if c.out, err = p.output("--out", c.to, read...); err != nil {
		return 0, err
	}
	if c.sheet, err = p.output("--proof", c.prove, read...); err != nil {
		return 0, err
	}
	if c.sheet != nil && c.sheet.path == c.out.path {
		return 0, callError{"--out and --proof name the same file"}
	}
	at, err := p.find(c.file)
	if err != nil {
		return 0, err
	}
	start, err := at.mendable()
	if err != nil {
		return 0, err
	}
	for _, second := range c.parts {
		at, err := p.find(second)
		if err != nil {
			return 0, err
		}
		other, err := at.second()
		if err != nil {
			return 0, err
		}
		start.Beside(other)
	}
	ctx := context.Background()
	if c.suggest {
		return p.suggest(ctx, start, o.Limits)
	}
	if _, sha, _ := start.Doc.Source(); c.plan.File.SHA256 != "" && c.plan.File.SHA256 != sha {
		fmt.Fprintf(p.err, "rigloupe: the plan was made for another file, %q; it is tried on this one\n", line(c.plan.File.Name))
	}
	done, ok, err := c.plan.Run(ctx, start, mend.Options{Only: c.only, GoOn: c.goOn})
	if err != nil {
		return 0, err
	}
	var receipts []*mend.Receipt
	for _, d := range done {
		receipts = append(receipts, d.Receipt)
		if !c.json {
			p.mended(d)
		}
	}
	if err := c.write(ctx, start, done); err != nil {
		return 0, err
	}
	if c.json {
		e := json.NewEncoder(p.out)
		e.SetEscapeHTML(false)
		if err := e.Encode(receipts); err != nil {
			return 0, err
		}
	} else if c.out != nil {
		p.handedOver(&c, start)
	}
	if !ok {
		return exitGrade, nil
	}
	return exitDone, nil
}

// handedOver says what was written where.
func (p *program) handedOver(c *mendCall, start *mend.State) {
	if says := mend.UnpackedSays(start.Doc); says != "" {
		fmt.Fprintln(p.out, says)
	}
	fmt.Fprintf(p.out, "written to %s\n", line(c.to))
	if c.sheet != nil {
		fmt.Fprintf(p.out, "proof sheet in %s\n", line(c.prove))
	}
}

// readMend reads a call and tells what does not go together, before any file is opened.
func (p *program) readMend(c *mendCall, args []string) error {
	f := flag.NewFlagSet("mend", flag.ContinueOnError)
	f.BoolVar(&c.suggest, "suggest", false, "")
	f.StringVar(&c.with, "with", "", "")
	f.StringVar(&c.to, "out", "", "")
	f.IntVar(&c.only, "only", 0, "")
	f.BoolVar(&c.dry, "dry-run", false, "")
	f.BoolVar(&c.goOn, "go-on", false, "")
	f.BoolVar(&c.json, "json", false, "")
	f.StringVar(&c.limits, "limits", "", "")
	f.StringVar(&c.prove, "proof", "", "")
	f.StringVar(&c.date, "date", "", "")
	f.Var(&c.sets, "set", "")
	f.Var(&c.parts, "part", "")
	files, err := parse(f, args)
	if err != nil {
		return err
	}
	if c.file, err = one(files); err != nil {
		return err
	}
	if len(c.parts) > 0 && c.with == "" && !c.suggest {
		c.with = "part"
	}
	_, unknown := mend.Named(c.with)
	c.single = c.with != "" && unknown == nil
	switch {
	case len(c.sets) > 0 && !c.single:
		return callError{"--set NAME=VALUE goes with --with MEND, one of rigloupe mends"}
	case len(c.parts) > 0 && c.suggest:
		return callError{"--part FILE is for a step that takes from it; --suggest makes none"}
	case c.prove != "" && (c.with == "" || c.dry):
		return callError{"--proof tells of a file that is written: it goes with --with PLAN.json --out NEW.glb"}
	case c.date != "" && c.prove == "":
		return callError{"--date is written onto the proof sheet: it goes with --proof SHEET.html"}
	case c.suggest == (c.with != ""):
		return callError{"want --suggest, which prints a plan, or --with PLAN.json, which does one"}
	case c.suggest && (c.to != "" || c.only != 0 || c.dry || c.goOn):
		return callError{"--suggest only prints a plan; do it with --with PLAN.json --out NEW.glb"}
	case c.with != "" && (c.to == "") != c.dry:
		return callError{"want --out NEW.glb, or --dry-run to see what would be done"}
	case c.with != "" && c.limits != "":
		return callError{"--limits: a plan holds its own; give them with --suggest"}
	case c.to != "" && !strings.EqualFold(filepath.Ext(c.to), ".glb") && !strings.EqualFold(filepath.Ext(c.to), ".vrm"):
		return callError{fmt.Sprintf("--out %q: want a name that ends in .glb or .vrm", c.to)}
	}
	return nil
}

// readPlan reads the plan of a call, or makes one of the single mend that it names. It
// answers the file that it read, which nothing may be written over.
func (p *program) readPlan(c *mendCall) (reads string, err error) {
	if c.single {
		if c.plan, err = mend.Single(c.with, c.sets); err != nil {
			return "", callError{err.Error()}
		}
		return "", nil
	}
	if c.with == "" {
		return "", nil
	}
	data, err := p.text("--with", c.with)
	if err != nil {
		return "", err
	}
	if c.plan, err = desk.Plan(data); err != nil {
		return "", callError{fmt.Sprintf("--with %s: %v", shown(c.with), err)}
	}
	return c.with, nil
}

// suggest prints the plan that the findings call for, and beside it what no mend does.
func (p *program) suggest(ctx context.Context, start *mend.State, limits check.Overrides) (int, error) {
	plan, _, left, err := mend.Suggest(ctx, start, limits)
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

// write writes the figure and its proof sheet, or neither.
func (c *mendCall) write(ctx context.Context, start *mend.State, done []mend.Done) (err error) {
	if c.out == nil {
		return nil
	}
	made := desk.Mended(start, done, filepath.Base(c.to))
	var proven desk.Saved
	if c.sheet != nil { // before anything is written: either both stand there or none
		if proven, err = desk.Proof(ctx, start, c.plan, done, made, c.date, plates.New(ctx).Pair); err != nil {
			return err
		}
	}
	if err := c.out.bytes(made.Data, made.Holds); err != nil || c.sheet == nil {
		return err
	}
	return c.sheet.bytes(proven.Data, proven.Holds)
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

// second opens a file that a mend takes from: motion capture, too.
func (at *place) second() (s *mend.State, err error) {
	err = at.with(func(from *desk.Source) error {
		s, err = from.Second()
		return err
	})
	return s, err
}

// list is an option that may stand several times.
type list []string

func (l *list) String() string     { return strings.Join(*l, " ") }
func (l *list) Set(s string) error { *l = append(*l, s); return nil }
