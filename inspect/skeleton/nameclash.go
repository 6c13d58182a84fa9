package skeleton

import (
	"fmt"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var nameClash = check.Check[Facts]{
	ID:      "skeleton/name-clash",
	Title:   "Name used twice",
	Measure: "joints, nodes that clips move and nodes that carry a mesh with the same name; joints without a name",
	Limits: []check.Limit{
		{Name: "same", Unit: say.Names, Value: 0, Grade: check.Flaw},
		{Name: "nameless", Unit: say.Joints, Value: 0, Grade: check.Note},
	},
	Why: "Many programs find a joint by its name and, of duplicate names, take the first they meet. " +
		"A clip, a mapping or a mirrored pose then moves the wrong one.",
	Remedy: "Give every joint a name of its own, and rename what carries a mesh where it bears the name of a joint.\n" +
		"Write the clips again afterwards.",
	Source: "glTF 2.0, Indices and Names (names need not be unique); that players bind by name is common practice, no source",
	Needs:  needsJoints,
	Judge: func(f *Facts, d *check.Docket) {
		same, nameless := d.Limit("same"), d.Limit("nameless")
		var nodes []rig.Node
		var said []string
		for i := range f.Names {
			if n := &f.Names[i]; n.is("twice") {
				nodes = append(nodes, n.Nodes...)
				said = append(said, fmt.Sprintf("%q (%s)", n.Name, say.Count(len(n.Nodes), "node", "nodes")))
			}
		}
		if float64(len(said)) > same.Value {
			found := d.Found(same, "names", float64(len(said)), f.onNodes(nodes))
			found.Subject = exam.Listed(said)
		}
		if n := float64(len(f.NoNames)); n > nameless.Value {
			found := d.Found(nameless, "joints without a name", n, f.on(f.NoNames...))
			found.Title = "Joints without a name"
			found.Subject = fmt.Sprintf("%s of %s", say.Whole(len(f.NoNames)), say.Count(len(f.Joints), "joint", "joints"))
			found.Why = "That is allowed, but players that bind clips by name do not find these joints, and no mapping can go by their words."
			found.Remedy = "Name every joint, left and right in the same words, and write the file again."
		}
	},
}

// onNodes makes a place of nodes, joints among them or not.
func (f *Facts) onNodes(nodes []rig.Node) check.Where {
	w := check.Nowhere()
	for _, n := range nodes {
		if f.at(n) != nil {
			w.Joints = append(w.Joints, n)
		} else {
			w.Nodes = append(w.Nodes, n)
		}
	}
	f.point(&w)
	return w
}
