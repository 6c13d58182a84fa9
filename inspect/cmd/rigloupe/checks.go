package main

import (
	"flag"
	"fmt"

	"rigloupe/inspect"
	"rigloupe/inspect/ceiling"
)

func (p *program) checks(args []string) (int, error) {
	f := flag.NewFlagSet("checks", flag.ContinueOnError)
	asJSON := f.Bool("json", false, "")
	markdown := f.Bool("markdown", false, "")
	ceilings := f.Bool("ceilings", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	if len(files) > 0 {
		return 0, callError{"takes no file"}
	}
	switch {
	case *asJSON:
		return exitDone, inspect.WriteCatalogue(p.out)
	case *ceilings:
		fmt.Fprint(p.out, ceiling.Markdown())
	case *markdown:
		inspect.WriteTable(p.out)
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
