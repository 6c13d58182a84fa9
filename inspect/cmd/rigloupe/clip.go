package main

import (
	"flag"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"rigloupe/inspect/desk"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/motion"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// clipColumns is how wide the picture of a clip is drawn on the terminal.
const clipColumns = 60

// clip shows one clip joint by joint, or the curves of one joint.
func (p *program) clip(args []string) (int, error) {
	f := flag.NewFlagSet("clip", flag.ContinueOnError)
	which, joint := f.String("clip", "0", ""), f.String("joint", "", "")
	order, asJSON := f.String("sort", "tree", ""), f.Bool("json", false, "")
	columns := f.Int("columns", clipColumns, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	name, err := one(files)
	if err != nil {
		return 0, err
	}
	sorts := map[string]func(a, b motion.Row) int{"tree": nil, "still": motion.StillFirst, "turn": motion.TurnFirst}
	by, ok := sorts[*order]
	if !ok {
		return 0, callError{fmt.Sprintf("--sort %q: want tree, still or turn", *order)}
	}
	r, err := p.open(name)
	if err != nil {
		return 0, err
	}
	id, err := clipNamed(r, *which)
	if err != nil {
		return 0, err
	}
	e := exam.New(r)
	rows, err := motion.Rows(e, id, *columns)
	if err != nil {
		return 0, callError{fmt.Sprintf("--columns: %v", err)}
	}
	if *joint != "" {
		n, err := jointOfRows(rows, *joint)
		if err != nil {
			return 0, err
		}
		c, err := motion.Curves(e, id, n)
		if err != nil {
			return 0, err
		}
		if *asJSON {
			return exitDone, desk.WriteJSON(p.out, c)
		}
		return exitDone, c.WriteCSV(p.csv)
	}
	if by != nil {
		slices.SortStableFunc(rows.Joints, by)
	}
	if *asJSON {
		return exitDone, desk.WriteJSON(p.out, rows)
	}
	writeRows(p.out, rows)
	return exitDone, nil
}

// jointOfRows finds a joint by name, or by "#" and its node index.
func jointOfRows(rows *motion.ClipRows, name string) (rig.Node, error) {
	var found []rig.Node
	for i := range rows.Joints {
		if j := &rows.Joints[i]; string(j.Name) == name || name == fmt.Sprintf("#%d", j.Node) {
			found = append(found, j.Node)
		}
	}
	switch len(found) {
	case 0:
		return 0, callError{fmt.Sprintf("--joint %q: no joint has that name; without --joint all are listed", name)}
	case 1:
		return found[0], nil
	}
	return 0, callError{fmt.Sprintf("--joint %q: nodes %d and %d have that name; name one as #%d", name, found[0], found[1], found[1])}
}

// writeRows draws a clip on the terminal: a line a joint.
func writeRows(out io.Writer, rows *motion.ClipRows) {
	fmt.Fprintf(out, "clip %d %q, %s to %s; . - = # moves by up to 30, 120, 480 and more degrees a second; | keyed, not moving\n", rows.Clip, rows.Name, typed(say.Quantity(rows.Start, say.Second)), typed(say.Quantity(rows.Seconds, say.Second)))
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  joint\tkeys\tturns\tshifts\t")
	for i := range rows.Joints {
		j := &rows.Joints[i]
		name := strconv.Quote(string(j.Name))
		if j.Name == "" {
			name = fmt.Sprintf("node %d", j.Node)
		}
		says := ""
		if j.State != "moves" {
			says = j.State
			if j.Stays() {
				says += ", what it hangs on moves"
			}
		}
		fmt.Fprintf(w, "  %s\t%d\t%s\t%s\t[%s]\t%s\n", strings.Repeat(" ", min(j.Depth, 24))+name, j.Keys, typed(say.Quantity(j.Degrees, say.Degree)), typed(say.Metres(j.Metres)), strip(j), says)
	}
	w.Flush()
}

// strip is one joint's line of the picture.
func strip(j *motion.Row) string {
	var b strings.Builder
	for k, v := range j.Turns {
		switch {
		case v > 480:
			b.WriteByte('#')
		case v > 120:
			b.WriteByte('=')
		case v > 30:
			b.WriteByte('-')
		case v > 0.01 || k < len(j.Ways) && j.Ways[k] > 1e-5:
			b.WriteByte('.')
		case j.Keyed[k] > 0:
			b.WriteByte('|')
		default:
			b.WriteByte(' ')
		}
	}
	return b.String()
}
