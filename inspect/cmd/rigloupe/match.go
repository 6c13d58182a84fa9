package main

import (
	"flag"
	"fmt"
	"text/tabwriter"

	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// two opens source and target.
func (p *program) two(files []string) (source, target *rig.Rig, err error) {
	if len(files) != 2 {
		return nil, nil, callError{"want SOURCE and TARGET, got " + say.Count(len(files), "file", "files")}
	}
	if source, err = p.open(files[0]); err != nil {
		return nil, nil, err
	}
	target, err = p.open(files[1])
	return source, target, err
}

// pins reads a saved table; no name: none.
func (p *program) pins(name string, source, target *rig.Rig) ([]match.Pin, error) {
	if name == "" {
		return nil, nil
	}
	data, err := p.text("--pins", name)
	if err != nil {
		return nil, err
	}
	list, err := match.ReadPins(data, source, target)
	if err != nil {
		return nil, callError{fmt.Sprintf("--pins %s: %v", name, err)}
	}
	return list, nil
}

// match tells which joint of the source moves which joint of the target.
func (p *program) match(args []string) (int, error) {
	f := flag.NewFlagSet("match", flag.ContinueOnError)
	asJSON, asCSV := f.Bool("json", false, ""), f.Bool("csv", false, "")
	pinFile := f.String("pins", "", "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if *asJSON && *asCSV {
		return 0, callError{"--json and --csv: want one of them"}
	}
	source, target, err := p.two(files)
	if err != nil {
		return 0, err
	}
	list, err := p.pins(*pinFile, source, target)
	if err != nil {
		return 0, err
	}
	m := match.Find(source, target, list...)
	switch {
	case *asJSON:
		return exitDone, m.WriteJSON(p.out)
	case *asCSV:
		return exitDone, m.WriteCSV(p.csv)
	}
	p.table(m)
	return exitDone, nil
}

// table prints a match for reading.
func (p *program) table(m *match.Match) {
	fmt.Fprintf(p.out, "%s → %s: %d pairs of %d and %d joints\n", line(m.S.Rig.File.Name), line(m.T.Rig.File.Name), len(m.Pairs), len(m.S.Joints), len(m.T.Joints))
	if m.Mirrored {
		fmt.Fprintln(p.out, "one is the mirror image of the other: left moves right")
	}
	for _, r := range m.Remarks {
		fmt.Fprintln(p.out, r)
	}
	w := tabwriter.NewWriter(p.out, 0, 0, 2, ' ', 0)
	for _, q := range m.Pairs {
		from := fmt.Sprintf("%q", m.S.Name(q.Source))
		if q.Beside >= 0 {
			from += fmt.Sprintf(" and %s %q", typed(say.Sure(q.Share)), m.S.Name(q.Beside))
		}
		fmt.Fprintf(w, "  %s\t→ %q\t%.2f\t%s\n", from, m.T.Name(q.Target), q.Confidence, q.Evidence)
	}
	w.Flush()
	for _, side := range []struct {
		what string
		s    *match.Skeleton
		left []match.Left
	}{{"source", m.S, m.Source}, {"target", m.T, m.Target}} {
		if len(side.left) == 0 {
			continue
		}
		fmt.Fprintf(p.out, "without a pair in the %s:\n", side.what)
		w := tabwriter.NewWriter(p.out, 0, 0, 2, ' ', 0)
		for _, l := range side.left {
			fmt.Fprintf(w, "  %q\t%s\n", side.s.Name(l.Node), l.Why)
		}
		w.Flush()
	}
}
