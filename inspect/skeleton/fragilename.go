package skeleton

import (
	"fmt"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var fragileName = check.Check[Facts]{
	ID:      "skeleton/fragile-name",
	Title:   "Names that players change",
	Measure: "names as other players fold them (edges trimmed, all before the last colon and . : / [ ] left out, blanks to _, capitals to small letters): how many become equal; how many have blanks at the edge, letters beyond ASCII or a colon",
	Limits: []check.Limit{
		{Name: "alike", Unit: say.Names, Value: 0, Grade: check.Flaw},
		{Name: "changed", Unit: say.Names, Value: 0, Grade: check.Note},
	},
	Why: "Players that keep paths of names cannot hold every sign, and fold (sanitise) such names. " +
		"Clips and mappings written for the old names no longer fit; names that fold to one are mixed up.",
	Remedy: "Use letters, digits and _ in the names of joints, and let them differ in more than capitals.\n" +
		"Rename before clips and mappings are made, or rename them too.",
	Source: "common practice, no source",
	Needs:  needsJoints,
	Judge: func(f *Facts, d *check.Docket) {
		alike, changed := d.Limit("alike"), d.Limit("changed")
		groups := map[string][]string{}
		var keys []string
		var nodes []rig.Node
		for i := range f.Names {
			n := &f.Names[i]
			if !n.is("alike") {
				continue
			}
			if groups[n.Folded] == nil {
				keys = append(keys, n.Folded)
			}
			groups[n.Folded] = append(groups[n.Folded], fmt.Sprintf("%q", n.Name))
			nodes = append(nodes, n.Nodes...)
		}
		if float64(len(keys)) > alike.Value {
			var said []string
			for _, k := range keys {
				said = append(said, strings.Join(groups[k], " and ")+fmt.Sprintf(" → %q", k))
			}
			found := d.Found(alike, "names that become equal", float64(len(nodes)), f.onNodes(nodes))
			found.Title, found.Subject = "Names that become equal", exam.Listed(said)
		}
		var table []string
		nodes = nil
		for i := range f.Names {
			n := &f.Names[i]
			if n.is("edge space") || n.is("not ASCII") || n.is("colon") {
				nodes = append(nodes, n.Nodes...)
				table = append(table, fmt.Sprintf("%q → %q", n.Name, n.Folded))
			}
		}
		if float64(len(table)) > changed.Value {
			found := d.Found(changed, "names", float64(len(table)), f.onNodes(nodes))
			found.Subject = exam.Listed(table)
		}
	},
}
