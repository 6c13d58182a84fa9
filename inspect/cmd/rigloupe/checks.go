package main

import (
	"flag"
	"fmt"
	"io"
	"strings"

	"rigloupe/inspect"
)

func (p *program) checks(args []string) (int, error) {
	f := flag.NewFlagSet("checks", flag.ContinueOnError)
	asJSON := f.Bool("json", false, "")
	markdown := f.Bool("markdown", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(files) > 0 {
		return 0, callError{"checks takes no file"}
	}
	switch {
	case *asJSON:
		return exitDone, inspect.WriteCatalogue(p.out)
	case *markdown:
		writeTable(p.out)
	default:
		for _, s := range inspect.Catalogue() {
			fmt.Fprintf(p.out, "%s\n", s.Title)
			for _, e := range s.Entries {
				fmt.Fprintf(p.out, "  %-28s %s\n", e.ID, e.Title)
				fmt.Fprintf(p.out, "  %-28s measures: %s\n", "", e.Measure)
				for _, l := range e.Limits {
					fmt.Fprintf(p.out, "  %-28s %s: %s → %s\n", "", l.Name, typed(l.Says()), l.Grade)
				}
				fmt.Fprintf(p.out, "  %-28s source: %s\n", "", e.Source)
			}
		}
	}
	return exitDone, nil
}

// writeTable prints inspect/CHECKS.md: a table a station, of every check. A test compares.
func writeTable(w io.Writer) {
	fmt.Fprint(w, `# What is looked at

Printed by `+"`make checks`"+` from the catalogue; a test says when it is stale. A finding is a **stop** (will fail), a **flaw** (will show) or a **note** (worth knowing). The name before each limit is its key in a file of limits (`+"`--limits`"+`).
`)
	for _, s := range inspect.Catalogue() {
		fmt.Fprintf(w, "\n## %s\n\n| check | finds | measure | graded when | source |\n|---|---|---|---|---|\n", s.Title)
		for _, e := range s.Entries {
			var limits []string
			for _, l := range e.Limits {
				limits = append(limits, fmt.Sprintf("`%s`: %s → %s", l.Name, typed(l.Says()), l.Grade))
			}
			row := []string{"`" + e.ID + "`", e.Title, e.Measure, strings.Join(limits, "<br>"), e.Source}
			for i, cell := range row {
				row[i] = strings.NewReplacer("|", `\|`, "\n", " ").Replace(cell)
			}
			fmt.Fprintf(w, "| %s |\n", strings.Join(row, " | "))
		}
	}
}
