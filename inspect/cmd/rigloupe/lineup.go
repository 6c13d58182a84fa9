package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/lineup"
	"rigloupe/inspect/say"
)

// lineup sets several models side by side.
func (p *program) lineup(args []string) (int, error) {
	f := flag.NewFlagSet("lineup", flag.ContinueOnError)
	asJSON := f.Bool("json", false, "")
	only := f.String("only", "", "")
	limits := f.String("limits", "", "")
	failOn := f.String("fail-on", "stop", "")
	sortBy := f.String("sort", "place", "")
	csvTo := f.String("csv", "", "")
	jobs := f.Int("jobs", 1, "")
	names, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if *jobs < 1 {
		return 0, callError{fmt.Sprintf("--jobs %d: want at least 1", *jobs)}
	}
	if len(names) == 0 {
		return 0, callError{"name the models to set side by side"}
	}
	bar, err := barOf(*failOn)
	if err != nil {
		return 0, err
	}
	options, err := p.options(*only, *limits)
	if err != nil {
		return 0, err
	}
	to, err := p.output("--csv", *csvTo, append(names, *limits)...)
	if err != nil {
		return 0, err
	}
	if err := lineup.New(nil).Sort(*sortBy); err != nil { // before the work, not after it
		return 0, callError{fmt.Sprintf("--sort: %v", err)}
	}
	all, folders, err := modelsIn(names)
	if err != nil {
		return 0, err
	}
	rows, unread := p.lineupRows(all, options, *jobs, folders)
	code := exitDone
	if unread {
		code = exitUnread
	}
	t := lineup.New(rows)
	if worst := t.Worst(); worst >= bar && code == exitDone {
		code = exitGrade
	}
	if err := t.Sort(*sortBy); err != nil {
		return 0, err
	}
	if to != nil {
		if err := to.write(t.WriteCSV, nil); err != nil {
			return 0, err
		}
	}
	if *asJSON {
		return code, t.WriteJSON(p.out)
	}
	writeLineup(p.out, t)
	return code, nil
}

// lineupRow examines one model; nothing of it is kept but its row.
func (p *program) lineupRow(name string, o inspect.Options) (row lineup.Row, err error) {
	defer rescueFile(name, &err)
	r, err := p.open(name)
	if err != nil {
		return lineup.Row{}, err
	}
	res, err := inspect.Examine(context.Background(), r, o)
	if err != nil {
		return lineup.Row{}, fmt.Errorf("%s: %w", shown(name), err)
	}
	if name == sampleName {
		name = r.File.Name
	}
	return lineup.Of(name, res), nil
}

// gradeMarks are the marks of the grades as they are told in a table.
var gradeMarks = map[string]string{"stop": marks[check.Stop], "flaw": marks[check.Flaw], "note": marks[check.Note]}

// writeLineup prints the table for a person, then the argument, then what stands
// behind each mark.
func writeLineup(w io.Writer, t *lineup.Table) {
	table := [][]string{{"", "model"}}
	if slices.ContainsFunc(t.Rows, func(r lineup.Row) bool { return r.State != lineup.Unread }) {
		for _, c := range t.Columns {
			table[0] = append(table[0], c.Title)
		}
	} else { // no column has a number
		table[0] = append(table[0], "")
	}
	for i := range t.Rows {
		r := &t.Rows[i]
		file, unread := line(r.File), line(r.Error)
		line := []string{"", file}
		if r.Place > 0 {
			line[0] = strconv.Itoa(r.Place)
		}
		if r.State == lineup.Unread {
			table = append(table, append(line, "not read: "+unread))
			continue
		}
		for _, c := range t.Columns {
			cell := r.Cells[c.Key]
			text := lineup.Words(cell.Value)
			if v, ok := cell.Value.(float64); ok {
				text = typed(say.Quantity(v, c.Unit))
			}
			if cell.AtLeast {
				text = "≥ " + text
			}
			if m := gradeMarks[cell.Grade]; m != "" {
				text = m + " " + text
			}
			line = append(line, text)
		}
		table = append(table, line)
	}
	writeColumns(w, table)
	fmt.Fprintln(w)
	paragraph(w, "", t.Argument.Says)
	writeBehind(w, t)
}

// writeColumns prints rows under each other: the first column and numbers stand
// right, a row cut short runs on.
func writeColumns(w io.Writer, table [][]string) {
	wide := make([]int, len(table[0]))
	for _, line := range table {
		for i, text := range line {
			if len(line) == len(table[0]) {
				wide[i] = max(wide[i], utf8.RuneCountInString(text))
			}
		}
	}
	for _, line := range table {
		wide[1] = max(wide[1], utf8.RuneCountInString(line[1]))
	}
	for _, line := range table {
		var b strings.Builder
		for i, text := range line {
			pad := strings.Repeat(" ", max(0, wide[i]-utf8.RuneCountInString(text)))
			switch {
			case i == 1 || i == len(table[0])-1 || len(line) < len(table[0]) && i > 1:
				b.WriteString(text + pad)
			default:
				b.WriteString(pad + text)
			}
			b.WriteString("  ")
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
}

// writeBehind says which finding stands behind a mark.
func writeBehind(w io.Writer, t *lineup.Table) {
	for i := range t.Rows {
		r := &t.Rows[i]
		var lines []string
		for _, c := range t.Columns {
			cell := r.Cells[c.Key]
			if cell.Finding > 0 && c.Check != "" || c.Key == "ready" && cell.Finding > 0 {
				lines = append(lines, spread(fmt.Sprintf("  %s %2d  %s: %s", gradeMarks[cell.Grade], cell.Finding, c.Title, r.Brief[cell.Finding-1].Title), cell.Check))
			}
		}
		if len(lines) > 0 {
			fmt.Fprintf(w, "\nbehind the marks of %s\n%s\n", line(r.File), strings.Join(lines, "\n"))
		}
	}
}
