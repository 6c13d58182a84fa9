package inspect

import (
	"fmt"
	"io"
	"strings"
)

// WriteTable prints CHECKS.md: a table a station, of every check. A test compares.
func WriteTable(w io.Writer) {
	fmt.Fprint(w, `# What is looked at

Printed by `+"`make checks`"+` from the catalogue; a test says when it is stale. A finding is a **stop** (will fail), a **flaw** (will show) or a **note** (worth knowing). The name before each limit is its key in a file of limits (`+"`--limits`"+`).
`)
	for _, s := range Catalogue() {
		fmt.Fprintf(w, "\n## %s\n\n| check | finds | measure | graded when | source |\n|---|---|---|---|---|\n", s.Title)
		for _, e := range s.Entries {
			var limits []string
			for _, l := range e.Limits {
				limits = append(limits, fmt.Sprintf("`%s`: %s → %s", l.Name, l.Says(), l.Grade))
			}
			row := []string{"`" + e.ID + "`", e.Title, e.Measure, strings.Join(limits, "<br>"), e.Source}
			for i, cell := range row {
				row[i] = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "|", `\|`, "\n", " ").Replace(cell)
			}
			fmt.Fprintf(w, "| %s |\n", strings.Join(row, " | "))
		}
	}
}
